"""A day in the tests of backups, and backups made then."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from stash.inventory.backup_files import Backup

NOW = datetime(2026, 6, 30, 12, tzinfo=UTC)


def whole(_: Backup) -> bool:
    """Every backup is taken for a whole one."""
    return True


def at_clock(monkeypatch: pytest.MonkeyPatch, at: datetime) -> None:
    """Backups are made at this time from now on."""

    class Then(datetime):
        @classmethod
        def now(cls, tz: object = None) -> datetime:  # type: ignore[override]
            return at

    monkeypatch.setattr("stash.inventory.backup.datetime", Then)
