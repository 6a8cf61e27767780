"""A CSV file against a stash that has some of it: what is filled in, what differs and who decides."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from stash.inventory.exchange import ImportReport, export_csv, import_csv
from stash.inventory.store import Store
from tests.engine.stashes import agrees, inch, sizes, tables, take

# --- a stash that has some of it


def test_a_dry_run_says_all_and_does_nothing(store: Store) -> None:
    take(store, "fabric,length,place\nFern,1 yd,\nMoss,fq,box\nNight,fq,box\n")
    before = tables(store.path)
    content = "fabric,length,place\nFern,1 yd,shelf\nMoss,fq,box\nNight,fq,bag\nMilk,18 in,\n"
    trial = take(store, content, dry_run=True)
    assert tables(store.path) == before
    assert (trial.new, trial.changed, trial.same, trial.left) == (1, 1, 1, 1)
    assert trial.lines == (
        "Changed Fern: place",
        "Night differs and was left as it is: place (replacing takes the file's)",
        "New: Milk, 18 in x 40 in",
    )
    assert take(store, content) == trial, "the very same code"


@pytest.mark.parametrize("mode", [None, "add", "replace"])
def test_the_same_file_twice_adds_nothing(store: Store, mode: Any) -> None:
    content = (
        "fabric,length,pieces,kind,colour,washed\nFern,1 yd,2,,#112233,yes\nFern,fq,3,,,\nMoss,,,,,\n"
        "Night,used up,,,,\nMilk,,2,square,,no\n"
    )
    assert take(store, content, mode=mode).new == 4
    before = tables(store.path)
    assert take(store, content, mode=mode) == ImportReport(0, 0, 4, ())
    assert tables(store.path) == before
    assert len(store.history()) == 1
    assert store.history()[0].text == "Imported in.csv: 4 new, 0 changed"
    store.undo()
    assert store.fabrics() == []


def test_an_import_with_the_same_uid_is_booked_once(store: Store) -> None:
    assert take(store, "fabric,length\nFern,1 yd\n", uid="form").new == 1
    store.undo()
    assert take(store, "fabric,length\nFern,1 yd\n", uid="form").new == 0
    assert store.fabrics() == []


def test_what_is_missing_here_is_filled_in(store: Store) -> None:
    take(store, "fabric\nFern\n")
    report = take(store, "fabric,length,place,colour\nFern,1 yd,box,#112233\n")
    assert (report.changed, report.left) == (1, 0)
    assert sizes(store, "Fern") == [("yardage", inch(36), inch(40))]
    assert store.fabric("Fern").place == "box"
    assert store.fabric("Fern").colour is not None


THREE = "fabric,length,place,washed\nFern,1 yd,box,\nFern,18 in,,\n"
OTHER = "fabric,length,place,washed\nFern,18 in,shelf,yes\nFern,fq,,\n"


@pytest.mark.parametrize(
    ("mode", "lengths", "place", "counts"),
    [
        (None, [36, 18], "box", (0, 0, 0, 1)),
        ("add", [36, 18, 18], "box", (0, 1, 0, 0)),
        ("replace", [18, 18], "shelf", (0, 1, 0, 0)),
    ],
)
def test_where_pieces_differ_the_mode_decides(
    store: Store, mode: Any, lengths: list[int], place: str, counts: tuple[int, ...]
) -> None:
    take(store, THREE)
    report = take(store, OTHER, mode=mode)
    assert [length for _, length, _ in sizes(store, "Fern")] == [inch(n) for n in lengths]
    assert store.fabric("Fern").place == place
    assert store.fabric("Fern").washed == (mode == "replace")
    assert (report.new, report.changed, report.same, report.left) == counts
    said = " ".join(report.lines)
    if mode is None:
        assert "the file has 18 in x 21 in more" in said
        assert "the file lacks 36 in x 40 in" in said
    agrees(store.path)


def test_adding_leaves_what_the_file_lacks_in_peace(store: Store) -> None:
    take(store, THREE)
    assert take(store, "fabric,length\nFern,18 in\n", mode="add") == ImportReport(0, 0, 1, ())
    assert take(store, "fabric,length\nFern,18 in\n").left == 1


def test_an_empty_length_says_nothing_of_the_pieces_there_are(store: Store) -> None:
    take(store, THREE)
    for mode in ("add", "replace"):
        assert take(store, "fabric,length\nFern,\n", mode=mode) == ImportReport(0, 0, 1, ())
    take(store, "fabric,length\nFern,used up\n", mode="replace")
    assert store.fabric("Fern").pieces == ()


def test_a_piece_known_by_its_id_is_updated(store: Store) -> None:
    take(store, "fabric,length\nFern,1 yd\nFern,18 in\nMoss,fq\n")
    first, second = (p.id for p in store.fabric("Fern").pieces)
    report = take(store, f"fabric,length,piece\nFern,18 in,{second}\nFern,30 in,{first}\n")
    assert report.lines == (f"Changed Fern: piece {first} is now 30 in x 40 in",)
    assert [(p.id, p.length) for p in store.fabric("Fern").pieces] == [(first, inch(30)), (second, inch(18))]
    moss = store.fabric("Moss").pieces[0].id
    take(store, f"fabric,length,piece\nFern,12 in,{moss}\n")
    assert store.fabric("Moss").pieces[0].length == inch(18), "an id of another fabric is no id of this one"
    agrees(store.path)


def test_an_old_export_does_not_bring_cloth_back_that_is_used_up(store: Store, tmp_path: Path) -> None:
    take(store, "fabric,length\nFern,1 yd\n")
    export_csv(store, tmp_path / "old.csv")
    store.used(1, None)
    assert import_csv(store, tmp_path / "old.csv").left == 1
    assert store.fabric("Fern").pieces == ()
    import_csv(store, tmp_path / "old.csv", mode="replace")
    assert sizes(store, "Fern") == [("yardage", inch(36), inch(40))]
