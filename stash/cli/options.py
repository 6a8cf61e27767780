"""From typed options to the engine's records. Every fault names the option it is about."""

from __future__ import annotations

import re
from argparse import Namespace
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from fractions import Fraction

from stash.cli.faults import unknown
from stash.errors import Fault, UsageFault
from stash.lengths import read_length, shown
from stash.model import QUILT_PARTS, Colour, Colouring, Fabric, Kind, Star
from stash.names import name_key, not_found
from stash.star.chart import bed_name, check_grid, check_star, make_order, read_stagger

_WHOLE = re.compile(r"[0-9]{1,6}", re.ASCII)
_NUMBER = re.compile(r"-?(?:[0-9]{1,4}(?:\.[0-9]{0,6})?|\.[0-9]{1,6})", re.ASCII)
_STAR_OPTIONS = (
    "grid", "strip", "order", "width", "stagger", "seam", "small_runs", "border", "bed", "drop", "binding_width",
    "backing_width", "units",
)  # fmt: skip


@contextmanager
def about(option: str) -> Iterator[None]:
    """Faults raised inside are said to be about `option`, unless they name a place of their own."""
    try:
        yield
    except Fault as fault:
        raise type(fault)(fault.what, fault.where or option, fault.do) from None


def whole(text: str, option: str) -> int:
    """A whole number of up to six digits."""
    if not _WHOLE.fullmatch(text.strip()):
        if text.strip().isascii() and text.strip().isdigit():
            raise UsageFault(f"{shown(text)} is too large", where=option, do="write six digits at most")
        raise UsageFault(f'"{shown(text)}" is no whole number', where=option, do="write digits, like 4")
    return int(text)


def number(text: str, option: str, least: float | None = None, most: float | None = None) -> float:
    """A plain decimal number, within limits where they are given."""
    if not _NUMBER.fullmatch(text.strip()):
        raise UsageFault(f'"{shown(text)}" is no number', where=option, do="write it like 5 or 0.25")
    value = float(text)
    if (least is not None and value < least) or (most is not None and value > most):
        limits = f"{least:g} or more" if most is None else f"{least:g} to {most:g}"
        raise UsageFault(f"{shown(text)} cannot be", where=option, do=f"use {limits}")
    return value


def one_of(text: str, what: str, names: Sequence[str], option: str) -> str:
    """One word of a known few; "did you mean" for one that is not among them."""
    for name in names:
        if name.casefold() == " ".join(text.split()).casefold():
            return name
    fault = unknown(what, text, names, f"use one of {', '.join(names)}")
    raise UsageFault(fault.what, where=option, do=fault.do)


def length(text: str, option: str) -> Fraction:
    """A measure of the star in inches; a bare number is inches."""
    with about(option):
        return read_length(text)


def names_a_star(args: Namespace) -> bool:
    """Whether any option that describes a star on paper is given."""
    return any(getattr(args, name) not in (None, False) for name in _STAR_OPTIONS)


def star_from(args: Namespace) -> Star:
    """The star that the options describe. Raises UsageFault for what is missing or cannot be."""
    missing = [f"--{name}" for name in ("grid", "strip") if getattr(args, name) is None]
    if missing:
        what = f"{' and '.join(missing)} {'are' if len(missing) > 1 else 'is'} needed"
        raise UsageFault(what, do="give both, as in --grid 4 --strip 2.5")
    grid = whole(args.grid, "--grid")
    with about("--grid"):
        check_grid(grid)
    with about("--order"):
        order = make_order(args.order or "none", grid)
    with about("--stagger"):
        stagger = read_stagger(args.stagger or "exact")
    star = Star(
        grid=grid,
        strip=length(args.strip, "--strip"),
        order=order,
        width=length(args.width or "40", "--width"),
        stagger=stagger,
        seam=length(args.seam or "1/4", "--seam"),
        small_runs=args.small_runs,
        borders=tuple(length(text, "--border") for text in args.border or ()),
        bed=_bed(args.bed),
        drop=length(args.drop, "--drop") if args.drop else None,
        units=one_of(args.units or "in", "unit", ("in", "cm"), "--units"),
        binding_width=length(args.binding_width or "42", "--binding-width"),
        backing_width=length(args.backing_width or "42", "--backing-width"),
    )
    return check_star(star)


def _bed(text: str | None) -> str | None:
    if text is None:
        return None
    with about("--bed"):
        return bed_name(text)


def kind(text: str | None) -> Kind | None:
    """A kind of piece by its name."""
    return None if text is None else Kind(one_of(text, "kind of piece", [str(k) for k in Kind], "--kind"))


def colour(text: str) -> Colour:
    """The colour of --colour: a plain word such as `light yellow`, a value, `L,a,b` or `#rrggbb`."""
    from stash.colour.typed import read_colour

    with about("--colour"):
        return read_colour(text)


def pair(text: str, option: str, letters: str) -> tuple[str, str]:
    """`LETTER=REST` taken apart; the letter must be one of `letters`."""
    head, sign, rest = text.partition("=")
    letter = head.strip().upper()
    if not sign or not rest.strip() or len(letter) != 1:
        raise UsageFault(f'"{shown(text, 60)}" is not a letter and a fabric', where=option, do="write it like D=Fern")
    if letter not in letters:
        do = f"this star has the letters {letters[0]} to {letters[-1]}"
        raise UsageFault(f"no row has the letter {letter}", where=option, do=do)
    return letter, rest.strip()


def fabrics_named(text: str, fabrics: Iterable[Fabric]) -> tuple[str, ...]:
    """The fabric that `text` names, or the two look-alikes of `F+G`, as the stash writes them.

    Raises NotFound with the nearest names. A name with a + of its own is taken as it is.
    """
    by_key = {name_key(fabric.name): fabric.name for fabric in fabrics}
    if name_key(text) in by_key or "+" not in text:
        return (_known(text, by_key),)
    names = tuple(_known(part, by_key) for part in text.split("+"))
    if len(set(names)) < len(names):
        raise UsageFault(f'"{shown(text, 60)}" names a fabric twice', do="two look-alikes are two fabrics")
    return names


def _known(text: str, by_key: dict[str, str]) -> str:
    name = by_key.get(name_key(text))
    if name is None:
        raise not_found("fabric", text, by_key.values())
    return name


def colouring_from(args: Namespace, star: Star, fabrics: Sequence[Fabric], base: Colouring | None) -> Colouring:
    """The colouring of --use, --ground, --binding and --backing; with `base`, they replace what it says of those."""
    uses = dict(base.uses) if base else {}
    named: set[str] = set()
    for text in args.use or ():
        letter, rest = pair(text, "--use", star.letters)
        if letter in named:
            raise UsageFault(f"{letter} is named twice", where="--use", do="two look-alikes are written D=Moss+Fern")
        named.add(letter)
        with about("--use"):
            uses[letter] = fabrics_named(rest, fabrics)
    parts = {part: getattr(base, part) if base else None for part in QUILT_PARTS}
    for part in QUILT_PARTS:
        if (text := getattr(args, part)) is not None:
            with about(f"--{part}"):
                (parts[part], *more) = fabrics_named(text, fabrics)
                if more:
                    raise UsageFault(f"a {part} is one fabric", do="name one")
    lacking = [letter for letter in star.letters if letter not in uses]
    if lacking:
        what = f"no fabric is named for {', '.join(lacking)}"
        raise UsageFault(what, where="--use", do=f"add {' '.join(f'--use {x}=FABRIC' for x in lacking)}")
    return Colouring(uses, **parts)
