"""A kept plan while it is cut: ticked strip by strip, offcuts binned, segments spoiled, the rest planned again."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

import pytest

from stash.errors import Conflict, Fault, NotFound, UsageFault
from stash.inventory.store import Store
from stash.model import Colouring, Fabric, NewFabric, StoredPlan, Way
from stash.typed import read_pieces
from tests.engine.stashes import agrees, inch, piece, planned, restored, two_row_star
from tests.posix import POSIX


def kept(store: Store, strips: int = 3) -> StoredPlan:
    """A plan of so many strips of 2 1/2 in from 54 in of Fern."""
    star = two_row_star(store)
    return store.keep_plan(star.id, 1, [planned(store.fabric("Fern"), strips)])


def length(store: Store, name: str = "Fern") -> int:
    return sum(one.length for one in store.fabric(name).pieces)


def test_each_tick_is_an_entry_and_undo_gives_the_piece_back_to_the_tick(store: Store) -> None:
    """54 in less 1 in of straightening and 2 1/2 in a strip (common practice, no source)."""
    plan = kept(store)
    sizes = []
    for strip in plan.strips:
        store.book(plan.id, [strip.id])
        sizes.append(length(store))
    assert sizes == [inch(50.5), inch(48), inch(45.5)]
    for expected in (48, 50.5, 54):
        store.undo()
        assert length(store) == inch(expected)
    assert [strip.booked for strip in store.plan(plan.id).strips] == [None] * 3
    agrees(store.path)


def test_an_offcut_is_binned_with_the_last_strip_as_one_entry(store: Store) -> None:
    plan = kept(store, 2)
    fern = store.fabric("Fern").pieces[0].id
    first = store.book(plan.id, [plan.strips[0].id], bin_rest=[fern])
    assert "binned" not in first.text
    assert length(store) == inch(50.5)
    before = len(store.history())
    last = store.book(plan.id, [plan.strips[1].id], bin_rest=[fern])
    assert last.text.endswith("; the offcut of Fern is binned")
    assert (length(store), len(store.history())) == (0, before + 1)
    store.undo()
    assert length(store) == inch(50.5)
    agrees(store.path)


def test_an_offcut_is_binned_afterwards_and_kept_again(store: Store) -> None:
    plan = kept(store, 2)
    fern = store.fabric("Fern").pieces[0].id
    with pytest.raises(Conflict, match="still to cut"):
        store.bin_offcut(plan.id, fern)
    store.book(plan.id)
    assert store.bin_offcut(plan.id, fern).text == "Binned the offcut of Fern, 48 in x 40 in"
    assert length(store) == 0
    with pytest.raises(Conflict):
        store.bin_offcut(plan.id, fern)
    store.undo()
    assert length(store) == inch(48)
    with pytest.raises(NotFound):
        store.bin_offcut(plan.id, store.fabric("Moss").pieces[0].id)
    store.used(store.fabric("Fern").id, inch(1))
    with pytest.raises(Conflict, match="Fern"):
        store.bin_offcut(plan.id, fern)


def test_spoiled_segments_are_counted_by_set_and_taken_back(store: Store) -> None:
    plan = kept(store)
    assert store.plan(plan.id).spoiled == ()
    one = "A segment of set 1 for Evening, colouring 1, was spoiled and is cut again"
    assert store.spoil(plan.id, 1, uid="s").text == one
    store.spoil(plan.id, 1, uid="s")  # the same press again
    two = store.spoil(plan.id, 1, 2)
    assert two.text == "2 segments of set 1 for Evening, colouring 1, were spoiled and are cut again"
    assert store.plan(plan.id).spoiled == (3,)
    assert store.spoil(plan.id, 1, -3).text.endswith("colouring 1, were not spoiled")
    assert store.plan(plan.id).spoiled == ()
    store.undo()
    assert store.plan(plan.id).spoiled == (3,)
    with pytest.raises(UsageFault, match="no set 2"):
        store.spoil(plan.id, 2)
    entries = len(store.history())
    for segments, says in ((-4, "so far: 3"), (0, "no segment"), (998, "more than 1000"), (2**70, "more than 1000")):
        with pytest.raises(Fault, match=says):
            store.spoil(plan.id, 1, segments)
    assert (store.plan(plan.id).spoiled, len(store.history())) == ((3,), entries)
    store.let_go(plan.star_id, 1)
    assert store.open_plans() == []
    store.undo()
    assert store.plan(plan.id).spoiled == (3,)
    agrees(store.path)


def cut_short(store: Store, plan: StoredPlan) -> Fabric:
    """A strip is cut, then somebody takes 10 in of the piece."""
    store.book(plan.id, [plan.strips[0].id])
    store.used(plan.strips[0].cut.fabric_id, inch(10))
    return store.fabric("Fern")


def test_a_piece_changed_since_is_refused_by_name_and_the_rest_is_planned_again(store: Store) -> None:
    plan = kept(store)
    now = cut_short(store, plan)
    with pytest.raises(Conflict, match='"Fern" was changed since'):
        store.book(plan.id, [plan.strips[1].id])
    before = restored(store.path)
    rest = [strip.id for strip in plan.strips[1:]]
    again = store.plan_rest(plan.id, rest, [planned(now, 2, trim=0)], uid="again")
    assert [strip.booked is None for strip in again.strips] == [False, True, True]
    assert store.plan_rest(plan.id, rest, [planned(now, 2, trim=0)], uid="again") == again  # sent twice
    with pytest.raises(Conflict, match="there no longer"):
        store.plan_rest(plan.id, rest, [planned(now, 2, trim=0)])
    assert store.plan_rest(plan.id, [], []) == again  # nothing to plan again
    store.undo()
    assert restored(store.path) == before
    again = store.plan_rest(plan.id, rest, [planned(now, 2, trim=0)])
    store.book(plan.id, [again.strips[1].id])
    store.book(plan.id)
    assert length(store) == inch(54 - 1 - 2.5 - 10 - 5)
    assert all(strip.booked is not None for strip in store.plan(plan.id).strips)
    agrees(store.path)


def planned_at_two_times(store: Store) -> StoredPlan:
    """Three strips of Fern still to cut: one planned on 54 in, two on the 50 1/2 in that it leaves."""
    plan = kept(store)
    first = store.book(plan.id, [plan.strips[0].id])
    rest = [planned(store.fabric("Fern"), 2, trim=0)]
    plan = store.plan_rest(plan.id, [strip.id for strip in plan.strips[1:]], rest)
    store.undo(first.op)
    assert [strip.booked for strip in plan.strips[1:]] == [None, None]
    return store.plan(plan.id)


def test_strips_of_a_piece_planned_at_two_times_are_cut_one_by_one_or_together(store: Store) -> None:
    plan = planned_at_two_times(store)
    before = restored(store.path)
    with pytest.raises(Conflict, match="now it has 54 in"):  # the earlier one comes first
        store.book(plan.id, [plan.strips[1].id])
    store.book(plan.id)
    assert length(store) == inch(54 - 1 - 3 * 2.5)
    store.undo()
    assert restored(store.path) == before
    for strip, left in zip(plan.strips, (50.5, 48, 45.5), strict=True):
        store.book(plan.id, [strip.id])
        assert length(store) == inch(left)
    agrees(store.path)


def test_an_offcut_is_not_binned_while_strips_planned_later_are_still_to_cut(store: Store) -> None:
    plan = planned_at_two_times(store)
    fern = store.fabric("Fern").pieces[0].id
    for strip, left in zip(plan.strips, (50.5, 48, 0), strict=True):
        assert ("binned" in store.book(plan.id, [strip.id], bin_rest=[fern]).text) == (left == 0)
        assert length(store) == inch(left)
    agrees(store.path)


def test_a_piece_is_planned_again_as_a_whole(store: Store) -> None:
    """Strips that stay on a piece are measured from its edge: others beside them would be cut from the same cloth."""
    plan = kept(store)
    before = store.path.read_bytes()
    now = store.fabric("Fern")
    for strips, cuts in (
        (plan.strips[2:], [planned(now, 1)]),
        (plan.strips[2:], [planned(now, 1, Way.ALONG)]),
        (plan.strips, [planned(now, 2), planned(now, 2, Way.ALONG)]),
    ):
        with pytest.raises(Conflict, match="nothing was changed"):
            store.plan_rest(plan.id, [strip.id for strip in strips], cuts)
    assert store.path.read_bytes() == before
    again = store.plan_rest(plan.id, [plan.strips[2].id], [planned(store.fabric("Moss"), 1)])
    assert [strip.cut.fabric for strip in again.strips] == ["Fern", "Fern", "Moss"]
    assert store.history(limit=1)[0].text == "Planned the rest of Evening, colouring 1, again"


def test_the_rest_is_not_planned_on_pieces_that_are_not_so(store: Store) -> None:
    plan = kept(store)
    seen = store.fabric("Fern")
    cut_short(store, plan)
    before = store.path.read_bytes()
    with pytest.raises(Conflict, match="Fern"):
        store.plan_rest(plan.id, [strip.id for strip in plan.strips[1:]], [planned(seen, 2)])
    with pytest.raises(Conflict, match="cut already"):
        store.plan_rest(plan.id, [plan.strips[0].id], [planned(store.fabric("Fern"), 2)])
    assert store.path.read_bytes() == before


def test_binding_and_backing_are_kept_with_a_colouring(store: Store) -> None:
    star = two_row_star(store)
    store.add(NewFabric("Flax", (piece(90),)))
    given = Colouring({"A": ("Fern",), "B": ("Moss",)}, "Moss", binding="Flax", backing="Fern")
    saved = store.save_star("Evening", star.star, given)
    assert saved.colourings[1].colouring == given
    assert len(store.save_star("Evening", star.star, given).colourings) == 2
    changed = Colouring(given.uses, "Moss", binding="Moss")
    assert store.replace_colouring(star.id, 2, changed).colourings[1].colouring == changed
    store.undo()
    assert store.star("Evening").colourings[1].colouring == given
    agrees(store.path)


KILLED = """
import os, signal, sys
from pathlib import Path
from stash.inventory import ledger
from stash.inventory.store import Store
finish, when = ledger.Book.finish, sys.argv[4]

