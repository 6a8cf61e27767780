"""Photographs of fabrics in the stash: what is kept of them, undo, and many in one entry."""

from __future__ import annotations

from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stash.errors import Conflict, Fault, NotFound, UsageFault
from stash.inventory import swatches
from stash.inventory.store import Store
from stash.model import Colour, Measured, NewFabric, Reference
from tests.engine.stashes import FERN_SEEN, agrees, fern, photograph, pictures, piece, restored, rows, tables

# --- what is kept


@pytest.mark.parametrize("reference", Reference)
def test_a_fabric_added_with_its_photograph_has_colour_swatch_and_pictures(store: Store, reference: Reference) -> None:
    new = photograph("fern.jpg", reference=reference)
    one = store.add(NewFabric("Fern", (piece(18),), swatch=new))
    assert one.swatch == new.measured
    assert one.colour == one.measured == new.measured.colour
    assert one.colour is not None
    assert one.colour.source == ("relative" if reference is Reference.NONE else "measured")
    assert one.swatch is not None
    assert {main.colour.source for main in one.swatch.palette} == {one.colour.source}
    assert one.photo == "fern.jpg"
    assert (store.picture(one.id), store.thumbnail(one.id)) == (new.picture, new.thumbnail)
    with Store.open(store.path) as again:
        assert again.fabrics() == [one]
        assert again.fabric("fern") == one
    assert rows(store.path, "SELECT hash FROM picture") == [(sha256(new.picture).hexdigest(),)]
    (entry,) = store.history(fabric_id=one.id)
    assert entry.text == "Added Fern: 18 in x 40 in, colour from a photograph"


def test_a_colour_and_a_photo_that_are_given_stay(store: Store) -> None:
    colour = Colour(50, 1, 2)
    one = store.add(NewFabric("Fern", colour=colour, photo="album 3", swatch=photograph()))
    assert (one.colour, one.photo) == (colour, "album 3")
    assert one.swatch == photograph().measured
    assert store.history()[0].text == "Added Fern: not measured yet, with a photograph"


def test_no_picture_stands_in_the_history(store: Store) -> None:
    """A thousand photographs must not make every reading of the history slow."""
    new = replace(photograph(), picture=b"\xff\xd8\xff" + b"x" * 300_000)
    store.add(NewFabric("Fern", swatch=new))
    assert max(len(after) for (after,) in rows(store.path, "SELECT after FROM change")) < 1_000


def test_a_new_photograph_sets_colour_photo_and_swatch_as_one_entry(store: Store) -> None:
    one = fern(store)
    store.set_value_by_eye(one.id, 52.5)
    before = restored(store.path)
    seen = store.set_swatch(one.id, photograph("b.jpg"))
    assert (seen.measured, seen.photo, seen.swatch) == (FERN_SEEN, "b.jpg", photograph("b.jpg").measured)
    assert seen.colour == Colour(52.5, FERN_SEEN.a, FERN_SEEN.b, "by eye"), "the value by eye is the maker's"
    entry = store.history()[0]
    assert (entry.kind, entry.text) == ("photograph", "Photographed Fern: L 46, a -30, b 28")
    assert store.history(fabric_id=one.id, limit=1) == [entry]
    assert store.set_swatch(one.id, photograph("b.jpg")) == seen
    assert store.history()[0].op == entry.op, "the same photograph again is no entry"
    store.undo()
    assert restored(store.path) == before
    assert (store.picture(one.id), store.photo_hashes()) == (None, {})


def test_a_swatch_taken_away_leaves_its_colour(store: Store) -> None:
    one = store.add(NewFabric("Fern", swatch=photograph()))
    bare = store.set_swatch(one.id, None)
    assert bare == replace(one, swatch=None)
    assert (store.picture(one.id), store.thumbnail(one.id), store.thumbnails([one.id])) == (None, None, {})
    assert store.history()[0].text == "Removed the photograph of Fern"
    assert store.set_swatch(one.id, None) == bare
    assert len(store.history()) == 2
    store.undo()
    assert store.fabric("Fern") == one
    assert store.picture(one.id) == photograph().picture


def test_a_colour_typed_later_leaves_the_swatch(store: Store) -> None:
    one = store.add(NewFabric("Fern", swatch=photograph()))
    typed = store.edit(one.id, colour=Colour(1, 2, 3))
    assert typed.swatch == one.swatch
    assert typed.colour == Colour(1, 2, 3)


def test_the_same_uid_again_photographs_once(store: Store) -> None:
    one = fern(store)
    store.set_swatch(one.id, photograph("a.jpg"), uid="form")
    store.set_swatch(one.id, photograph("b.jpg"))
    assert store.set_swatch(one.id, photograph("a.jpg"), uid="form").photo == "b.jpg"
    with pytest.raises(NotFound):
        store.set_swatch(99, photograph())


def test_undo_of_a_photograph_names_the_later_one(store: Store) -> None:
    one = fern(store)
    store.set_swatch(one.id, photograph("a.jpg"))
    first = store.history()[0].op
    store.set_swatch(one.id, photograph("b.jpg", Colour(10, 0, 0)))
    with pytest.raises(Conflict, match=f"entry {store.history()[0].op} "):
        store.undo(first)
    with pytest.raises(Conflict):
        store.undo(1)
    store.undo()
    store.undo(first)
    assert store.fabric("Fern") == one


