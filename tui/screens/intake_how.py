"""From the ways and boxes of the screen to how photographs are measured. Pure functions."""

from __future__ import annotations

from stash.errors import UsageFault
from stash.intake import How
from stash.model import Measured
from tui.named_keys import key_of, with_keys
from tui.screens.intake_start import Way
from tui.widgets.photo_boxes import CLOTH, GREY, KINDS, WHITE, Boxes, Size, box_words, in_the_middle

BOX_KEYS = "arrows move · shift+arrows size · {boxes.away} away · {boxes.measure} measures · {intake.leave} back"
PATCHES = {Way.WHITE: WHITE, Way.GREY: GREY}


def how_for(way: Way, boxes: Boxes, gives: float | None) -> How:
    """How a photograph with these boxes is measured. A patch drawn goes before the paper. `gives` is what the paper or
    the patch that the way names gives back of the light (Y, 0 to 1), None for the usual; of another it says nothing.

    Raises UsageFault where the way asks for a patch and none is drawn.
    """
    box = boxes.cloth if boxes.cloth_set else None
    if boxes.white is not None or boxes.grey is not None:
        named = gives if PATCHES.get(way) == (WHITE if boxes.grey is None else GREY) else None
        return How(box=box, white=boxes.white, grey=boxes.grey, reflectance=named)
    if way in PATCHES:
        take = with_keys("{boxes.next} takes it in hand; draw it or move it")
        raise UsageFault(f"Nothing shows where the {PATCHES[way]} is", do=take)
    if way is Way.SHEET:
        return How(box=box, sheet=box is None, on_paper=box is not None, reflectance=gives)
    if way is Way.NONE:
        return How(box=box)
    return How(box=box, on_paper=True, reflectance=gives)


def boxes_for(measured: Measured, how: How) -> Boxes:
    """The boxes that a measured photograph begins with."""
    return Boxes(measured.box, how.white, how.grey, cloth_set=how.box is not None)


def patch_boxes(way: Way, size: Size) -> tuple[Boxes, str]:
    """What is shown first of a photograph with a patch in it, and the box in hand."""
    return Boxes(in_the_middle(size, 1 / 2), cloth_set=True), PATCHES[way]


def edit_words(boxes: Boxes, hand: str) -> str:
    """What stands under the picture while boxes are placed."""
    box = boxes.of(hand)
    where = box_words(box) if box is not None else "none yet: arrows or the mouse place it"
    others = " · ".join(kind for kind in KINDS if kind != hand)
    if hand == CLOTH and not boxes.cloth_set:
        where += " (found)"
    return f"{hand}: {where}\n{key_of('boxes.next')} {others} · {with_keys(BOX_KEYS)}"