def dies(self, note):
    if when == "half written":  # pages go to the file before all is told
        for pragma in ("cache_spill = 1", "cache_size = 1"):
            self.conn.exec_driver_sql(f"PRAGMA {pragma}")
    finish(self, note)
    if when != "saved":
        os.kill(os.getpid(), signal.SIGKILL)

ledger.Book.finish = dies
with Store.open(Path(sys.argv[1])) as store:
    store.book(int(sys.argv[2]), [int(sys.argv[3])], uid="tick")
    os.kill(os.getpid(), signal.SIGKILL)
"""


@POSIX
@pytest.mark.parametrize("when", ["saving", "half written", "saved"])
def test_a_tick_stands_once_though_the_program_is_killed(store: Store, when: str) -> None:
    plan = kept(store)
    strip = plan.strips[0].id
    store.close()
    before = store.path.read_bytes()
    words = [str(store.path), str(plan.id), str(strip), when]
    done = subprocess.run([sys.executable, "-c", KILLED, *words], check=False, cwd=Path.cwd())
    assert done.returncode == -signal.SIGKILL
    assert (store.path.read_bytes() == before) == (when == "saving")
    with Store.open(store.path) as again:
        there = [one for one in again.history() if one.uid == "tick"]
        assert len(there) == (1 if when == "saved" else 0)
        assert length(again) == inch(50.5 if when == "saved" else 54)
        entry = again.book(plan.id, [strip], uid="tick")  # tried again after the restart
        assert [one.uid for one in again.history()].count("tick") == 1
        assert again.book(plan.id, [strip], uid="tick") == entry
        assert [one.booked is None for one in again.plan(plan.id).strips] == [False, True, True]
        assert length(again) == inch(50.5)
        again.undo()
        assert length(again) == inch(54)
    agrees(store.path)


def test_used_up_pieces_are_refused_by_name(store: Store) -> None:
    plan = kept(store)
    store.count(store.fabric("Fern").id, read_pieces("1/4 yd"))
    with pytest.raises(Conflict, match="Fern"):
        store.book(plan.id)


def test_a_piece_that_its_strips_use_up_has_no_offcut_to_bin(store: Store) -> None:
    """54 in is 4 in of straightening and twenty strips of 2 1/2 in (derived)."""
    star = two_row_star(store)
    plan = store.keep_plan(star.id, 1, [planned(store.fabric("Fern"), 20, trim=4)])
    fern = plan.strips[0].cut.piece
    assert "binned" not in store.book(plan.id, bin_rest=[fern]).text
    assert length(store) == 0
    before = store.path.read_bytes()
    with pytest.raises(Conflict, match="Fern"):
        store.bin_offcut(plan.id, fern)
    assert store.path.read_bytes() == before


def test_an_offcut_that_another_plan_is_to_be_cut_from_is_never_binned(store: Store) -> None:
    """Of 54 in, 2 strips of 2 1/2 in go to one star and 1 to another, with an inch of straightening for each."""
    plan = kept(store, 2)
    fern = store.fabric("Fern")
    other = store.save_star("Second", store.stars()[0].star, Colouring({"A": ("Fern",), "B": ("Fern",)}))
    held = store.keep_plan(other.id, 1, [planned(fern, 1)])
    number = fern.pieces[0].id
    assert "binned" not in store.book(plan.id, bin_rest=[number]).text
    with pytest.raises(Conflict, match="the plan of Second is to be cut from this offcut"):
        store.bin_offcut(plan.id, number)
    store.let_go(other.id, held.number)
    assert "Binned" in store.bin_offcut(plan.id, number).text
    agrees(store.path)
