"""The measures of a star: grid, strip, letters, cloth, stagger. For the star on the table and for a new one."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from typing import ClassVar, TypeVar

from textual import on
from textual.widgets import Input, Static

from stash.errors import Fault, UsageFault
from stash.inventory.store import Store
from stash.lengths import mixed, read_length, show_typed, shown
from stash.model import SavedStar, Star
from stash.names import name_key
from stash.star.chart import check_star, make_order, read_stagger
from stash.star.repeats import order_of, repeat_of
from stash.star.yields import segments_per_strip, sewn_on_paper
from tui.dialogs.form import FieldLine, FormDialog
from tui.fields import Field

T = TypeVar("T")
NEW_STAR = Star(4, Fraction(5, 2), "ABCDEFG")
ORDER_HINT = "none, mirror, again, or the letters from the centre to the tip"


def read_grid(text: str) -> int:
    """A grid of 2 to 13, typed as `4` or `4 x 4`."""
    words = text.lower().replace("×", "x").split("x")
    first = words[0].strip()
    if len(words) > 2 or not (first.isascii() and first.isdigit()) or len(first) > 2 or words[-1].strip() != first:
        raise UsageFault(f'"{shown(text)}" is no grid', do="Write how many small diamonds a side has, 2 to 13")
    return int(first)


def read_order(text: str, grid: int) -> str:
    """The letters of an order as typed."""
    return order_of("again", grid) if text.strip().lower() == "again" else make_order(text, grid)


def star_fields(star: Star) -> list[Field]:
    """The fields, filled in from a star."""
    repeat = repeat_of(star)

    def length(text: str) -> str:
        return show_typed(read_length(text, units=star.units), star.units)

    def stagger(text: str) -> str:
        found = read_stagger(text, units=star.units)
        return "the finished strip width" if found is None else show_typed(found, star.units)

    def grid(text: str) -> str:
        found = read_grid(text)
        make_order("none", found)
        return f"{found} × {found}: {2 * found - 1} rows"

    def units(text: str) -> str:
        return read_units(text)

    return [
        Field("grid", "grid", grid, str(star.grid), "small diamonds on a side of the large one, 2 to 13"),
        Field("strip", "strip width", length, _typed(star.strip, star.units), "1 to 4 1/2 in"),
        Field("order", "repeat", lambda text: "", star.order if repeat == "own" else repeat, ORDER_HINT),
        Field(
            "width", "usable width", length, _typed(star.width, star.units), "selvage to selvage, 40 unless measured"
        ),
        Field("stagger", "stagger", stagger, _stagger(star), "exact, level, or a length"),
        Field("seam", "seam", length, _typed(star.seam, star.units), "1/4 in"),
        Field("units", "units", units, star.units, "in or cm: what is shown, and what a bare number means"),
    ]


def read_units(text: str) -> str:
    """in or cm."""
    word = text.strip().lower()
    if word not in ("in", "cm"):
        raise UsageFault(f'"{shown(text)}" is no unit', do="Write in or cm")
    return word


def _typed(inches: Fraction, units: str) -> str:
    return show_typed(inches, "cm") if units == "cm" else mixed(inches)


def _stagger(star: Star) -> str:
    return "exact" if star.stagger is None else _typed(star.stagger, star.units)


def star_of(values: Mapping[str, str], small_runs: bool, before: Star) -> Star:
    """The star that was typed; what has no field is as before. Raises UsageFault for a star that cannot be."""
    grid = read_grid(values["grid"])
    units = before.units  # a bare number means what the form said when it opened

    def length(name: str, was: Fraction) -> Fraction:
        # A quarter inch shows as 0.64 cm: what nobody touched stays what it was.
        return was if values[name] == _typed(was, units) else read_length(values[name], units=units)

    star = Star(
        grid=grid,
        strip=length("strip", before.strip),
        order=read_order(values["order"], grid),
        width=length("width", before.width),
        stagger=before.stagger
        if values["stagger"] == _stagger(before)
        else read_stagger(values["stagger"], units=units),
        seam=length("seam", before.seam),
        small_runs=small_runs,
        borders=before.borders,
        bed=before.bed,
        drop=before.drop,
        units=read_units(values["units"]),
        binding_width=before.binding_width,
        backing_width=before.backing_width,
    )
    check_star(star)
    sewn_on_paper(star)
    return star


def about_star(values: Mapping[str, str], small_runs: bool, before: Star) -> str:
    """What the repeat comes to, for the line under its field."""
    star = star_of(values, small_runs, before)
    return f"{star.order}: {len(star.letters)} fabrics; {segments_per_strip(star)} segments a strip"


TICKS = "four runs of two allowed (small runs)"


class _StarForm(FormDialog[T]):
    """Checks the fields together: the letters wanted hang on the grid."""

    DEFAULT_CSS = """
    _StarForm > #form { height: 100%; max-height: 26; }
    _StarForm #fields { height: 1fr; scrollbar-size-vertical: 1; }
    """

    before: Star

    @on(Input.Changed)
    def _together(self) -> None:
        order = next(line for line in self.query(FieldLine) if line.field.id == "order")
        under = order.query_one(".under", Static)
        try:
            said = f"= {about_star(self._values(), self._tick_values()['small_runs'], self.before)}"
        except Fault as fault:
            said = f"✗ {fault.line()}"
        if order.check(quiet=True):
            under.update(said)
            under.set_class(said.startswith("✗"), "fault")


class StarSettings(_StarForm[Star]):
    """The measures of the star on the table. The answer is the star as typed; nothing is saved here."""

    SAVE_WORD: ClassVar[str] = "Take"

    def __init__(self, star: Star) -> None:
        super().__init__("Settings of the star", star_fields(star), [("small_runs", TICKS, star.small_runs)])
        self.before = star

    def write(self, values: Mapping[str, str], ticks: Mapping[str, bool]) -> Callable[[Store], Star]:
        star = star_of(values, ticks["small_runs"], self.before)
        return lambda store: star


class NewStar(_StarForm[SavedStar]):
    """A new star, saved under its name; the answer is what was saved."""

    SAVE_WORD: ClassVar[str] = "Lay out"

    def __init__(self, stars: Sequence[SavedStar]) -> None:
        self._taken = {name_key(star.name) for star in stars}
        name = Field("name", "name", self._free_name, "", "what you call this star")
        super().__init__("A new star", [name, *star_fields(NEW_STAR)], [("small_runs", TICKS, False)])
        self.before = NEW_STAR

    def _free_name(self, text: str) -> str:
        if not text.strip():
            raise UsageFault("A star needs a name", do="Use any words of your own")
        if name_key(text) in self._taken:
            raise UsageFault("There is a star of that name", do="Use another name")
        return ""

    def write(self, values: Mapping[str, str], ticks: Mapping[str, bool]) -> Callable[[Store], SavedStar]:
        star = star_of(values, ticks["small_runs"], self.before)
        return lambda store: store.save_star(values["name"], star, uid=self.uid)
