"""The sentences of the Star screen: what the star is, what a row lacks, what a change brings. Pure functions."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from stash.lengths import show_cm, show_length, show_typed, show_yards
from stash.model import Coverage, GroundCover, Mark, QuiltCover, Star, Step, StoredPlan, WayOn
from stash.star.geometry import finished
from stash.star.repeats import REPEAT_WORDS, repeat_of
from stash.star.yields import SEGMENTS, length_for, segments_per_strip, sewn_on_paper, spare_on_strip
from stash.wording import listed
from tui.named_keys import with_keys
from tui.state import Counts
from tui.widgets.fabric_lines import one_line
from tui.widgets.look import SIGNS, RowLook
from tui.widgets.value_bar import value_text

NO_FABRIC = "no fabric yet: try one with {star.try_before} {star.try_next}, or {star.keep} for the list"


def plural(count: int, word: str) -> str:
    """`1 strip`, `2 strips`."""
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def buy_text(star: Star, inches: Fraction) -> str:
    """A length to buy in the star's units: `1/8 yd` or `20 cm`."""
    return f"{show_cm(inches)} cm" if star.units == "cm" else f"{show_yards(inches / 36)} yd"


def star_text(star: Star) -> str:
    """`4 × 4, 2 1/2 in strips, mirrored`."""
    return f"{star.grid} × {star.grid}, {show_typed(star.strip, star.units)} strips, {REPEAT_WORDS[repeat_of(star)]}"


def plan_of(plans: Sequence[StoredPlan], star_id: int, number: int) -> StoredPlan | None:
    """The kept plan of a colouring that has strips still to cut."""
    return next((plan for plan in plans if (plan.star_id, plan.number) == (star_id, number)), None)


def plan_text(plan: StoredPlan) -> str:
    """How far the cutting has come."""
    cut = sum(strip.booked is not None for strip in plan.strips)
    strips = plural(len(plan.strips), "strip")
    return f"all {strips} cut" if cut == len(plan.strips) else f"{cut} of {strips} cut"


def counts_text(counts: Counts) -> str:
    """What of the stash counts, where that is not the stash as it is: `, as after washing`."""
    said = ", as after washing" if counts.after_wash else ""
    return f"{said}, held cloth counted" if counts.with_held else said


def size_text(star: Star) -> str:
    """Both finished sizes: the square and tip to tip."""
    sizes = finished(star)
    square = show_length(Fraction(float(sizes.square)), star.units)
    tips = show_length(Fraction(sizes.tip_to_tip), star.units)
    return f"{square} square, {tips} tip to tip"


def width_text(star: Star) -> str:
    """What a strip width means: segments a strip, length to spare, both finished sizes."""
    per_strip = segments_per_strip(star)
    width = show_length(star.width, star.units)
    head = f"{show_typed(star.strip, star.units)} strips: {plural(per_strip, 'segment')} from {width}"
    if per_strip >= SEGMENTS:
        room = f"{_hundredths(spare_on_strip(star), star.units)} to spare on a run of eight"
    else:
        need = _hundredths(length_for(star, SEGMENTS), star.units)
        room = f"a run of eight takes {need}, so strips are sewn {sewn_on_paper(star)}"
    return f"{head}, {room}. Finished {size_text(star)}."


def _hundredths(inches: float, units: str) -> str:
    return f"{inches * 2.54:.1f} cm" if units == "cm" else f"{inches:.2f} in"


def mark_sentence(star: Star, row: RowLook, terse: bool = False) -> str:
    """The mark of a row in full; terse: without what is to buy, where that stands elsewhere."""
    if row.mark is None:
        return "asking the stash …" if row.fabrics else with_keys(NO_FABRIC)
    about = "about " if row.about else ""
    head = f"{SIGNS[row.mark]} {about}{row.mark}"
    if row.mark is Mark.SHORT:
        return f"{head}: {_short(star, row, terse)}"
    if row.mark is Mark.TIGHT:
        room = "no further strip to spare" if row.spare is None else f"{_hundredths(row.spare, star.units)} to spare"
        return f"{head}: {room}"
    if row.mark is Mark.UNMEASURED:
        needed = plural(row.needed or 0, "strip")
        size = f"{show_typed((row.needed or 0) * star.strip, star.units)} by {show_typed(star.width, star.units)}"
        return f"{head}: no piece is recorded. The row takes {needed}, {size}"
    return head


