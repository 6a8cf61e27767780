"""Sequences near to a given fabric, against a search that looks at every run of a small stash.

Differences of colour are colour-science's CIEDE2000 with its weights for textiles (kL = 2). That of colormath, which
the engine takes, differs from it by up to 0.0001 (measured over 20,000 random pairs), so costs agree only to CLOSE.
"""

from __future__ import annotations

import random
import warnings
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING, Any

import pytest

from stash.errors import Fault, NotFound, UsageFault
from stash.match.sequence import suggest
from stash.match.wishes import Wishes
from stash.model import Colour, Fabric, Measured, PaletteColour, Star
from tests.engine.random_wishes import STAR, one_case, plain
from tests.engine.runs_by_hand import ByHand, key, same_list

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which optional libraries it does without
    from colour.difference import delta_E_CIE2000

if TYPE_CHECKING:
    from tests.engine.conftest import CommandLine

CLOSE = 1e-4

@cache
def difference(one: Colour, other: Colour) -> float:
    return float(delta_E_CIE2000((one.L, one.a, one.b), (other.L, other.a, other.b), textiles=True))


def lab(told: Any) -> Colour:
    """The colour of a part of a JSON document."""
    return Colour(told["L"], told["a"], told["b"])


def print_of(fabric: Fabric, *colours: tuple[Colour, float]) -> Fabric:
    """The fabric as a print whose swatch has these colours and shares."""
    assert fabric.colour is not None
    palette = tuple(PaletteColour(colour, share) for colour, share in colours)
    return replace(fabric, swatch=Measured(fabric.colour, 20, 80, 18.0, palette, (0, 0, 200, 200)))


def palette(fabric: Fabric) -> tuple[PaletteColour, ...]:
    assert fabric.colour is not None
    return fabric.swatch.palette if fabric.swatch else (PaletteColour(fabric.colour, 1.0),)


class NearByHand(ByHand):
    """All runs, with what being near to a fabric adds: (distance / 20)^2 for each, and 1.5 for each main colour (share
    >= 10 %) that none meets within 12. (The definitions are our own.)"""

    weight = 0.3

    def more(self, run: Iterable[Fabric]) -> float:
        fabrics = list(run)
        unmet = sum(self.nearest(one, fabrics)[0] > 12 for one in self.main())
        return sum((self.distance(one) / 20) ** 2 for one in fabrics) + 1.5 * unmet

    def given(self) -> Fabric:
        return self.by_name[key(self.wishes.near or "")]

    def main(self) -> list[Colour]:
        return [one.colour for one in palette(self.given()) if one.share >= 0.1]

    def distance(self, fabric: Fabric) -> float:
        """To the nearest colour of share >= 3 %; a print by the mean of its colours, weighted by share."""
        wanted = [one.colour for one in palette(self.given()) if one.share >= 0.03]
        own = palette(fabric)
        assert fabric.colour is not None
        if len(own) == 1:
            return min(difference(fabric.colour, one) for one in wanted)
        return sum(each.share * min(difference(each.colour, one) for one in wanted) for each in own)

    @staticmethod
    def nearest(main: Colour, fabrics: list[Fabric]) -> tuple[float, int]:
        """How near the run comes to a main colour and which letter does: by the fabrics' own colours or, of prints,
        by their main ones."""
        near = []
        for fabric in fabrics:
            assert fabric.colour is not None
            prints = palette(fabric) if len(palette(fabric)) > 1 else ()
            own = [fabric.colour, *(one.colour for one in prints if one.share >= 0.1)]
            near.append(min(difference(one, main) for one in own))
        return min(near), near.index(min(near))


