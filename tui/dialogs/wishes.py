"""What the search for runs of fabrics is asked for."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

from stash.colour.lab import hue_name
from stash.errors import UsageFault
from stash.inventory.store import Store
from stash.lengths import shown
from stash.match.wishes import Wishes
from stash.model import Fabric
from stash.names import name_key, not_found
from tui.dialogs.form import FormDialog
from tui.fields import Field

DIRECTIONS = {"either": None, "light": "light", "dark": "dark"}
MOST = 20


@dataclass(frozen=True)
class Wished:
    """What was typed: the wishes, and the ground of the colouring ("" for none)."""

    wishes: Wishes
    ground: str


class Names:
    """Fabric names as they are in the stash, from what a maker types."""

    def __init__(self, fabrics: Sequence[Fabric]) -> None:
        self._by_key = {name_key(fabric.name): fabric.name for fabric in fabrics}

    def one(self, text: str) -> str:
        """A name, "" where nothing is typed. Raises NotFound with the nearest names."""
        if not text.strip():
            return ""
        found = self._by_key.get(name_key(text))
        if found is None:
            raise not_found("fabric", text, self._by_key.values())
        return found

    def several(self, text: str) -> tuple[str, ...]:
        """Names set apart by commas or semicolons; a whole text that is one name stays one."""
        if name_key(text) in self._by_key:
            return (self.one(text),)
        return tuple(dict.fromkeys(self.one(part) for part in re.split(r"[,;]", text) if part.strip()))


def whole(text: str, least: int, most: int) -> int | None:
    """A whole number, None where nothing is typed."""
    word = text.strip()
    if not word:
        return None
    if not (word.isascii() and word.isdigit() and len(word) <= 4 and least <= int(word) <= most):
        raise UsageFault(f'"{shown(text)}" does not do here', do=f"Write a whole number, {least} to {most}")
    return int(word)


def number(text: str) -> float | None:
    """A value of L*, 0 to 100, None where nothing is typed."""
    word = text.strip().replace(",", ".")
    if not word:
        return None
    if not re.fullmatch(r"[0-9]{1,3}(\.[0-9]{1,4})?", word, re.ASCII) or float(word) > 100:
        raise UsageFault(f'"{shown(text)}" is no value', do="Values run from 0 (black) to 100 (white)")
    return float(word)


def hue(text: str) -> str | None:
    """A hue's word, None where nothing is typed."""
    return hue_name(text) if text.strip() else None


def direction(text: str) -> str | None:
    """light, dark or either."""
    word = text.strip().lower() or "either"
    if word not in DIRECTIONS:
        raise UsageFault(f'"{shown(text)}" is no way to run', do="Use light (light first), dark or either")
    return DIRECTIONS[word]


def _silent(read: Callable[[str], object]) -> Callable[[str], str]:
    """A check that only refuses."""

    def check(text: str) -> str:
        read(text)
        return ""

    return check


def _typed(value: float | None) -> str:
    return "" if value is None else f"{value:g}"


class WishesDialog(FormDialog[Wished]):
    """The wishes of a search. Nothing is saved here; the answer is what was typed."""

    DEFAULT_CSS = """
    WishesDialog > #form { height: 100%; max-height: 24; }
    WishesDialog #ticks { layout: vertical; height: auto; }
    WishesDialog #fields { height: 1fr; scrollbar-size-vertical: 1; }
    WishesDialog FieldLine { layout: horizontal; }
    WishesDialog FieldLine > Horizontal { width: 37; }
    WishesDialog FieldLine .under { width: 1fr; padding-left: 1; }
    WishesDialog FieldLine .under.fault { max-height: 4; }
    """
    SAVE_WORD: ClassVar[str] = "Look"

    def __init__(self, wishes: Wishes, ground: str, fabrics: Sequence[Fabric], letters: int) -> None:
        self._before = wishes
        self._names = names = Names(fabrics)
        self._letters = letters
        self._coloured = {fabric.name for fabric in fabrics if fabric.colour is not None}
        way = {value: word for word, value in DIRECTIONS.items()}[wishes.direction]
        names_of, value_of = _silent(names.several), _silent(number)
        fields = [
            Field("top", "how many", _silent(self._top), str(wishes.top), f"runs to list, 1 to {MOST}"),
            Field("direction", "first", _silent(direction), way, "light, dark, or either"),
            Field("hue", "hue", _silent(hue), wishes.hue or "", "warm, cool, red, orange, yellow ...; empty for all"),
            Field("must", "with", names_of, ", ".join(wishes.must), "must be used; commas between"),
            Field("without", "without", names_of, ", ".join(wishes.without), "fabrics that are left out"),
            Field("near", "near", self._near, wishes.near or "", "a fabric whose colours it takes up"),
            Field("ground", "ground", _silent(names.one), ground, "the fabric of the ground"),
            Field(
                "apart", "apart", _silent(self._apart), _typed(wishes.apart), "fabrics runs differ by, or half"
            ),
            Field("lightest", "lightest", value_of, _typed(wishes.lightest), "value; empty: lightest there is"),
            Field("darkest", "darkest", value_of, _typed(wishes.darkest), "value; empty: darkest there is"),
            Field("min_step", "least step", value_of, _typed(wishes.min_step), "of value (L*); empty: up to 5"),
            Field("stand_off", "stand-off", value_of, _typed(wishes.stand_off), "edge rows from the ground: 25"),
        ]
        ticks = [
            ("any", "list what the stash does not cover, too", wishes.any),
            ("measured", "only measured fabrics", wishes.measured),
        ]
        super().__init__("Wishes for this star", fields, ticks)

    def _top(self, text: str) -> int:
        return whole(text, 1, MOST) or self._before.top

    def _apart(self, text: str) -> int | None:
        return whole(text, 1, self._letters)

    def _near(self, text: str) -> str:
        name = self._names.one(text)
        if name and name not in self._coloured:
            raise UsageFault(f'"{shown(name)}" has no colour yet', do="Give it a colour first")
        return ""

    def write(self, values: Mapping[str, str], ticks: Mapping[str, bool]) -> Callable[[Store], Wished]:
        stand_off = number(values["stand_off"])
        wishes = replace(
            self._before,
            top=self._top(values["top"]),
            direction=direction(values["direction"]),
            hue=hue(values["hue"]),
            near=self._names.one(values["near"]) or None,
            must=self._names.several(values["must"]),
            without=self._names.several(values["without"]),
            apart=self._apart(values["apart"]),
            lightest=number(values["lightest"]),
            darkest=number(values["darkest"]),
            min_step=number(values["min_step"]),
            stand_off=25.0 if stand_off is None else stand_off,
            any=ticks["any"],
            measured=ticks["measured"],
        )
        if wishes.lightest is not None and wishes.darkest is not None and wishes.lightest < wishes.darkest:
            raise UsageFault("The lightest value is under the darkest", do="Give the light end first")
        wished = Wished(wishes, self._names.one(values["ground"]))
        return lambda store: wished