def _short(star: Star, row: RowLook, terse: bool) -> str:
    text = f"{plural(row.missing, 'strip')} missing"
    if row.held_for:
        text += f", some is held for {' and '.join(row.held_for)}"
    if row.buy is None or terse:
        return text
    spare = f" ({buy_text(star, row.buy_with_spare)} with a spare)" if row.buy_with_spare is not None else ""
    return f"{text}, buy {buy_text(star, row.buy)}{spare}"


def value_sentence(row: RowLook) -> str:
    """Value against target: `value 62, target 60, 2 lighter`; a relative value has ~ before it."""
    if row.value is None:
        return "no colour recorded" if row.fabrics else ""
    text = f"value {value_text(row.value, row.relative)}"
    off = row.off_target
    if row.target is None or off is None:
        return text
    way = "as wanted" if off == 0 else f"{abs(off)} {'lighter' if off > 0 else 'darker'}"
    return f"{text}, target {round(row.target)}, {way}"


def rows_text(rows: Sequence[int]) -> str:
    """`row 4`, `rows 1 and 7`."""
    if len(rows) == 1:
        return f"row {rows[0]}"
    return f"rows {', '.join(map(str, rows[:-1]))} and {rows[-1]}"


def near_text(star: Star, rows: Sequence[int]) -> str:
    """Rows by their letters, as the table names them: `row D`, `rows D and F`."""
    letters = list(dict.fromkeys(star.order[row - 1] for row in rows))
    return f"row {letters[0]}" if len(letters) == 1 else f"rows {', '.join(letters[:-1])} and {letters[-1]}"


def cover_text(star: Star, coverage: Coverage) -> str:
    """The answer for the whole colouring in one line."""
    short = [cover.letter for cover in coverage.letters if cover.mark is Mark.SHORT]
    unmeasured = [cover.letter for cover in coverage.letters if cover.mark is Mark.UNMEASURED]
    if short:
        missing = sum(cover.missing for cover in coverage.letters if cover.mark is Mark.SHORT)
        verb = "is" if len(short) == 1 else "are"
        text = f"✗ {', '.join(short)} {verb} short"
        return f"{text}, {plural(missing, 'strip')} missing" if len(short) == 1 else text
    if unmeasured:
        return f"? {', '.join(unmeasured)} not measured"
    about = " (about)" if any(cover.about for cover in coverage.letters) else ""
    tight = [cover.letter for cover in coverage.letters if cover.mark is Mark.TIGHT]
    lacking = [f"{part} {mark}" for part, mark in parts_lacking(coverage)]
    return "; ".join([f"✓ covered{about}" + (f", tight at {', '.join(tight)}" if tight else ""), *lacking])


def parts_lacking(coverage: Coverage) -> list[tuple[str, Mark]]:
    """Ground, binding and backing that the stash does not give, though it may give the letters."""
    parts = [("ground", coverage.ground.mark)] if coverage.ground else []
    parts += [(one.what, one.mark) for one in coverage.quilt]
    return [(part, mark) for part, mark in parts if mark in (Mark.SHORT, Mark.UNMEASURED)]


def have_text(names: Sequence[str]) -> str:
    """What to do first where fabrics are not measured yet; "" where there are none."""
    return f"say how much you have of {one_line(listed(names))}" if names else ""


def kept_already(number: int) -> str:
    """Why nothing is kept: what is shown is saved as it is."""
    return f"What is shown is colouring {number} already; try something first, then {{star.keep_new}}"


