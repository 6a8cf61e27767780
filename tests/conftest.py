"""What all tests share: backups go into a folder of the test's own; what the options are."""

from __future__ import annotations

from pathlib import Path

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--draw", action="store_true", help="keep the screens as they are now drawn, instead of comparing")
    parser.addoption("--kills", type=int, default=6, help="kills in a row in the tests of faults (default 6)")
    parser.addoption("--presses", type=int, default=5000, help="keys to press at random in the app (default 5000)")
    parser.addoption("--fuzz", type=int, default=2000, help="broken files of each sort to try (default 2000)")


@pytest.fixture(autouse=True)
def own_backups(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder that backups go to in this test, instead of the user's own."""
    folder = tmp_path_factory.mktemp("backups")
    monkeypatch.setenv("STARCOVER_BACKUPS", str(folder / "backups"))
    monkeypatch.setenv("XDG_STATE_HOME", str(folder / "state"))  # where drafts, the theme and the log are
    monkeypatch.setenv("XDG_CONFIG_HOME", str(folder / "config"))  # where keys are changed
    return folder / "backups"
