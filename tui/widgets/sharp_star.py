"""The whole star in real pixels, of the fabrics' photographs, where the terminal shows them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any, cast

from textual.app import ComposeResult
from textual.strip import Strip

from stash.inventory.store import Store
from stash.model import Colouring, Fabric, Star
from tui.terminal_colours import NONE, colours_of
from tui.widgets.sharp_picture import cell_pixels, sharp_widget
from tui.widgets.star_picture import StarPicture

if TYPE_CHECKING:
    from PIL.Image import Image

    from tui.app import StarcoverApp

MOST_PIXELS = 1200  # a side; larger ones take long and show no more


def star_picture(*, counterpart: bool = False, id: str) -> StarPicture:
    """The picture of a star as this terminal can show it."""
    kind = StarPicture if sharp_widget() is None else SharpStar
    return kind(counterpart=counterpart, id=id)


class SharpStar(StarPicture):
    """Half blocks until the picture is drawn, and for one point. What takes time is done on threads."""

    DEFAULT_CSS = """
    SharpStar { align: center middle; }
    SharpStar > * { width: auto; height: auto; }
    """

    def __init__(self, *, counterpart: bool = False, id: str | None = None) -> None:
        super().__init__(counterpart=counterpart, id=id)
        kind = sharp_widget()
        assert kind is not None
        self._sharp: Any = kind()
        self._asked: tuple[object, ...] = ()
        self._cloth: tuple[Star, Colouring, Mapping[str, Fabric]] | None = None
        self._pictures: dict[int, tuple[object, bytes | None]] = {}  # by fabric id, with the swatch they belong to

    def compose(self) -> ComposeResult:
        yield self._sharp

    @property
    def one_point(self) -> bool:
        """Real pixels are small enough for any star, so one point is drawn only where it is asked for."""
        return self.view == "point"

    def show(self, star: Star, colouring: Colouring, fabrics: Mapping[str, Fabric]) -> None:
        """Draw this colouring; `fabrics` by name."""
        self._cloth = (replace(star, borders=(), bed=None, drop=None), colouring, fabrics)
        self._draw()

    def on_resize(self) -> None:
        self._draw()

    def watch_in_grey(self) -> None:
        self._draw()

    def watch_view(self) -> None:
        self._draw()

    def _side(self) -> int:
        """Pixels of the star's square."""
        across, down = cell_pixels()
        return min(self.size.width * across, self.size.height * down, MOST_PIXELS)

    def _draw(self) -> None:
        if self._cloth is None or not self.is_attached:
            return
        star, colouring, fabrics = self._cloth
        side, grey = self._side(), self.grey_now
        names = {name for each in colouring.uses.values() for name in each} | {colouring.ground or ""}
        used = [fabrics[name] for name in sorted(names) if name in fabrics]
        looks = tuple((one.id, one.colour, one.swatch) for one in used)
        asked = (star, colouring, looks, side, grey, self.one_point)
        if asked == self._asked:
            return
        self._asked = asked
        self._take(None)
        if self.one_point or side < 32 or colours_of(self.app) == NONE:
            return
        jobs, known = cast("StarcoverApp", self.app).jobs, dict(self._pictures)

        def read(store: Store) -> dict[int, tuple[object, bytes | None]]:
            found = {one.id: known[one.id] for one in used if one.id in known and known[one.id][0] == one.swatch}
            for one in used:
                if one.id not in found:
                    found[one.id] = one.swatch, store.picture(one.id) if one.swatch is not None else None
            return found

        def draw(found: dict[int, tuple[object, bytes | None]]) -> None:
            self._pictures |= found
            data = {key: picture for key, (_, picture) in found.items() if picture is not None}
            jobs.search(
                lambda: drawn_star(star, colouring, fabrics, data, side, grey),
                self._take, slot=f"star {id(self)}", owner=self,
            )  # fmt: skip

        jobs.store(read, draw, slot=f"cloth {id(self)}", owner=self)

    def _take(self, image: Image | None) -> None:
        self._sharp.image = image
        self._sharp.display = image is not None
        self.refresh()

    def render_line(self, y: int) -> Strip:
        if self._sharp.display:
            return Strip.blank(self.size.width, self.rich_style)
        return super().render_line(y)


def drawn_star(
    star: Star, colouring: Colouring, fabrics: Mapping[str, Fabric], pictures: Mapping[int, bytes], side: int,
    grey: bool,
) -> Image:  # fmt: skip
    """The star in photographs where there are some. Call it on a thread."""
    from stash.sheets.star_picture import draw_star, palette

    return draw_star(star, palette(colouring, fabrics, pictures), side, grey=grey)
