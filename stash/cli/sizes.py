"""`sizes`: which stars the stash covers, grid by strip width."""

from __future__ import annotations

import copy
import re
from argparse import Namespace
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

from stash.cli.options import about, star_from, whole
from stash.cli.output import Output, table
from stash.cli.session import cloth_for, open_store
from stash.cli.suggest import wishes_from
from stash.errors import EXIT_DONE, EXIT_NO, UsageFault
from stash.lengths import mixed, read_length, show_length, show_typed, shown
from stash.model import SizeFit, Star
from stash.star.beds import widest_bed
from stash.star.chart import WIDEST, check_grid, check_star, make_order
from stash.star.geometry import finished
from stash.wording import counted

GRIDS, STRIPS = "2..10", "1 1/2..3 by 1/4"
MOST = 400  # stars in one answer: more is a slip of the pen
STEP = Fraction(1, 4)
_RANGE = re.compile(r"\s*(.+?)\s*\.\.\s*(.+?)(?:\s+by\s+(.+?))?\s*")
_BARE = re.compile(r"[\d\s./]+")
_UNIT = re.compile(r"[^\d\s./]+$")


def sizes(args: Namespace, out: Output) -> int:
    """Ask about each star; exit code 3 where none is covered."""
    from stash.match.sizes import sizes as fits

    stars = stars_asked(args)
    wishes = replace(wishes_from(args, stars[0]), time_limit=None)
    with open_store(args) as store:
        fabrics = cloth_for(store, args, None)
    found = list(fits(stars, fabrics, wishes))
    if not all(one.proven for one in found):
        out.say("Some stars took too long to decide; they are said not to be covered.")
    out.answer([fit_json(one) for one in found], size_lines(found))
    return EXIT_DONE if any(one.covered for one in found) else EXIT_NO


def stars_asked(args: Namespace) -> list[Star]:
    """Every star of --grid by --strip, by grid and then by strip. Raises UsageFault for what is no range.

    The first has the smallest grid, so that its letters are letters of all.
    """
    grids, strips = grids_from(args.grid or GRIDS), strips_from(args.strip or STRIPS)
    if len(grids) * len(strips) > MOST:
        raise UsageFault(f"{len(grids) * len(strips)} stars are too many", where="--strip", do="ask for a larger step")
    stars = []
    for grid in grids:
        one = copy.copy(args)
        one.grid, one.strip = str(grid), mixed(WIDEST)  # every seam goes with the widest
        with about("--order"):
            make_order(args.order or "none", grid)
        star = star_from(one)
        for strip in strips:
            with about("--strip"):
                stars.append(check_star(replace(star, strip=strip)))
    return stars


def grids_from(text: str) -> list[int]:
    """`4` or `2..10`."""
    match = _RANGE.fullmatch(text)
    if match is not None and match[3]:
        raise UsageFault("grids go one by one", where="--grid", do="write them like 4 or 2..10")
    ends = [whole(part, "--grid") for part in ((match[1], match[2]) if match else (text,))]
    with about("--grid"):
        for end in ends:
            check_grid(end)
    if ends[0] > ends[-1]:
        raise UsageFault(f"{ends[0]} to {ends[-1]} is no range", where="--grid", do="give the smaller grid first")
    return list(range(ends[0], ends[-1] + 1))


def strips_from(text: str) -> list[Fraction]:
    """`2 1/2`, `1 1/2..3` (by 1/4) or `1 1/2..3 by 1/8`, in inches where no unit stands at the end of the range."""
    match = _RANGE.fullmatch(text)
    with about("--strip"):
        if match is None:
            return [read_length(text)]
        unit = _UNIT.search(match[2])
        last, first = read_length(match[2]), _in_unit(match[1], unit)
        step = _in_unit(match[3], unit) if match[3] else STEP
    if first > last:
        raise UsageFault(f'"{shown(text)}" is no range', where="--strip", do="give the narrower strip first")
    if step <= 0 or (last - first) / step >= MOST:
        raise UsageFault(f"a step of {mixed(step)} in is too small", where="--strip", do='write it like "2..3 by 1/4"')
    return [first + number * step for number in range(int((last - first) / step) + 1)]


def _in_unit(text: str, unit: re.Match[str] | None) -> Fraction:
    """A length; a bare number takes the unit that stands at the end of the range."""
    return read_length(f"{text} {unit[0]}" if unit is not None and _BARE.fullmatch(text) else text)


def fit_json(fit: SizeFit) -> dict[str, Any]:
    """One star of the grid as JSON."""
    star, size = fit.star, finished(fit.star)
    return {
        "grid": star.grid,
        "strip_in": float(star.strip),
        "strip": mixed(star.strip),
        "square_in": float(size.square),
        "tip_to_tip_in": size.tip_to_tip,
        "covered": fit.covered,
        "letters_short": fit.letters_short,
        "bed": widest_bed(star),
        "proven": fit.proven,
        "unmeasured": fit.unmeasured,
    }


def size_lines(found: Sequence[SizeFit]) -> Iterator[str]:
    """A line a star; a screen reader tells each whole."""
    covered = sum(one.covered for one in found)
    yield f"{covered} of {len(found)} stars are covered."
    yield ""
    yield from table(
        ("grid", "strips", "star square", "as wide as", "stash"),
        [
            (
                f"{one.star.grid} x {one.star.grid}",
                show_typed(one.star.strip, one.star.units),
                show_length(Fraction(float(finished(one.star).square)), one.star.units),
                f"a {widest_bed(one.star)} bed" if widest_bed(one.star) else "",
                fit_words(one),
            )
            for one in found
        ],
        right="rrrll",
    )


def fit_words(fit: SizeFit) -> str:
    """`covered`, `covered, counting fabrics not measured yet`, `1 letter short`."""
    if fit.covered:
        return "covered, counting fabrics not measured yet" if fit.unmeasured else "covered"
    return f"{counted(fit.letters_short, 'letter')} short"
