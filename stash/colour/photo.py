"""Opens a photograph safely: every file that is none, or too much, or damaged ends in one plain `PhotoFault`."""

from __future__ import annotations

import hashlib
import logging
import stat
import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from io import BytesIO
from pathlib import Path

from PIL import Image, UnidentifiedImageError

from stash.colour.modes import as_rgb
from stash.colour.space import Photo
from stash.errors import Fault

FORMATS = ("JPEG", "PNG", "WEBP", "TIFF", "BMP", "GIF", "HEIF")  # the last one needs a plugin
MOST_BYTES = 300_000_000
MOST_PIXELS = 120_000_000
HEIF_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"hevm", b"hevs", b"mif1", b"msf1")

SIGNATURES = (b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"II*\0", b"MM\0*", b"GIF87a", b"GIF89a")

ORIENTATION = 0x0112
# EXIF orientation, TIFF 6.0 tag 274: what turns the picture upright
TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}

_one_at_a_time = threading.RLock()


class PhotoFault(Fault):
    """A photograph cannot be read, measured or kept as it is."""


def open_photo(path: Path | str) -> Photo:
    """Read a photograph of any of `FORMATS` (the content decides, not the name), upright, as 8-bit RGB with its space.

    Raises PhotoFault for a file that is missing, empty, over 300 MB or 120 million pixels, cut off, damaged, wholly
    transparent or no photograph at all; nothing else, and no warning either.
    """
    path = Path(path)
    where = str(path)
    data = _read(path, where)
    if _is_heif(data) and not _reads_heif():
        what = "this is a HEIC photograph, and pillow-heif, which reads such, is not there"
        raise PhotoFault(what, where, "install starcover again, or save the photograph as JPEG")
    if _cut_short(data):
        raise _cut(where)
    try:
        with _quietly():
            return _decoded(data, path.name, where)
    except Fault:
        raise
    except UnidentifiedImageError:
        raise (_cut if _is_known(data) else _none)(where) from None
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _too_many(f"over {MOST_PIXELS // 1_000_000} million", where) from None
    except MemoryError as error:
        raise PhotoFault("there is too little memory to open it", where, "make it smaller first") from error
    except (OSError, EOFError) as error:
        raise _cut(where) from error
    except Exception as error:  # decoders raise whatever they trip over: SyntaxError, struct.error, KeyError ...
        raise PhotoFault("this photograph is damaged", where, "copy it anew from the camera") from error


def _cut(where: str) -> PhotoFault:
    return PhotoFault("this photograph is cut off or damaged", where, "copy it anew from the camera")


def _none(where: str) -> PhotoFault:
    do = "give a JPEG, PNG, WebP, TIFF, BMP, GIF or HEIC file"
    return PhotoFault("this is no photograph that can be read", where, do)


def _too_many(how_many: str, where: str) -> PhotoFault:
    return PhotoFault(f"this picture has {how_many} pixels, too many to open", where, "make it smaller first")


def _read(path: Path, where: str) -> bytes:
    """The file's bytes, read once."""
    try:
        state = path.stat()
        if stat.S_ISDIR(state.st_mode):
            raise PhotoFault("this is a folder, not a photograph", where, "name the file in it")
        if not stat.S_ISREG(state.st_mode):
            raise PhotoFault("this is a device, not a photograph", where, "name an ordinary file")
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise PhotoFault("there is no such file", where, "look at how it is written") from None
    except PermissionError:
        raise PhotoFault("this file may not be read", where, "look at the rights of the file") from None
    except OSError as error:
        raise PhotoFault(f"it cannot be read ({error.strerror})", where, "look at how it is written") from None
    except ValueError:
        raise PhotoFault("this is no path of a file", ascii(where), "choose another name") from None
    except MemoryError as error:
        raise PhotoFault("there is too little memory to open it", where, "make it smaller first") from error
    if not data:
        raise PhotoFault("this file is empty", where, "copy it anew from the camera")
    if len(data) > MOST_BYTES:
        raise PhotoFault(f"this file is over {MOST_BYTES // 1_000_000} MB", where, "make it smaller first")
    return data


