"""Forms for one fabric: add it, edit what is known of it, and what was bought, used or counted."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

from stash.inventory.store import Store
from stash.model import Fabric, NewFabric
from tui.dialogs.form import FormDialog
from tui.fields import (
    COLOUR_HINT,
    PIECES_HINT,
    Field,
    all_pieces,
    any_text,
    colour_field,
    colour_text,
    counted_pieces,
    counted_text,
    name_text,
    pieces_needed,
    pieces_or_none,
    pieces_text,
    read_colour,
    used_text,
    used_ticks,
)
from tui.widgets.fabric_lines import one_line

Values = Mapping[str, str]
Ticks = Mapping[str, bool]


class AddDialog(FormDialog[str]):
    """A new fabric. The answer is its name. Place and washed carry over from the fabric before."""

    def __init__(self, place: str = "", washed: bool = False) -> None:
        fields = (
            Field("name", "Name", name_text),
            Field("pieces", "Pieces", pieces_or_none, hint=PIECES_HINT),
            Field("colour", "Colour", colour_text, hint=COLOUR_HINT),
            Field("place", "Place", any_text, place, "shelf, box or drawer"),
            Field("note", "Note", any_text),
            Field("price", "Price a yard", any_text),
        )
        ticks = (("washed", "washed", washed), ("directional", "one-way print: cut across only", False))
        super().__init__("Add a fabric", fields, ticks, "Leave empty what you do not know yet.")

    def write(self, values: Values, ticks: Ticks) -> Callable[[Store], str]:
        new = NewFabric(
            name=values["name"].strip(),
            pieces=all_pieces(values["pieces"]),
            colour=read_colour(values["colour"]),
            directional=ticks["directional"],
            washed=ticks["washed"],
            place=values["place"].strip(),
            note=values["note"].strip(),
            price=values["price"].strip(),
        )

        def call(store: Store) -> str:
            store.add(new, uid=self.uid)
            return new.name

        return call


class EditDialog(FormDialog[str]):
    """What is known of a fabric, pieces apart. The answer is its name."""

    def __init__(self, fabric: Fabric) -> None:
        self._fabric = fabric
        self._colour = colour = colour_field(fabric)
        self._relative = fabric.measured is not None and fabric.measured.relative
        # A note of several lines is edited as one; left as it is, it keeps its lines.
        self._texts = {
            "name": fabric.name,
            "place": fabric.place,
            "note": " / ".join(fabric.note.splitlines()),
            "price": fabric.price,
        }
        fields = (
            Field("name", "Name", name_text, fabric.name),
            Field("colour", "Colour", self._colour_text, colour, COLOUR_HINT),
            Field("place", "Place", any_text, fabric.place),
            Field("note", "Note", any_text, self._texts["note"]),
            Field("price", "Price a yard", any_text, fabric.price),
        )
        ticks = (
            ("washed", "washed", fabric.washed),
            ("directional", "one-way print: cut across only", fabric.directional),
        )
        super().__init__(f"Edit {one_line(fabric.name)}", fields, ticks)

    def write(self, values: Values, ticks: Ticks) -> Callable[[Store], str]:
        old = self._fabric
        changed: dict[str, object] = {
            name: values[name].strip() for name, before in self._texts.items() if values[name].strip() != before
        }
        for name, before in (("washed", old.washed), ("directional", old.directional)):
            if ticks[name] != before:
                changed[name] = ticks[name]
        if values["colour"].strip() != self._colour:
            changed["colour"] = read_colour(values["colour"])
        uid = self.uid

        def call(store: Store) -> str:
            if changed:
                store.edit(old.id, uid=uid, **changed)
            return str(changed.get("name", old.name)) if changed else ""

        return call

    def _colour_text(self, text: str) -> str:
        """What is typed in words; the photograph's own value, left as it is, may be a relative one."""
        said = colour_text(text)
        as_it_was = text.strip() == self._colour and self._relative
        return said.replace("value ", "value ~", 1) + ", relative" if as_it_was else said


class PiecesDialog(FormDialog[str]):
    """One field about the pieces of a fabric. The answer is the history's sentence."""

    def __init__(self, title: str, fabric: Fabric, field: Field) -> None:
        self._fabric = fabric
        there = pieces_text(fabric.pieces) if fabric.pieces else "nothing recorded"
        super().__init__(f"{title}: {one_line(fabric.name)}", (field,), intro=f"On record: {there}")


class BoughtDialog(PiecesDialog):
    """More of a fabric."""

    def __init__(self, fabric: Fabric) -> None:
        super().__init__("Bought", fabric, Field("pieces", "Bought", pieces_needed, hint=PIECES_HINT))

    def write(self, values: Values, ticks: Ticks) -> Callable[[Store], str]:
        pieces, fabric, uid = all_pieces(values["pieces"]), self._fabric, self.uid

        def call(store: Store) -> str:
            return store.bought(fabric.id, pieces, uid=uid).text

        return call


class UsedDialog(PiecesDialog):
    """Some of a fabric is gone, or all of it."""

    def __init__(self, fabric: Fabric) -> None:
        field = Field("length", "Used", used_text, hint="length cut off: 1/4 yd, 9 in, 25 cm; or all")
        super().__init__("Used", fabric, field)

    def write(self, values: Values, ticks: Ticks) -> Callable[[Store], str]:
        ticks_used, fabric, uid = used_ticks(values["length"]), self._fabric, self.uid

        def call(store: Store) -> str:
            return store.used(fabric.id, ticks_used, uid=uid).text

        return call


class CountDialog(PiecesDialog):
    """What is really there, put down as it was counted."""

    def __init__(self, fabric: Fabric) -> None:
        field = Field("pieces", "There now", partial(counted_text, there=fabric.pieces), hint=f"{PIECES_HINT}, or none")
        super().__init__("Count", fabric, field)

    def write(self, values: Values, ticks: Ticks) -> Callable[[Store], str]:
        fabric, uid = self._fabric, self.uid
        pieces = counted_pieces(values["pieces"], fabric.pieces)

        def call(store: Store) -> str:
            return store.count(fabric.id, pieces, uid=uid).text

        return call
