"""A fabric's photograph: its picture, its palette and the words on them. It fetches the picture itself."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.reactive import reactive

from stash.errors import Fault
from stash.inventory.store import Store
from stash.model import Fabric, Measured
from tui.widgets.palette_bar import PaletteBar
from tui.widgets.swatch_picture import SwatchPicture

if TYPE_CHECKING:
    from tui.app import StarcoverApp


class SwatchView(Vertical):
    """Shows the photograph of one fabric, and nothing at all where it has none."""

    DEFAULT_CSS = """
    SwatchView { height: auto; }
    SwatchView.-none { display: none; }
    """

    in_grey: reactive[bool] = reactive(False, init=False)

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id, classes="-none")
        self._shown: tuple[int, Measured] | None = None

    def compose(self) -> ComposeResult:
        yield SwatchPicture()
        yield PaletteBar()

    def show(self, fabric: Fabric | None) -> None:
        """Show a fabric's photograph; the same one again costs nothing."""
        swatch = fabric.swatch if fabric else None
        shown = (fabric.id, swatch) if fabric is not None and swatch is not None else None
        if shown == self._shown:
            return
        self._shown = shown
        self.set_class(shown is None, "-none")
        picture = self.query_one(SwatchPicture)
        picture.show(None)
        self.query_one(PaletteBar).show(swatch)
        if shown is not None:
            self._fetch(*shown, picture)

    def _fetch(self, fabric_id: int, swatch: Measured, picture: SwatchPicture) -> None:
        def read(store: Store) -> bytes | None:
            return store.thumbnail(fabric_id)  # the cloth alone, with nothing of the paper round it

        def show(data: bytes | None) -> None:
            picture.show(data, swatch.colour)

        def failed(_: Fault) -> None:
            picture.show(b"")  # said where the picture would be, not by a toast at each step of the cursor

        cast("StarcoverApp", self.app).jobs.store(read, show, failed, slot=f"picture {id(self)}", owner=self)

    def watch_in_grey(self) -> None:
        self.query_one(SwatchPicture).in_grey = self.in_grey
        self.query_one(PaletteBar).in_grey = self.in_grey
