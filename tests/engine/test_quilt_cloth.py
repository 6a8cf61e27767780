"""Ground, borders, binding and backing against the stash: what fits, what is short, cloth counted once."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import product
from typing import TYPE_CHECKING

import pytest

from stash.lengths import TICKS_PER_INCH, to_ticks
from stash.match.coverage import check
from stash.match.ground import OnPieces, lay_ground, lay_parts, ways_kept
from stash.model import QUILT_PARTS, Colouring, Coverage, Fabric, Hold, Kind, Mark, Piece, Star, Way
from stash.star.ground import ground_layouts
from stash.star.quilt import backing_panels, binding_strips, quilt
from tests.engine.by_hand import inch

if TYPE_CHECKING:
    from tests.engine.conftest import CommandLine

LARGE = Star(8, Fraction(9, 4), "ABCDEFGHIJKLMNO")
WIDE = Star(8, Fraction(3), "ABCDEFGHIJKLMNO")
SMALL = Star(2, Fraction(5, 2), "ABA")


def cloth(number: int, *sizes: tuple[float, float], name: str = "Flax", kind: Kind = Kind.YARDAGE) -> Fabric:
    pieces = tuple(Piece(10 * number + i, kind, inch(long), inch(wide)) for i, (long, wide) in enumerate(sizes))
    return Fabric(number, name, pieces)


def asked(star: Star, fabrics: list[Fabric], **parts: str) -> Coverage:
    """A check of a star whose letters have all the cloth they want."""
    plenty = cloth(99, (900, 45), name="plenty")
    uses = {letter: ("plenty",) for letter in star.letters}
    return check(star, Colouring(uses, **parts), [*fabrics, plenty])


@pytest.mark.parametrize(("width", "yards"), [(42, Fraction(2)), (40, Fraction(25, 8))])
def test_the_ground_of_an_8_x_8_of_2_1_4(width: int, yards: Fraction) -> None:
    """2 yd at 42 wide, 3 1/8 at 40, before straightening: the triangle square of 29 7/8 and its corner squares of
    20 5/8 stand in fewer shelves on the wider cloth [derived from the setting pieces]."""
    laid = lay_ground(cloth(1, (200, width)), LARGE)
    assert -(-laid.length // Fraction(9, 2)) * Fraction(1, 8) == yards
    exact = laid.length + 1  # straightening of yardage takes an inch (common practice, no source)
    lengths = (exact, exact - Fraction(1, 16))
    just, short = (asked(LARGE, [cloth(1, (float(length), width))], ground="Flax") for length in lengths)
    assert just.ground is not None
    assert short.ground is not None
    assert (just.ground.mark, short.ground.mark) == (Mark.TIGHT, Mark.SHORT)


def test_a_triangle_square_wider_than_the_cloth_is_cut_as_four_triangles_and_said() -> None:
    found = asked(WIDE, [cloth(1, (400, 40))], ground="Flax").ground
    assert found is not None
    assert found.mark is Mark.COVERED
    assert "cut its four triangles singly, long side along the selvage" in found.note
    roomy = asked(WIDE, [cloth(1, (400, 44))], ground="Flax").ground
    assert roomy is not None
    assert roomy.note == ""


def test_borders_go_lengthwise_on_a_piece_that_is_long_enough_else_across() -> None:
    """4 x 4 of 2 1/2 with 4 in borders: strips up to 47 1/2 long, so a piece of two yards takes them lengthwise and
    two pieces of one yard cannot [derived]."""
    star = Star(4, Fraction(5, 2), "ABCDEFG", borders=(Fraction(4),))
    lengthwise, across = ground_layouts(star, Fraction(40))
    assert (lengthwise.borders, across.borders) == ("lengthwise", "across")
    assert lay_ground(cloth(1, (72, 40)), star).length == lengthwise.length
    two_halves = lay_ground(cloth(1, (36, 40), (36, 40)), star)
    assert (two_halves.length, two_halves.missing) == (across.length, 0)


def test_binding_strips_and_backing_panels_are_those_of_the_patterns() -> None:
    """28 square: 3 binding strips at 42 and 1 yd of backing [source: allpeoplequilt.com, pattern patriotic-sparkler];
    2 1/2 in strips for a double-fold binding (common practice, no source)."""
    # a quilt of 28 in: a 2 x 2 star of 2 1/2 in strips is 19.31 square, borders of 4.34 bring it to 28
    star = Star(2, Fraction(5, 2), "ABA", borders=(Fraction("4.343"),))
    whole = quilt(star)
    assert float(whole.size.width) == pytest.approx(28, abs=0.01)
    assert (whole.binding_strips, whole.panels, whole.backing_yards) == (3, 1, 1)
    assert binding_strips(star, Fraction(42)) == 3
    assert backing_panels(star, Fraction(42))[0] == 1
    fabrics = [cloth(1, (8.5, 42), name="Edge"), cloth(2, (37.25, 42), name="Back")]
    found = asked(star, fabrics, binding="Edge", backing="Back")
    assert [(one.what, one.mark, float(one.length_needed)) for one in found.quilt] == [
        ("binding", Mark.TIGHT, 7.5), ("backing", Mark.TIGHT, 36),
    ]  # fmt: skip


def test_binding_may_come_from_several_pieces_and_lacks_what_it_lacks() -> None:
    """19.31 in square: (77.3 + 10) / 42 is three strips (derived); pieces of 4 and 7 in give one and two."""
    edge = cloth(1, (4, 42), (7, 42), name="Edge")
    assert asked(SMALL, [edge], binding="Edge").quilt[0].mark is not Mark.SHORT
    short = asked(SMALL, [cloth(1, (4, 42), (5, 42), name="Edge")], binding="Edge").quilt[0]
    # one strip of 2 1/2 and an inch of straightening: 1/8 yd, sold full width
    assert (short.mark, short.buy) == (Mark.SHORT, Fraction(9, 2))
    fat = cloth(1, (18, 21), name="Edge", kind=Kind.FAT_QUARTER)
    assert asked(SMALL, [fat], binding="Edge").quilt[0].mark is Mark.SHORT


def test_one_fabric_for_all_is_counted_once() -> None:
    """Ground, binding and backing come off the one piece of the fabric that is letter A, too, beside its strips."""
    parts = {"ground": "Flax", "binding": "Flax", "backing": "Flax"}
    uses = {"A": ("Flax",), "B": ("Moss",)}
    moss = cloth(2, (20, 42), name="Moss")
    needed = lay_parts(cloth(1, (100, 42)), SMALL, QUILT_PARTS).length
    letters = Fraction(5)  # A takes two strips of 2 1/2
    for spare, covered in ((Fraction(0), True), (Fraction(-1, 8), False)):
        flax = cloth(1, (float(1 + needed + letters + spare), 42))
        found = check(SMALL, Colouring(uses, **parts), [flax, moss])
        assert found.covered is covered
        assert {part.mark for part in found.quilt} <= {Mark.COVERED, Mark.TIGHT}


def test_parts_are_laid_in_order_and_the_one_without_room_is_short() -> None:
    needed = [lay_parts(cloth(1, (100, 42)), SMALL, QUILT_PARTS[: i + 1]).length for i in range(3)]
    flax = cloth(1, (float(1 + needed[1] + 2), 42))
    found = asked(SMALL, [flax], ground="Flax", binding="Flax", backing="Flax")
    assert found.ground is not None
    assert found.ground.mark is not Mark.SHORT
    assert [one.mark is Mark.SHORT for one in found.quilt] == [False, True]


def test_cloth_that_other_stars_hold_is_no_ground() -> None:
    piece = Piece(1, Kind.YARDAGE, inch(40), inch(42))
    whole = lay_ground(Fabric(1, "Flax", (piece,)), SMALL)
    assert whole.missing == 0
    for hold in (Hold(Way.ACROSS, inch(31)), Hold(Way.ALONG, inch(3))):
        held = Fabric(1, "Flax", (Piece(1, Kind.YARDAGE, inch(40), inch(42), hold=hold),))
        assert lay_ground(held, SMALL).missing > 0


def test_an_unmeasured_backing_says_so() -> None:
    found = asked(SMALL, [Fabric(1, "Back", (), recorded=False)], backing="Back").quilt[0]
    assert (found.mark, found.buy) == (Mark.UNMEASURED, None)


def shelves_of(star: Star, width: Fraction, parts: tuple[str, ...]) -> list[list[int]]:
    """The shelves of the parts in each layout, ticks."""
    rest = []
    if "binding" in parts:
        rest += [to_ticks(Fraction(5, 2))] * binding_strips(star, width)
    if "backing" in parts:
        count, side = backing_panels(star, width)
        rest += [to_ticks(side.up_to(Fraction(1, 8)))] * count
    if "ground" not in parts:
        return [rest]
    return [[to_ticks(shelf.height) for shelf in layout.shelves] + rest for layout in ground_layouts(star, width)]


def straightened(piece: Piece) -> int:
    """An inch of yardage that was not cut before goes into straightening (common practice, no source)."""
    return piece.length - inch(1)


def fits_by_hand(star: Star, pieces: list[Piece], parts: tuple[str, ...]) -> bool:
    """Whether any sharing out of the shelves over the pieces, at any of their widths, fits."""
    for width in {piece.width for piece in pieces}:
        able = [piece for piece in pieces if piece.width >= width]
        for shelves in shelves_of(star, Fraction(width, TICKS_PER_INCH), parts):
            for places in product(range(len(able)), repeat=len(shelves)):
                sums = [sum(h for h, at in zip(shelves, places, strict=True) if at == i) for i in range(len(able))]
                if all(total <= straightened(piece) for total, piece in zip(sums, able, strict=True)):
                    return True
    return False


@pytest.mark.parametrize("seed", range(60))
def test_what_fits_and_what_does_not_against_every_sharing_out(seed: int) -> None:
    rng = random.Random(seed)
    star = Star(2, Fraction(rng.choice([6, 8, 10]), 4), "ABA")
    parts = rng.choice([("ground",), ("binding",), ("ground", "binding"), ("backing",)])
    pieces = [
        Piece(i, Kind.YARDAGE, inch(rng.choice([4, 6, 9, 12, 18, 30])), inch(rng.choice([36, 40, 42])))
        for i in range(1, rng.randint(1, 3) + 1)
    ]
    laid: OnPieces = lay_parts(Fabric(1, "Flax", tuple(pieces)), star, parts)
    assert (laid.missing == 0) is fits_by_hand(star, pieces, parts)
    if laid.missing == 0:
        for kept in ways_kept(Fabric(1, "Flax", tuple(pieces)), star, laid):
            # every way really lies on the pieces, and takes just the shelves
            assert all(taken <= straightened(piece) for taken, piece in zip(kept, pieces, strict=True))
            widths = {*(Fraction(piece.width, TICKS_PER_INCH) for piece in pieces), Fraction(40), Fraction(42)}
            assert sum(kept) in {sum(one) for width in widths for one in shelves_of(star, width, parts)}


def test_many_pieces_and_many_shelves_are_quick_enough_to_be_told_apart() -> None:
    """Nine pieces and a dozen strips and more have millions of ways; they are looked at by what they leave."""
    flax = cloth(1, *((20 + i / 2, 42) for i in range(9)))
    laid = lay_parts(flax, Star(4, Fraction(5, 2), "ABCDEFG", borders=(Fraction(2), Fraction(6))), QUILT_PARTS)
    assert laid.parts[1].missing == 0


def test_check_says_binding_and_backing(cli: CommandLine) -> None:
    asked_for = ("check", "--star", "Mill Pond", "--binding", "Sage", "--backing", "rime")
    found = cli.json(*asked_for)
    assert [(one["what"], one["fabric"], one["mark"]) for one in found["quilt"]] == [
        ("binding", "Sage", "covered"), ("backing", "Rime", "short"),
    ]  # fmt: skip
    assert found["covered"]  # which speaks of the letters
    text = cli(*asked_for).out
    assert "Binding: Sage, 7 1/2 in of it: covered" in text
    assert "Backing: Rime, 37 in of it: short, buy 1 1/8 yd" in text
    assert "--backing" in cli("check", "--star", "Mill Pond", "--backing", "Nowhere").err
    cli.json(*asked_for[:3], "--binding", "Sage", "--save", "Mill Pond")
    assert cli.json("stars")[1]["colourings"][-1]["binding"] == "Sage"


@pytest.mark.parametrize("at_hand", [(), ((20, 10),), ((5, 40),), ((36, 18),)])
def test_what_is_to_buy_is_not_reckoned_at_the_width_of_a_remnant(at_hand: tuple[tuple[float, float], ...]) -> None:
    """The ground of a 4 x 4 of 2 1/2 is 29 5/8 in of 40 in cloth: with the inch of straightening 7/8 yd; a backing of
    45 in takes two widths of 42 in: 2 5/8 yd (derived). Pieces too small for any shelf change nothing of that."""
    star = Star(4, Fraction(5, 2), "ABCDEFG")
    found = asked(star, [cloth(1, *at_hand), cloth(2, *at_hand, name="Back")], ground="Flax", backing="Back")
    assert found.ground is not None
    assert found.ground.buy == Fraction(7, 8) * 36
    assert found.quilt[0].buy == Fraction(21, 8) * 36


@pytest.mark.parametrize("seed", [*range(30), 563, 823, 920, 963, 979])
def test_a_ground_that_shares_cloth_with_a_letter_against_every_width_and_place(seed: int) -> None:
    """Covered just where some layout, at some piece's width, laid in some way, leaves the letter its strips."""
    rng = random.Random(seed)
    star = Star(2, Fraction(rng.choice([9, 10, 12, 13]), 4), "ABA")
    lengths, widths = [4, 7, 9, 13.5, 18, 22.5, 27, 36], [32, 36, 40, 42, 44]
    flax = cloth(1, *((rng.choice(lengths), rng.choice(widths)) for _ in range(rng.randint(2, 3))))
    plenty = cloth(2, (90, 45), name="Moss")
    uses = {"A": ("Flax",), "B": ("Moss",)}
    found = check(star, Colouring(uses, ground="Flax"), [flax, plenty])
    assert found.ground is not None
    both = found.covered and found.ground.mark is not Mark.SHORT
    assert both is any(
        check(star, Colouring(uses), [rest, plenty]).covered for rest in left_by_the_ground(flax, star)
    )


def left_by_the_ground(fabric: Fabric, star: Star) -> Iterator[Fabric]:
    """The fabric less the shelves of its ground, for each layout and each way to lay it on the pieces."""
    for width in {piece.width for piece in fabric.pieces}:
        able = [piece for piece in fabric.pieces if piece.width >= width]
        for shelves in shelves_of(star, Fraction(width, TICKS_PER_INCH), ("ground",)):
            for places in product(able, repeat=len(shelves)):
                taken = {
                    piece.id: sum(h for h, at in zip(shelves, places, strict=True) if at is piece) for piece in able
                }
                if all(taken[piece.id] <= straightened(piece) for piece in able):
                    pieces = (replace(one, length=one.length - taken.get(one.id, 0)) for one in fabric.pieces)
                    yield replace(fabric, pieces=tuple(pieces))
