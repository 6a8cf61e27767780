"""Random histories: whatever happens in whatever order, the balances hold and undo brings every table back."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from stash.errors import Conflict, Fault
from stash.inventory.store import Store
from stash.inventory.whole import export_json, import_json
from stash.model import Colour, Colouring, Cut, Kind, NewFabric, NewPiece, NewSwatch, Reference, Star, StoredPlan
from tests.engine.stashes import EVERYTHING, agrees, photograph, planned, raw, restored, tables, visible

SIZES = st.integers(1, 20_000)
PIECES = st.lists(st.builds(NewPiece, st.sampled_from(Kind), SIZES, SIZES, st.booleans(), st.booleans()), max_size=3)
COLOURS = st.builds(
    Colour, st.integers(0, 100), st.integers(-90, 90), st.integers(-90, 90),
    st.sampled_from(["measured", "relative", "typed"]),
)
PHOTOS = st.builds(photograph, st.sampled_from(["1.jpg", "2.jpg"]), COLOURS, st.sampled_from(Reference))
NAMES = st.sampled_from(["Fern", "Moss", "Night", "Poppy", "Milk"])
STARS = st.builds(
    Star, st.just(2), st.sampled_from([Fraction(5, 2), Fraction(2)]), st.sampled_from(["ABA", "ABC", "AAA"])
)
FIELDS = st.fixed_dictionaries({}, optional={"name": NAMES, "place": NAMES, "washed": st.booleans()})
PICK = st.integers(0, 10**6)


class Ledger(RuleBasedStateMachine):
    """Keeps a picture of all tables before each entry that stands, as a stack: undo must bring back the top one."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.store = Store.create(self.folder / "stash.db")
        self.stack: list[tuple[int, dict[str, Any] | None]] = []
        self.lines = 0

    def teardown(self) -> None:
        self.comes_back_from_json()
        while self.stack:
            self.undo()
        assert visible(self.store) == ([], [], [])
        with pytest.raises(Fault, match="nothing to undo"):
            self.store.undo()
        self.store.close()
        shutil.rmtree(self.folder)

    def comes_back_from_json(self) -> None:
        """Whatever happened, the whole of it goes out and comes in again, every row the same, and agrees."""
        export_json(self.store, self.folder / "all.json")
        with Store.create(self.folder / "other.db") as other:
            import_json(other, self.folder / "all.json")
            assert tables(other.path, EVERYTHING) == tables(self.store.path, EVERYTHING)

    def do(self, act: Callable[[], object]) -> None:
        """Run an act. Refused: nothing is changed. Done: its entry goes on the stack."""
        before = restored(self.store.path)
        newest = self.newest()
        try:
            act()
        except Fault:
            assert restored(self.store.path) == before
            assert self.newest() == newest
            return
        if self.newest() != newest:
            assert self.newest() == newest + 1
            self.stack.append((self.newest(), before))
        else:
            assert restored(self.store.path) == before

    def newest(self) -> int:
        entries = self.store.history(limit=1)
        return entries[0].op if entries else 0

    def fabric(self, pick: int) -> Any:
        fabrics = self.store.fabrics(archived=True)
        return fabrics[pick % len(fabrics)]

    def star(self, pick: int) -> Any:
        stars = self.store.stars()
        return stars[pick % len(stars)]

    def plan(self, pick: int) -> StoredPlan:
        plans = self.store.open_plans()
        return plans[pick % len(plans)]

    def has_fabrics(self) -> bool:
        return bool(self.store.fabrics(archived=True))

    def has_stars(self) -> bool:
        return bool(self.store.stars())

    @rule(name=NAMES, pieces=PIECES, colour=st.none() | COLOURS, swatch=st.none() | PHOTOS)
    def add(self, name: str, pieces: list[NewPiece], colour: Colour | None, swatch: NewSwatch | None) -> None:
        self.do(lambda: self.store.add(NewFabric(name, tuple(pieces), colour, swatch=swatch)))

    @rule(swatches=st.dictionaries(NAMES, PHOTOS, max_size=3))
    def add_many(self, swatches: dict[str, NewSwatch]) -> None:
        new = [NewFabric(name, swatch=swatch) for name, swatch in swatches.items()]
        self.do(lambda: self.store.add_many(new))

    @precondition(has_fabrics)
    @rule(pick=PICK, swatch=st.none() | PHOTOS)
    def set_swatch(self, pick: int, swatch: NewSwatch | None) -> None:
        one = self.fabric(pick)
        self.do(lambda: self.store.set_swatch(one.id, swatch))

    @precondition(has_fabrics)
    @rule(pick=PICK, fields=FIELDS)
    def edit(self, pick: int, fields: dict[str, Any]) -> None:
        one = self.fabric(pick)
        self.do(lambda: self.store.edit(one.id, **fields))

    @precondition(has_fabrics)
    @rule(pick=PICK, colour=st.none() | COLOURS)
    def set_colour(self, pick: int, colour: Colour | None) -> None:
        one = self.fabric(pick)
        self.do(lambda: self.store.edit(one.id, colour=colour))

    @precondition(has_fabrics)
    @rule(pick=PICK, value=st.none() | st.integers(0, 100))
    def set_value_by_eye(self, pick: int, value: int | None) -> None:
        one = self.fabric(pick)
        self.do(lambda: self.store.set_value_by_eye(one.id, value))

    @precondition(has_fabrics)
    @rule(pick=PICK, archived=st.booleans())
    def archive(self, pick: int, archived: bool) -> None:
        one = self.fabric(pick)
        self.do(lambda: self.store.archive(one.id, archived))

    @precondition(has_fabrics)
    @rule(pick=PICK, pieces=PIECES)
    def bought(self, pick: int, pieces: list[NewPiece]) -> None:
        one = self.fabric(pick)
        self.do(lambda: self.store.bought(one.id, pieces))

    @precondition(has_fabrics)
    @rule(pick=PICK, pieces=PIECES)
    def count(self, pick: int, pieces: list[NewPiece]) -> None:
        one = self.fabric(pick)
        self.do(lambda: self.store.count(one.id, pieces))

    @precondition(has_fabrics)
    @rule(pick=PICK, ticks=st.none() | st.integers(-1, 40_000))
    def used(self, pick: int, ticks: int | None) -> None:
        one = self.fabric(pick)
        there = sum(p.length for p in one.pieces)
        self.do(lambda: self.store.used(one.id, ticks))
        left = sum(p.length for p in self.store.fabric(one.name).pieces)
        possible = ticks is None or 0 < ticks <= there
        assert left == (there - (there if ticks is None else ticks) if possible else there)

    @precondition(has_fabrics)
    @rule(pick=PICK, rev=st.integers(0, 3), length=st.integers(-1, 20_001), width=st.integers(-1, 20_001))
    def cut(self, pick: int, rev: int, length: int, width: int) -> None:
        one = self.fabric(pick)
        cuts = [
            Cut(one.id, p.id, p.rev if rev else 1, min(length, p.length), min(width, p.width)) for p in one.pieces
        ]
        self.do(lambda: self.store.cut(cuts))

    @rule(name=NAMES, star=STARS, a=st.none() | NAMES, b=NAMES, ground=st.none() | NAMES)
    def save_star(self, name: str, star: Star, a: str | None, b: str, ground: str | None) -> None:
        uses = {letter: (name,) for letter, name in (("A", a), ("B", b)) if name and letter in star.order}
        colouring = None if a is None else Colouring(uses, ground)
        self.do(lambda: self.store.save_star(name, star, colouring))

    @precondition(has_stars)
    @rule(pick=PICK, number=st.integers(1, 3), names=st.lists(NAMES, max_size=2, unique=True))
    def replace_colouring(self, pick: int, number: int, names: list[str]) -> None:
        one = self.star(pick)
        self.do(lambda: self.store.replace_colouring(one.id, number, Colouring({"A": tuple(names)})))

    @precondition(has_stars)
    @rule(pick=PICK, star=STARS, name=NAMES, act=st.integers(0, 4))
    def change_star(self, pick: int, star: Star, name: str, act: int) -> None:
        one = self.star(pick)
        acts: list[Callable[[], object]] = [
            lambda: self.store.rename_star(one.id, name),
            lambda: self.store.set_star(one.id, star),
            lambda: self.store.set_star(one.id, star, number=1, colouring=Colouring({"A": (name,)})),
            lambda: self.store.drop_colouring(one.id, 1),
            lambda: self.store.drop_star(one.id),
        ]
        self.do(acts[act])

    @precondition(lambda self: self.has_stars() and self.has_fabrics())
    @rule(pick=PICK, other=PICK, strips=st.integers(0, 3))
    def keep_plan(self, pick: int, other: int, strips: int) -> None:
        one = self.star(pick)
        fabrics = [f for f in (self.fabric(pick), self.fabric(other)) if f.pieces]
        cuts = [planned(f, strips, strip="1/4", trim=0) for f in {f.id: f for f in fabrics}.values()]
        number = one.colourings[0].number if one.colourings else 1
        self.do(lambda: self.store.keep_plan(one.id, number, cuts))

    @precondition(lambda self: bool(self.store.open_plans()))
    @rule(pick=PICK, some=st.booleans(), binned=st.booleans())
    def book(self, pick: int, some: bool, binned: bool) -> None:
        plan = self.plan(pick)
        ids = [one.id for one in plan.strips if one.booked is None]
        bin_rest = [one.cut.piece for one in plan.strips] if binned else []
        self.do(lambda: self.store.book(plan.id, [ids[pick % len(ids)]] if some else None, bin_rest=bin_rest))
        now = self.store.plan(plan.id).strips
        cut = {one.cut.piece for one in now if one not in plan.strips}
        if cut and "binned" in self.store.history(limit=1)[0].text:
            there = {p.id for f in self.store.fabrics(archived=True) for p in f.pieces}
            assert cut & {one.cut.piece for one in now if one.booked is None} <= there, "strips are still to cut"

    @precondition(lambda self: bool(self.store.open_plans()))
    @rule(pick=PICK, other=PICK, some=st.booleans())
    def plan_rest(self, pick: int, other: int, some: bool) -> None:
        plan, fabric = self.plan(pick), self.fabric(other)
        ids = [one.id for one in plan.strips if one.booked is None]
        cuts = [planned(fabric, 2, strip="1/4", trim=0)] if fabric.pieces else []
        self.do(lambda: self.store.plan_rest(plan.id, ids[: 1 + pick % len(ids)] if some else ids, cuts))

    @precondition(lambda self: bool(self.store.open_plans()))
    @rule(pick=PICK, other=PICK)
    def bin_offcut(self, pick: int, other: int) -> None:
        plan = self.plan(pick)
        piece = plan.strips[other % len(plan.strips)].cut.piece
        self.do(lambda: self.store.bin_offcut(plan.id, piece))

    @precondition(lambda self: bool(self.store.open_plans()))
    @rule(pick=PICK, number=st.integers(1, 2), segments=st.integers(-2, 2))
    def spoil(self, pick: int, number: int, segments: int) -> None:
        plan = self.plan(pick)
        before = sum(plan.spoiled)
        self.do(lambda: self.store.spoil(plan.id, number, segments))
        possible = number == 1 and before + segments >= 0
        assert sum(self.store.plan(plan.id).spoiled) == before + (segments if possible else 0)

    @precondition(lambda self: bool(self.store.open_plans()))
    @rule(pick=PICK)
    def let_go(self, pick: int) -> None:
        plan = self.plan(pick)
        self.do(lambda: self.store.let_go(plan.star_id, plan.number))

    @precondition(lambda self: bool(self.stack))
    @rule()
    def undo(self) -> None:
        """The newest entry can always be undone, and every table is again as it was before it."""
        op, before = self.stack.pop()
        assert self.store.undo().undo_of == op
        assert before is None or restored(self.store.path) == before

    @precondition(lambda self: len(self.stack) > 1)
    @rule(pick=PICK)
    def undo_an_older_one(self, pick: int) -> None:
        """Either a later entry is named and nothing is changed, or it is undone and the balances still hold."""
        place = pick % (len(self.stack) - 1)
        op, _ = self.stack[place]
        before = restored(self.store.path)
        try:
            self.store.undo(op)
        except Conflict as refused:
            named = [later for later, _ in self.stack[place + 1 :] if f"entry {later} " in refused.what]
            assert named
            assert restored(self.store.path) == before
            return
        # The pictures taken after it hold its own change, which is gone now.
        later = [(number, None) for number, _ in self.stack[place + 1 :]]
        self.stack[place:] = later

    @invariant()
    def balances(self) -> None:
        agrees(self.store.path)

    @invariant()
    def nothing_is_taken_out_of_the_ledger(self) -> None:
        with raw(self.store.path) as conn:
            now = sum(conn.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in ("op", "line", "change"))
            pictures = conn.execute("SELECT count(*) FROM picture").fetchone()[0]
        assert pictures <= 2, "one row for each picture, however often it is taken"
        assert now >= self.lines
        self.lines = now


@pytest.mark.filterwarnings("ignore")
class TestLedger(Ledger.TestCase):
    settings = settings(
        max_examples=25, stateful_step_count=25, deadline=None, suppress_health_check=list(HealthCheck),
        print_blob=False,
    )  # fmt: skip
