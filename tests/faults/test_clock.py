"""The clock of the machine: one that goes back, and one in another time zone."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Self

import pytest

from stash.inventory.backup import make
from stash.inventory.backup_files import backups_of
from stash.inventory.store import Store
from tests.engine.stashes import agrees, fern, inch


class Backwards(datetime):
    """A clock that goes back an hour each time it is asked."""

    asked = 0

    @classmethod
    def now(cls, tz: tzinfo | None = None) -> Self:
        cls.asked += 1
        return cls(2026, 10, 25, 12, tzinfo=tz) - timedelta(hours=cls.asked)


def test_13_a_clock_that_goes_back(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Order comes from ids and numbers, whatever the clock does."""
    monkeypatch.setattr("stash.inventory.ledger.datetime", Backwards)
    monkeypatch.setattr("stash.inventory.backup.datetime", Backwards)
    fern(store, 9)
    store.used(1, inch(1))
    store.used(1, inch(2))
    entries = store.history()
    assert [one.op for one in entries] == [3, 2, 1]
    assert [one.at for one in entries] == sorted(one.at for one in entries)
    assert store.undo().undo_of == 3
    first, second = make(store.path), make(store.path)
    assert second.at < first.at
    assert backups_of(store.path)[0].path == second.path, "the newest is the one made last"
    agrees(store.path)


@pytest.fixture(params=[("EAST-14", 14), ("WEST+8", -8), ("HALF-5:30", 5.5)], ids=lambda zone: zone[0])
def hours_ahead(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[float]:
    """How far the clock of the wall is ahead of UTC in a time zone that this process is in."""
    if not hasattr(time, "tzset"):
        pytest.skip("the time zone of a process can be set on POSIX")
    zone, hours = request.param
    monkeypatch.setenv("TZ", zone)
    time.tzset()
    assert time.timezone == -hours * 3600
    yield hours
    monkeypatch.undo()
    time.tzset()


def test_13_times_are_kept_in_utc_in_every_time_zone(store: Store, hours_ahead: float) -> None:
    began = datetime.now(UTC).replace(microsecond=0)
    fern(store, 9)
    made = make(store.path)
    ended = datetime.now(UTC)
    (entry,) = store.history()
    assert entry.at.endswith("Z")
    assert began <= datetime.fromisoformat(entry.at) <= ended
    (listed,) = backups_of(store.path)
    assert began <= listed.at <= ended
    assert f"-{listed.at.astimezone(UTC):%Y%m%dT%H%M%SZ}-" in made.path.name
    assert listed.when() == f"{listed.at + timedelta(hours=hours_ahead):%Y-%m-%d %H:%M}", "shown as the wall has it"