def _is_heif(data: bytes) -> bool:
    return data[4:8] == b"ftyp" and data[8:12] in HEIF_BRANDS


def _is_known(data: bytes) -> bool:
    """Whether a file begins as a picture does, whatever comes after."""
    return data.startswith(SIGNATURES) or (data[:4] == b"RIFF" and data[8:12] == b"WEBP") or _is_heif(data)


def _cut_short(data: bytes) -> bool:
    """Whether the boxes of a HEIF file do not add up to it (ISO/IEC 14496-12, 4.2).

    Half a file from a telephone opens without a fault, with green tiles for what is missing.
    """
    if not _is_heif(data):
        return False
    at = 0
    while at < len(data):
        size = int.from_bytes(data[at : at + 4], "big")
        if size == 0:  # the last box goes to the end, wherever that is
            return False
        if size == 1:
            size = int.from_bytes(data[at + 8 : at + 16], "big")
        if size < 8:
            return True
        at += size
    return at != len(data)


@cache
def _reads_heif() -> bool:
    """Make HEIF known, once for the process; False where what reads it is not installed."""
    try:
        import pillow_heif
    except ImportError:
        return False
    pillow_heif.register_heif_opener()
    return True


@cache
def _ready() -> None:
    """Once for the process: neither Pillow's log nor libtiff writes to the terminal."""
    import ctypes

    from PIL import _imaging

    try:  # libtiff writes faults to standard error, past Python; where it cannot be reached it goes on doing so
        libtiff = ctypes.CDLL(str(_imaging.__file__))
        libtiff.TIFFSetErrorHandler(None)
        libtiff.TIFFSetWarningHandler(None)
    except (AttributeError, OSError, TypeError):
        pass
    logging.getLogger("PIL").addHandler(logging.NullHandler())


@contextmanager
def _quietly() -> Iterator[None]:
    """No warning gets out, and that of too many pixels is an error. Filters are the process's: one at a time."""
    with _one_at_a_time, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        warnings.simplefilter("error", Image.DecompressionBombWarning)
        _ready()
        Image.MAX_IMAGE_PIXELS = MOST_PIXELS  # and it stays: parts of the picture are cut out later
        yield


def _decoded(data: bytes, name: str, where: str) -> Photo:
    image = Image.open(BytesIO(data), formats=FORMATS if _reads_heif() else FORMATS[:-1])
    if image.width * image.height > MOST_PIXELS:
        raise _too_many(f"{image.width:,} x {image.height:,}", where)
    image.load()
    frames = getattr(image, "n_frames", 1)
    notes = (f"The first of {frames} pictures in the file was taken.",) if frames > 1 else ()
    exif, turn, damaged = _turn(image)
    seen = as_rgb(image, exif)
    if seen.mask is not None and seen.mask.getbbox() is None:
        raise PhotoFault("all of this picture is transparent", where, "give one with something in it")
    upright, mask = seen.image, seen.mask
    if turn is not None:
        upright = upright.transpose(turn)
        mask = mask and mask.transpose(turn)
    upright.info = {}
    digest = hashlib.sha256(data).hexdigest()
    return Photo(name, upright, seen.space, digest, mask, notes + damaged + seen.notes)


def _turn(image: Image.Image) -> tuple[Image.Exif | None, Image.Transpose | None, tuple[str, ...]]:
    """EXIF, how the picture is turned upright by it, and a note where EXIF is damaged: the picture is whole then."""
    if image.format == "HEIF":  # turned by its own boxes already, which go before EXIF
        return None, None, ()
    try:
        exif = image.getexif()
        return exif, TURNS.get(exif.get(ORIENTATION, 1)), ()
    except Exception:  # whatever EXIF trips over
        return None, None, ("What the camera wrote into the file is damaged: the picture may lie on its side.",)
