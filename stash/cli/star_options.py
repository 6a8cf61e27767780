"""The options that tell a star, the cloth that counts for it, and which runs of fabrics there may be."""

from __future__ import annotations

from stash.cli.parser import VerbParser


def star_options(parser: VerbParser, many: bool = False) -> None:
    """What a star is described by; `many`: a range of grids and of strip widths."""
    star = parser.add_argument_group("the star" if not many else "the stars")
    grid = "one grid, or a range as in 2..10 (the default)" if many else "small diamonds a side, 2 to 13"
    strip = 'a strip width, or a range as in "1 1/2..3 by 1/4" (the default)' if many else (
        'strip width, 1 to 4 1/2 in, as in 2.5 or "2 1/2"'
    )
    star.add_argument("--grid", metavar="N", help=grid)
    star.add_argument("--strip", metavar="W", help=strip)
    star.add_argument("--order", metavar="LETTERS", help="none (A B C ..., the default), mirror, or letters")
    star.add_argument("--width", metavar="IN", help="usable width that strips are reckoned at (default 40)")
    star.add_argument("--stagger", metavar="exact|IN", help="how far each strip is set off (default exact)")
    star.add_argument("--seam", metavar="IN", help="seam allowance (default 1/4)")
    star.add_argument("--small-runs", action="store_true", help="sets may be sewn in runs of two as well")
    quilt = parser.add_argument_group("the quilt round it")
    quilt.add_argument("--border", metavar="IN", action="append", help="a border's finished width; repeat outwards")
    quilt.add_argument("--bed", metavar="NAME", help="a bed to compare with: crib, twin, full, queen, king ...")
    quilt.add_argument(
        "--drop", metavar="IN", nargs="?", const="12", help="how far it hangs (12 alone); sets the borders for --bed"
    )
    quilt.add_argument("--binding-width", metavar="IN", help="width binding is cut from (default 42)")
    quilt.add_argument("--backing-width", metavar="IN", help="width of the backing cloth (default 42)")
    quilt.add_argument("--units", metavar="in|cm", help="what lengths are printed in (default in)")


def cloth_options(parser: VerbParser) -> None:
    """What of the stash counts."""
    cloth = parser.add_argument_group("the cloth that counts")
    cloth.add_argument("--ignore-holds", action="store_true", help="also what plans of other stars hold")
    cloth.add_argument(
        "--wash-first", action="store_true", help="unwashed pieces as they will be: 5 %% narrower, 3 %% shorter"
    )


def run_options(parser: VerbParser) -> None:
    """Which runs of fabrics there may be."""
    run = parser.add_argument_group("the run of values")
    run.add_argument("--from", dest="light_end", metavar="L", help="value of the light end (default: the lightest)")
    run.add_argument("--to", dest="dark_end", metavar="L", help="value of the dark end (default: the darkest)")
    run.add_argument("--min-step", metavar="X", help="least fall of value from fabric to fabric (default 5)")
    way = run.add_mutually_exclusive_group()
    way.add_argument("--dark-first", action="store_true", help="dark at the centre")
    way.add_argument("--light-first", action="store_true", help="light at the centre")
    pick = parser.add_argument_group("which fabrics")
    pick.add_argument("--measured", action="store_true", help="no fabrics without a recorded piece")
    pick.add_argument("--with", dest="with_", metavar="F", action="append", help="must be used; repeatable")
    pick.add_argument("--without", metavar="F", action="append", help="must not be used; repeatable")
    pick.add_argument("--fix", metavar="LETTER=F", action="append", help="stands there; repeatable")
    pick.add_argument("--hue", metavar="H", help="warm, cool, or red, orange, yellow, green, teal, blue, purple, pink")
    pick.add_argument("--ground", metavar="F", help="the ground fabric: rows keep away from its value")
    pick.add_argument("--stand-off", metavar="L", help="how far outer rows keep from it (default 25)")
