"""A CSV file against a stash that has some of it: what is filled in, what differs and who decides."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from stash.errors import Fault
from stash.inventory.exchange import ImportFault, ImportReport, export_csv, import_csv
from stash.inventory.store import Store
from stash.model import Colour, NewFabric, NewSwatch, Reference
from tests.engine.stashes import FERN_SEEN, agrees, inch, photograph, pictures, plain, sizes, tables, take

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


# --- photographs that the file names


class Album:
    """Gives the photograph a cell names, and remembers what it was asked for."""

    def __init__(self) -> None:
        self.asked: list[str] = []

    def __call__(self, cell: str) -> NewSwatch | None:
        self.asked.append(cell)
        if cell.startswith("bad"):
            raise Fault("this is no picture", cell, "take another")
        return None if cell.startswith("none") else photograph(cell, reference=Reference.NONE)


RELATIVE = Colour(FERN_SEEN.L, FERN_SEEN.a, FERN_SEEN.b, "relative")
ALBUM = (
    "fabric,length,photo,L,a,b\nFern,1 yd,fern.jpg,,,\nFern,18 in,,,,\nMoss,,moss.jpg,50,1,2\n"
    "Night,,none.jpg,,,\nMilk,,,,,\n"
)


def test_photographs_of_new_fabrics_are_measured(store: Store) -> None:
    album = Album()
    report = take(store, ALBUM, photos=album, dry_run=True)
    assert (store.fabrics(), pictures(store.path)) == ([], 0)
    assert take(store, ALBUM, photos=album) == report
    assert report.lines == (
        "New: Fern, 2 pieces, 54 in in all, colour from a photograph",
        "New: Moss, not measured yet, with a photograph",
        "New: Night, not measured yet",
        "New: Milk, not measured yet",
    )
    assert album.asked == ["fern.jpg", "moss.jpg", "none.jpg"] * 2
    seen = {one.name: (one.colour, one.swatch, one.photo) for one in store.fabrics()}
    assert seen["Fern"] == (RELATIVE, photograph("fern.jpg", reference=Reference.NONE).measured, "fern.jpg")
    moss = photograph("moss.jpg", reference=Reference.NONE)
    assert seen["Moss"] == (Colour(50, 1, 2), moss.measured, "moss.jpg"), "its own colour stays"
    assert seen["Night"] == (None, None, "none.jpg")
    again = Album()
    assert take(store, ALBUM, photos=again) == ImportReport(0, 0, 4, ())
    assert again.asked == ["none.jpg"], "what has a swatch is not measured again"
    store.undo()
    assert (store.fabrics(), store.photo_hashes()) == ([], {})


def test_an_import_that_is_booked_already_measures_nothing(store: Store) -> None:
    take(store, ALBUM, photos=Album(), uid="form")
    store.undo()
    album = Album()
    take(store, ALBUM, photos=album, uid="form")
    assert album.asked == []


def test_every_bad_photograph_is_a_fault_of_its_cell(store: Store) -> None:
    before = tables(store.path)
    content = "fabric,photo\nFern,\nMoss,bad 1.jpg\nFern,bad 2.jpg\nNight,good.jpg\nMilk,bad 1.jpg\n"
    with pytest.raises(ImportFault) as refused:
        take(store, content, photos=Album())
    assert refused.value.lines() == [
        f"line {line}, column 2 (photo): this is no picture; take another" for line in (3, 4, 6)
    ]
    assert tables(store.path) == before
    assert pictures(store.path) == 0


@pytest.mark.parametrize("mode", [None, "add", "replace"])
def test_a_known_fabric_gets_the_swatch_that_it_lacks(store: Store, mode: Any) -> None:
    new = [
        NewFabric("Bare"), NewFabric("Same", colour=Colour(1, 2, 3), photo="same.jpg"),
        NewFabric("Other", photo="mine.jpg"), NewFabric("Seen", swatch=photograph("seen.jpg")),
        NewFabric("Typed", colour=Colour(1, 2, 3)),
    ]  # fmt: skip
    store.add_many(new)
    album = Album()
    content = (
        "fabric,photo,L,a,b\nBare,bare.jpg,,,\nSame,same.jpg,,,\nOther,file.jpg,,,\nSeen,file.jpg,,,\n"
        "Typed,typed.jpg,1,2,3\n"
    )
    report = take(store, content, mode=mode, photos=album)
    all_of_it = mode == "replace"
    assert album.asked == ["bare.jpg", "same.jpg", *(["file.jpg"] if all_of_it else []), "typed.jpg"]
    seen = {one.name: one for one in store.fabrics()}
    assert [name for name, one in seen.items() if one.swatch] == [
        "Bare", "Same", *(["Other"] if all_of_it else []), "Seen", "Typed"
    ]  # fmt: skip
    assert seen["Bare"].colour == RELATIVE
    assert seen["Same"].colour == (RELATIVE if all_of_it else Colour(1, 2, 3))
    assert seen["Typed"].colour == Colour(1, 2, 3)
    assert seen["Other"].photo == ("file.jpg" if all_of_it else "mine.jpg")
    assert seen["Seen"].swatch == photograph("seen.jpg").measured
    assert "Changed Bare: photo; photograph; colour" in report.lines
    left = "Same differs and was left as it is: colour (replacing takes the photograph's)"
    assert (left in report.lines) == (not all_of_it)


def test_a_photograph_that_may_not_be_stored_is_a_fault_of_its_cell(store: Store) -> None:
    with pytest.raises(ImportFault, match="no JPEG") as refused:
        take(store, "fabric,photo\nFern,a.jpg\n", photos=lambda cell: replace(photograph(cell), picture=b"GIF89a"))
    assert "line 2, column 2 (photo)" in refused.value.where
    assert store.fabrics() == []


def test_where_a_colour_comes_from_goes_out_and_comes_back(store: Store, tmp_path: Path) -> None:
    for reference in (Reference.PAPER, Reference.NONE):
        store.add(NewFabric(reference.title(), swatch=photograph(f"{reference}.jpg", reference=reference)))
    store.add(NewFabric("Typed", colour=Colour(1, 2, 3)))
    export_csv(store, tmp_path / "out.csv")
    with Store.create(tmp_path / "other.db") as other:
        import_csv(other, tmp_path / "out.csv")
        assert [(one.name, one.colour and one.colour.source, one.photo) for one in other.fabrics()] == [
            ("Paper", "measured", "paper.jpg"), ("None", "relative", "none.jpg"), ("Typed", "typed", ""),
        ]  # fmt: skip
        assert [one.measured for one in other.fabrics()] == [one.measured for one in store.fabrics()]
    with Store.create(tmp_path / "again.db") as again:
        import_csv(again, tmp_path / "out.csv", photos=lambda cell: photograph(cell, reference=Reference(cell[:-4])))
        assert plain(again) == plain(store)
