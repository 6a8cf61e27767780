"""One photograph: read, measured, and made into what a stash keeps of it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from stash.errors import Fault, UsageFault
from stash.model import Box, Measured, NewSwatch

if TYPE_CHECKING:
    from stash.colour.space import Photo


@dataclass(frozen=True, slots=True)
class How:
    """How photographs are to be measured, the same for all of a batch.

    box -- where the cloth is; None: the whole picture, or what lies on the paper.
    white, grey -- a white patch or a grey card in the picture. on_paper: white paper all round the cloth. sheet: many
        swatches on one sheet of paper. At most one of these four.
    reflectance -- how much light the paper or the patch gives back (Y, 0 to 1); None: the usual one.

    Raises UsageFault for what does not go together.
    """

    box: Box | None = None
    white: Box | None = None
    grey: Box | None = None
    on_paper: bool = False
    sheet: bool = False
    reflectance: float | None = None

    def __post_init__(self) -> None:
        references = (self.white is not None, self.grey is not None, self.on_paper, self.sheet)
        if sum(references) > 1:
            what = "a photograph is measured by one reference: a white patch, a grey card, paper round it, or a sheet"
            raise UsageFault(what, do="name one of them")
        if self.sheet and self.box is not None:
            what = "the swatches of a sheet are found, and a box is given too"
            raise UsageFault(what, do="leave one of them out; with a box, say on paper")
        if self.reflectance is not None and not any(references):
            raise UsageFault("a reflectance is given, and nothing it would be that of", do="name the reference too")


@dataclass(frozen=True, slots=True)
class Looked:
    """What became of one photograph. Exactly one of `swatches`, `fault`, `repeat_of` and `same_as` says it.

    swatches -- one, or those of a sheet from left to right and top to bottom.
    repeat_of -- the fabric that has a swatch from this very file already; the file was not read again.
    same_as -- the photograph earlier in the batch that is the same file byte by byte.
    size -- width and height in px of the upright picture that boxes are counted on.
    preview -- JPEG of the whole picture, at most 1,000 px on the long side, where it was asked for.
    trace -- for a log, where `fault` is the program's own.
    """

    path: Path
    file_hash: str = ""
    swatches: tuple[NewSwatch, ...] = ()
    fault: Fault | None = None
    repeat_of: str = ""
    same_as: Path | None = None
    size: tuple[int, int] | None = None
    preview: bytes = b""
    trace: str = ""


def look(path: Path, how: How, *, preview: bool = False) -> Looked:
    """Read and measure one photograph. Never raises for what is wrong with the photograph: `fault` says it."""
    from stash.colour.keep import foresee_whole
    from stash.colour.photo import open_photo

    try:
        photo = open_photo(path)
        if how.box is None and not (how.on_paper or how.sheet):
            foresee_whole(photo)
        swatches = tuple(_kept(photo, one) for one in _measured(photo, how))
        whole = _whole(photo, swatches) if preview else b""
        return Looked(path, photo.file_hash, swatches, size=(photo.width, photo.height), preview=whole)
    except Fault as fault:
        return Looked(path, fault=Fault(fault.what, str(path), fault.do))
    except MemoryError:
        return Looked(path, fault=Fault("there is too little memory to measure it", str(path), "make it smaller"))
    except Exception as error:  # one photograph that the program stumbles over must not lose the fifty-nine others
        return stumbled(path, error)


def stumbled(path: Path, error: Exception) -> Looked:
    """A fault of the program's own at one photograph."""
    import traceback

    what = f"starcover stumbled over this photograph ({type(error).__name__})"
    fault = Fault(what, str(path), "save it anew as a JPEG and try that")
    return Looked(path, fault=fault, trace="".join(traceback.format_exception(error)))


def _measured(photo: Photo, how: How) -> list[Measured]:
    from stash.colour.measure import measure, measure_sheet

    if not how.sheet:
        one = measure(
            photo, how.box, white=how.white, grey=how.grey, on_paper=how.on_paper, reflectance=how.reflectance
        )
        return [one]
    return measure_sheet(photo, reflectance=how.reflectance)


def _kept(photo: Photo, measured: Measured) -> NewSwatch:
    from stash.colour.keep import kept

    picture, thumbnail = kept(photo, measured.box)
    return NewSwatch(measured, photo.name, photo.file_hash, picture, thumbnail)


def _whole(photo: Photo, swatches: tuple[NewSwatch, ...]) -> bytes:
    """The whole picture; the one kept serves where the swatch is all of it."""
    from stash.colour.keep import kept

    if len(swatches) == 1 and swatches[0].measured.box == (0, 0, photo.width, photo.height):
        return swatches[0].picture
    return kept(photo, None)[0]