def no_way_text(being_cut: bool) -> str:
    """Why no way on stands there, for a star that is short."""
    if being_cut:
        return (
            "No way on is offered for a star that is being cut: what is cut is of its fabrics already. Record more "
            "of what is short ({app.stash}, {stash.bought}), then {cutting.plan_again} on Cutting plans the rest again"
        )
    return "No way on covers this star, not even buying more of its fabrics: try others on its rows"


def way_line(way: WayOn) -> str:
    """A way on in a few words, and what is to be said of it in any case; its own text says what it costs."""
    return f"{_way_in_short(way)}, {way.note}" if way.note else _way_in_short(way)


def _way_in_short(way: WayOn) -> str:
    letters = sorted(way.use)
    fabrics = "; ".join(f"{' + '.join(way.use[letter])} at {letter}" for letter in letters)
    match way.step:
        case Step.EXCHANGE:
            return f"exchange {' and '.join(letters)}" if len(letters) == 2 else f"exchange {fabrics}"
        case Step.STAND_IN if len(letters) > 1:
            return f"stand-ins at {', '.join(letters)}"
        case Step.STAND_IN | Step.LOOK_ALIKES:
            return fabrics
        case Step.REPEAT:
            count = len({name for names in way.colouring.uses.values() for name in names})
            return f"{REPEAT_WORDS[repeat_of(way.star)]}, {plural(count, 'fabric')}"
        case Step.TURN:
            return "the run turned"
        case Step.STRIP:
            return f"{show_typed(way.star.strip, way.star.units)} strips, {_square(way.star)} square"
        case Step.GRID:
            return f"{way.star.grid} × {way.star.grid}, {_square(way.star)} square"
        case Step.BUY:
            return way.text.partition(",")[0]


def _square(star: Star) -> str:
    return show_length(Fraction(float(finished(star).square)), star.units)


def ground_text(star: Star, ground: GroundCover | None, near: Sequence[int], name: str | None) -> str:
    """The ground: its mark, the length it takes, and rows that come too near its value."""
    if not name:
        return "no ground chosen"
    if ground is None:
        return f"ground {name}"
    about = "about " if ground.about else ""
    text = f"ground {name} {SIGNS[ground.mark]} {about}{ground.mark}"
    if ground.mark in (Mark.SHORT, Mark.UNMEASURED):
        text += f", takes {show_length(ground.length_needed, star.units)}"
    if ground.buy is not None:
        text += f", buy {buy_text(star, ground.buy)}"
    if ground.note:
        text += f" ({ground.note})"
    if near:
        text += f"; {near_text(star, near)} near it in value"
    return text


def part_needed(star: Star, part: str) -> str:
    """What the ground, the binding or the backing takes, for the list to choose its fabric from."""
    from stash.match.ground import sold_width
    from stash.match.part_choice import needed_of

    needed, wide = (show_length(each, star.units) for each in (needed_of(star, part), sold_width(star, part)))
    enough = f"{SIGNS[Mark.COVERED]} has enough, beside the rows it is cut for"
    return f"The {part} takes {needed} of cloth {wide} wide. {enough}"


def quilt_text(star: Star, quilt: Sequence[QuiltCover]) -> str:
    """Binding and backing: `binding Sage ✓ covered; backing Slate Roof ✗ short, takes 93 in, buy 2 3/4 yd`."""
    said = []
    for part in quilt:
        about = "about " if part.about else ""
        text = f"{part.what} {part.fabric} {SIGNS[part.mark]} {about}{part.mark}"
        if part.mark in (Mark.SHORT, Mark.UNMEASURED):
            text += f", takes {show_length(part.length_needed, star.units)}"
        if part.buy is not None:
            text += f", buy {buy_text(star, part.buy)}"
        said.append(text)
    return "; ".join(said)


def steps_text(values: Sequence[float]) -> str:
    """The steps of value from letter to letter: `steps 9 to 14`."""
    steps = [abs(round(one) - round(other)) for one, other in pairwise(values)]
    if not steps:
        return "one fabric"
    return f"steps {min(steps)} to {max(steps)}" if min(steps) != max(steps) else f"steps of {steps[0]}"
