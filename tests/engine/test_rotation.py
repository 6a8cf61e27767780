"""Which backups stay: all of two days, then days, weeks and months, and never none."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from stash.inventory import backup
from stash.inventory.backup_files import Backup, backups_of, newest_whole, sum_file
from stash.inventory.rotation import MOST_BYTES, staying
from stash.inventory.store import Store
from tests.engine.backups import NOW, at_clock, whole


def every(hours: float, count: int, size: int = 1) -> list[Backup]:
    """Backups each so many hours after the one before, the last one now."""
    return [
        Backup(Path(f"{n}"), n, NOW - timedelta(hours=hours * (count - n)), "daily", size) for n in range(1, count + 1)
    ]


def test_all_of_two_days_then_days_weeks_and_months_stay() -> None:
    """Four a day for 400 days: what the rule says, counted by hand.

    June 30 is a Tuesday. All of two days reaches back to the 28th, 18 h: 8. The 7 newest days begin with the 24th. The
    4 newest weeks end on June 30, 28, 21 and 14. The 6 newest months end on June 30, May 31, April 30, March 31,
    February 28 and January 31.
    """
    kept = staying(every(6, 1600), NOW, whole)
    days = [one.at.date().isoformat() for one in kept]
    assert kept[7].at == datetime(2026, 6, 28, 18, tzinfo=UTC)
    assert days[8:] == [
        "2026-06-27", "2026-06-26", "2026-06-25", "2026-06-24",
        "2026-06-21", "2026-06-14", "2026-05-31", "2026-04-30", "2026-03-31", "2026-02-28", "2026-01-31",
    ]  # fmt: skip


def test_what_stays_once_stays_the_next_time() -> None:
    """Going on day by day, a month is never left without its backup."""
    there: list[Backup] = []
    for n in range(1, 200):
        at = NOW + timedelta(days=n)
        there = staying([*there, Backup(Path(str(n)), n, at, "daily", 1)], at, whole)
    assert len(there) <= 2 + 7 + 4 + 6
    assert len({(one.at.year, one.at.month) for one in there}) >= 6
    assert there[0].number == 199


@pytest.mark.parametrize("size", [MOST_BYTES // 3 + 1, MOST_BYTES - 1, MOST_BYTES + 1])
def test_never_more_than_a_gigabyte_but_always_one(size: int) -> None:
    kept = staying(every(1, 10, size), NOW, whole)
    assert [one.number for one in kept] == ([10, 9] if size < MOST_BYTES // 2 else [10])
    spoiled = staying(every(1, 10, size), NOW, lambda one: one.number == 4)
    assert 4 in [one.number for one in spoiled], "the newest whole one stays, whatever comes after it"


def test_a_damaged_backup_takes_no_place_from_a_whole_one() -> None:
    kept = staying(every(6, 1600), NOW, lambda one: one.at.hour != 18)
    assert not [one for one in kept[8:] if one.at.hour == 18]


def test_a_clock_set_back_loses_no_backup() -> None:
    later = [Backup(Path("7"), 7, NOW + timedelta(days=900), "daily", 1), Backup(Path("8"), 8, NOW, "daily", 1)]
    assert [one.number for one in staying(later, NOW, whole)] == [8, 7]


def test_old_backups_go_when_a_new_one_is_made(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    for days in range(40, 0, -1):
        at_clock(monkeypatch, NOW - timedelta(days=days))
        backup.make(store.path)
    left = backups_of(store.path)
    assert 7 < len(left) < 20
    assert newest_whole(store.path) == left[0]
    names = {one.name for one in left[0].path.parent.iterdir()}
    assert names == {one.path.name for one in left} | {sum_file(one.path).name for one in left}


def test_two_backups_of_one_number_are_two(tmp_path: Path) -> None:
    """Two programs took the same number in the same second; one of the two files was spoiled since."""
    day = NOW - timedelta(days=5)
    pair = [Backup(tmp_path / name, 1, day, why, 1) for name, why in (("a", "asked"), ("b", "daily"))]
    newest = Backup(tmp_path / "c", 2, NOW, "daily", 1)
    for spoiled in pair:
        kept = staying([*pair, newest], NOW, lambda one, spoiled=spoiled: one != spoiled)  # type: ignore[misc]
        assert kept == [newest, *(one for one in pair if one != spoiled)]
