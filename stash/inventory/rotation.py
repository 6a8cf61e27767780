"""Which backups stay: all of two days, then one a day, a week and a month, and never more than a gigabyte."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from datetime import datetime, timedelta
from pathlib import Path

from stash.inventory.backup_files import Backup, backups_in, fault_of, remove

ALL_OF = timedelta(days=2)
MOST_BYTES = 1_000_000_000

Slot = Callable[[datetime], Hashable]
SLOTS: tuple[tuple[int, Slot], ...] = (
    (7, lambda at: at.date()),
    (4, lambda at: at.isocalendar()[:2]),
    (6, lambda at: (at.year, at.month)),
)


def staying(
    backups: Sequence[Backup], now: datetime, whole: Callable[[Backup], bool], most: int = MOST_BYTES
) -> list[Backup]:
    """Those of `backups` that stay, newest first.

    Of each of the last 7 days, 4 weeks and 6 months that have any, the newest that is `whole` stays (the newest where
    none is). A clock set back makes backups of the future; they stay as new ones and take no place of others. Over
    `most` bytes the oldest go, but never the newest whole one.
    """
    ordered = sorted(backups, key=lambda one: one.number, reverse=True)
    keep = {one.path for one in ordered if now - one.at < ALL_OF}
    past = [one for one in ordered if one.at <= now]
    for count, slot in SLOTS:
        keep |= _one_each(past, count, slot, whole)
    kept = [one for one in ordered if one.path in keep]
    while sum(one.size for one in kept) > most:
        newest_whole = next((one for one in kept if whole(one)), None)
        oldest = next((one for one in reversed(kept) if one is not newest_whole), None)
        if oldest is None:
            break
        kept.remove(oldest)
    return kept


def _one_each(ordered: Sequence[Backup], count: int, slot: Slot, whole: Callable[[Backup], bool]) -> set[Path]:
    slots: dict[Hashable, list[Backup]] = {}
    for one in ordered:
        slots.setdefault(slot(one.at), []).append(one)
    newest = sorted(slots, key=lambda key: slots[key][0].at, reverse=True)[:count]
    chosen = set()
    for key in newest:
        candidates = slots[key]
        best = candidates[0] if len(candidates) == 1 else next((c for c in candidates if whole(c)), candidates[0])
        chosen.add(best.path)
    return chosen


def rotate(folder: Path, now: datetime, spare: Path | None = None) -> None:
    """Remove the backups in `folder` that need not stay, but not `spare` (resolved), which somebody works with."""
    known: dict[Path, bool] = {}  # by path: two programs may have taken the same number

    def whole(one: Backup) -> bool:
        if one.path not in known:
            known[one.path] = fault_of(one.path) is None
        return known[one.path]

    there = backups_in(folder)
    stay = {one.path for one in staying(there, now, whole)}
    for one in there:
        if one.path not in stay and one.path.resolve() != spare:
            remove(one)