def near_case(seed: int) -> tuple[Star, list[Fabric], Wishes]:
    """A stash with prints among it, and a wish to be near to one of its fabrics, beside other wishes. Half of the
    print's colours lie near to fabrics of the stash, so that which are met differs from run to run."""
    star, fabrics, wishes = one_case(seed)
    rng = random.Random(f"near {seed}")
    colours = [one.colour for one in fabrics if one.colour]

    def some_colour() -> Colour:
        if rng.random() < 0.6:
            base = rng.choice(colours)
            return Colour(base.L + rng.uniform(-9, 4), base.a + rng.uniform(-7, 7), base.b + rng.uniform(-7, 7))
        return Colour(rng.uniform(15, 95), rng.uniform(-50, 50), rng.uniform(-50, 50))

    def printed(fabric: Fabric) -> Fabric:
        shares = rng.choice(((1.0,), (0.6, 0.4), (0.4, 0.3, 0.2, 0.1), (0.5, 0.45, 0.029, 0.021), (0.2,) * 5,
                             (0.16, 0.14, 0.13, 0.13, 0.12, 0.11, 0.11, 0.10)))  # fmt: skip
        return print_of(fabric, *((some_colour(), share) for share in shares))

    usable = [i for i, one in enumerate(fabrics) if one.colour and not one.archived]
    for i in usable:
        if rng.random() < 0.25:
            fabrics[i] = printed(fabrics[i])
    given = rng.choice(usable)
    if rng.random() < 0.8:
        fabrics[given] = printed(fabrics[given])
    return star, fabrics, replace(wishes, near=fabrics[given].name.upper())


@pytest.mark.parametrize("block", range(12))
def test_the_list_is_what_looking_at_every_run_finds(block: int) -> None:
    """With other wishes beside: coverage or --any, a ground, fixed letters, answers apart."""
    met: Counter[int] = Counter()
    for seed in range(block * 30, block * 30 + 30):
        star, fabrics, wishes = near_case(seed)
        expected = NearByHand(star, fabrics, wishes)
        answer = suggest(star, fabrics, wishes)
        same_list(answer, expected, (seed, wishes), within=CLOSE)
        assert key(answer.near) == key(wishes.near or "")
        assert [one.colour for one in answer.main_colours] == expected.main()
        for sequence in answer.sequences:
            nearest = [expected.nearest(one, list(sequence.fabrics)) for one in expected.main()]
            assert [(one.colour, one.letter) for one in sequence.meets] == [
                (colour, star.letters[letter])
                for colour, (near, letter) in zip(expected.main(), nearest, strict=True) if near <= 12
            ]  # fmt: skip
            met[len(sequence.meets)] += 1
    assert len(met) >= 3


def test_the_penalty_decides_together() -> None:
    """Two letters, two main colours. Each letter by itself would take the red; only both together meet both.

    Red and Blue are the given colours themselves, at other values: with kL = 2 a difference of value alone of D comes
    out under D / 2 / 0.99, as S_L >= 1 (derived); so all four are near, and one unmet colour costs 1.5.
    """
    red, blue = Colour(60, 40, 20), Colour(60, 0, -40)
    given = print_of(Fabric(9, "Posy", colour=Colour(60, 15, -5)), (red, 0.5), (blue, 0.5))
    fabrics = [plain(1, "Light Red", 66, 40, 20), plain(2, "Dark Red", 54, 40, 20), plain(3, "Dark Blue", 53, 0, -40)]
    wishes = Wishes(near="Posy", without=("Posy",), colour_weight=0, lively=0, apart=1, lightest=66, darkest=54)
    first, second = suggest(STAR, [*fabrics, given], wishes).sequences[:2]
    assert [one.name for one in first.fabrics] == ["Light Red", "Dark Blue"]
    assert [(one.colour, one.share, one.letter) for one in first.meets] == [(red, 0.5, "A"), (blue, 0.5, "B")]
    assert [one.name for one in second.fabrics] == ["Light Red", "Dark Red"]
    assert [one.letter for one in second.meets] == ["A"]
    assert 1.4 < second.cost - first.cost < 1.5


def test_colour_weighs_less_unless_it_is_given() -> None:
    """Colours 40 apart: k (40 / 20)^2 = 4 k, so 1.2 at 0.3 and 2 at 0.5 (worked by hand)."""
    fabrics = [plain(1, "Cream", 90, 20, 0), plain(2, "Moss", 30, -20, 0)]
    answers = [suggest(STAR, fabrics, Wishes(near="Cream", colour_weight=weight)) for weight in (None, 0.3, 0.5)]
    default, three, five = (answer.sequences[0].cost for answer in answers)
    assert default == three
    assert five - three == pytest.approx(0.8)