def test_thumbnails_of_many_come_at_once(store: Store) -> None:
    new = [NewFabric(f"F{n}", swatch=photograph(f"{n}.jpg") if n % 2 else None) for n in range(1, 1_203)]
    made = store.add_many(new)
    found = store.thumbnails([*(one.id for one in made), 99_999, -1, made[0].id])
    assert found == {one.id: photograph(one.photo).thumbnail for one in made if one.photo}
    assert store.thumbnails([]) == {}


# --- which files were taken in


def test_files_are_known_by_what_is_in_them_while_their_swatch_stands(store: Store) -> None:
    sheet = photograph("sheet.jpg")
    other_box = replace(sheet, picture=b"\xff\xd8\xff1")
    store.add_many([NewFabric("Fern", swatch=sheet), NewFabric("Moss", swatch=other_box)])
    night = store.add(NewFabric("Night", swatch=photograph("night.jpg")))
    store.archive(night.id)
    known = {sheet.file_hash: "Fern", photograph("night.jpg").file_hash: "Night"}
    assert store.photo_hashes() == known
    store.edit(1, name="Bracken")
    assert store.photo_hashes()[sheet.file_hash] == "Bracken"
    store.undo()
    store.set_swatch(1, photograph("other.jpg"))
    assert store.photo_hashes()[sheet.file_hash] == "Moss"
    for _ in range(4):
        store.undo()
    assert store.photo_hashes() == {}
    assert pictures(store.path) == 4, "a picture stays: what is undone may come back"


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(["1.jpg", "2.jpg", "3.jpg"]), st.booleans()), min_size=1, max_size=6))
def test_added_undone_and_added_again_a_picture_is_kept_once(acts: list[tuple[str, bool]]) -> None:
    with TemporaryDirectory() as folder, Store.create(Path(folder, "stash.db")) as store:
        for photo, known in acts:
            new = photograph(photo)
            one = store.set_swatch(fern(store).id, new) if known else store.add(NewFabric("Fern", swatch=new))
            assert (store.picture(one.id), store.thumbnail(one.id)) == (new.picture, new.thumbnail)
            assert store.photo_hashes() == {new.file_hash: "Fern"}
            for _ in range(1 + known):
                store.undo()
            assert store.photo_hashes() == {}
            assert store.picture(one.id) is None
        assert pictures(store.path) == len({photo for photo, _ in acts})
        agrees(store.path)


# --- many in one entry


def test_twelve_swatches_of_a_sheet_are_one_entry_and_one_undo(store: Store) -> None:
    new = [NewFabric(f"Swatch {n}", swatch=replace(photograph("sheet.jpg"), picture=b"\xff\xd8\xff%d" % n))
           for n in range(1, 13)]  # fmt: skip
    made = store.add_many(new, uid="sheet")
    assert [one.name for one in made] == [one.name for one in new]
    assert store.fabrics() == made
    (entry,) = store.history()
    assert entry.text == "Added 12 fabrics (from photographs): Swatch 1, Swatch 2, Swatch 3 and 9 more"
    assert store.add_many(new, uid="sheet") == made
    assert len(store.history()) == 1
    store.undo()
    assert store.fabrics() == []
    with pytest.raises(NotFound):
        store.add_many(new, uid="sheet")
    assert [one.name for one in store.add_many(new)] == [one.name for one in made]
    assert pictures(store.path) == 12


def test_many_where_a_name_is_taken_are_none(store: Store) -> None:
    fern(store)
    before = tables(store.path), pictures(store.path)
    for names, what in (
        (["Moss", "FERN"], "already"), (["Moss", "Night", " moss"], "two of the new"), (["Moss", ""], "empty"),
    ):  # fmt: skip
        with pytest.raises(Fault, match=what):
            store.add_many([NewFabric(name, swatch=photograph(name)) for name in names])
    cut = replace(photograph("cut.jpg"), picture=b"")
    with pytest.raises(UsageFault, match="no JPEG"):
        store.add_many([NewFabric("Moss", swatch=photograph()), NewFabric("Night", swatch=cut)])
    assert (tables(store.path), pictures(store.path)) == before
    assert store.add_many([]) == []
    assert len(store.history()) == 1
    store.add_many([NewFabric("Moss", (piece(18),))])
    store.add_many([NewFabric("A"), NewFabric("B", swatch=photograph()), NewFabric("C")])
    assert [entry.text for entry in store.history()[:2]] == [
        "Added 3 fabrics (1 from photographs): A, B, C", "Added Moss: 18 in x 40 in",
    ]  # fmt: skip


# --- how long it takes


def test_swatches_do_not_make_the_list_slow(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of the second reading nothing is parsed anew: another one follows every save."""
    store.add_many([NewFabric(f"F{n}", swatch=photograph("sheet.jpg", Colour(n % 100, n / 7, 0))) for n in range(200)])
    first = store.fabrics()

    def parsed(*_: object) -> Measured:
        raise AssertionError

    monkeypatch.setattr(swatches.json, "loads", parsed)
    assert store.fabrics() == first