def test_a_value_set_by_eye_moves_the_whole_palette() -> None:
    """The photograph was too dark by 20: what is judged by eye goes for every colour of the print."""
    given = print_of(Fabric(9, "Posy", colour=Colour(40, 0, 0)), (Colour(30, 40, 0), 0.5), (Colour(50, 0, 40), 0.5))
    lifted = replace(given, value_by_eye=60.0, colour=Colour(60, 0, 0, "by eye"))
    fabrics = [plain(1, "Cream", 90), plain(2, "Moss", 30), lifted]
    answer = suggest(STAR, fabrics, Wishes(near="Posy"))
    assert [one.colour.L for one in answer.main_colours] == [50, 70]


def test_what_near_cannot_be() -> None:
    fabrics = [plain(1, "Cream", 90), plain(2, "Moss", 30), Fabric(3, "Bare")]
    fabrics.append(replace(plain(4, "Old", 50), archived=True))
    for name, fault in (("Mos", NotFound), ("bare", UsageFault), ("Old", Fault)):
        with pytest.raises(fault) as raised:
            suggest(STAR, fabrics, Wishes(near=name))
        assert name.capitalize() in raised.value.line()


def test_relative_values_are_said_once() -> None:
    def relative(fabric: Fabric) -> Fabric:
        assert fabric.colour is not None
        return replace(fabric, colour=replace(fabric.colour, source="relative"))

    cream, moss, ink = plain(1, "Cream", 90), plain(2, "Moss", 50), plain(3, "Ink", 20)
    star = Star(2, STAR.strip, "ABC")
    assert not any("relative" in note for note in suggest(star, [cream, moss, ink]).notes)
    one = suggest(star, [relative(cream), moss, ink]).notes
    assert [note for note in one if "relative" in note] == [
        "The value of 1 fabric is relative: photograph it on paper."
    ]  # fmt: skip
    fabrics = [relative(cream), relative(moss), ink, relative(plain(4, "Pitch", 1))]
    two = suggest(star, fabrics, Wishes(top=1, darkest=20))
    assert [note for note in two.notes if "relative" in note] == [
        "The value of 2 fabrics is relative: photograph them on paper."
    ]  # fmt: skip


def test_near_on_the_command_line(cli: CommandLine) -> None:
    """A colour is met by the fabric that comes nearest, with its own colour or a main colour (share 10 % or more)
    of its palette, where that is within 12."""
    words = ("suggest", "--grid", 4, "--strip", 2.5, "--near", "fern")
    found: Any = cli.json(*words)
    stash = {one["fabric"]: one for one in cli.json("list")}
    assert found["near"]["fabric"] == "Fern"
    mains = found["near"]["main_colours"]
    assert mains == [one for one in stash["Fern"]["palette"] if one["share"] >= 0.1]
    meets = [one["meets"] for one in found["sequences"]]
    assert {tuple(sorted(each)) for one in meets for each in one} == {("L", "a", "b", "hex", "letter", "share")}
    for one in found["sequences"]:
        expected = []
        for main in mains:
            near = {}
            for each in one["fabrics"]:
                fabric = stash[each["fabric"]]
                assert each["relative"] == (fabric["place"] == "parcel")  # its photograph has no paper in it
                own = [fabric, *(part for part in fabric["palette"] if part["share"] >= 0.1)]
                near[each["letter"]] = min(difference(lab(part), lab(main)) for part in own)
            best = min(near, key=lambda letter: near[letter])
            if near[best] <= 12:
                expected.append(best)
        assert [each["letter"] for each in one["meets"]] == expected
    text = cli(*words).out
    met = ", ".join(f"green in {each['letter']}" for each in meets[0])
    assert len(mains) == len(meets[0]) > 1
    assert f"Meets {len(mains)} of {len(mains)} main colours of Fern: {met}" in text.splitlines()
    plain_answer: Any = cli.json(*words[:-2])
    assert "near" not in plain_answer
    assert [one["meets"] for one in plain_answer["sequences"]] == [[]] * 5


@pytest.mark.parametrize(("name", "code"), [("Nettel", 1), ("Bare", 2)])
def test_a_fault_names_the_option(cli: CommandLine, name: str, code: int) -> None:
    cli.json("add", "Bare", "--length", "1 yd")
    said = cli("suggest", "--grid", 4, "--strip", 2.5, "--near", name)
    assert (said.code, said.out, said.err.count("\n")) == (code, "", 1)
    assert said.err.startswith("starcover: --near: ")
    assert ("Nettle" if name == "Nettel" else "no colour yet") in said.err
