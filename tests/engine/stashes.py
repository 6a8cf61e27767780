"""Small helpers for tests that work on a stash file."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from stash.inventory import schema
from stash.inventory.exchange import ImportReport, import_csv
from stash.inventory.store import Store
from stash.inventory.verify import verify
from stash.lengths import to_ticks
from stash.model import (
    Colour,
    Colouring,
    CutStrip,
    Fabric,
    Kind,
    Measured,
    NewFabric,
    NewPiece,
    NewSwatch,
    PaletteColour,
    PieceCut,
    Reference,
    Run,
    SavedStar,
    Star,
    Way,
)

FERN_SEEN = Colour(46.25, -30.5, 28.0, "measured")
STAR = Star(grid=2, strip=Fraction(5, 2), order="ABA")
LIVE = ("fabric", "piece", "colour", "eye", "swatch", "star", "colouring", "letter", "plan", "strip", "spoiled")
LEDGER = ("op", "line", "change")


def inch(inches: float | str | Fraction) -> int:
    """Ticks of so many inches."""
    return to_ticks(Fraction(inches))


def digest(path: Path) -> str:
    """The SHA-256 of a file, to tell that it was not touched."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def piece(length: float | str = 18, width: float | str = 40, kind: Kind = Kind.YARDAGE, **more: Any) -> NewPiece:
    return NewPiece(kind, inch(length), inch(width), **more)


def fern(store: Store, *lengths: float | str) -> Fabric:
    """Fern, in pieces of these lengths by 40 in."""
    return store.add(NewFabric("Fern", tuple(piece(one) for one in lengths or (18,)), Colour(46, -30, 28)))


def photograph(
    photo: str = "fern.jpg",
    colour: Colour = FERN_SEEN,
    reference: Reference = Reference.PAPER,
    **measured: Any,
) -> NewSwatch:
    """A photograph of that name, measured: two main colours, a file hash and pictures made of the name."""
    source = "relative" if reference is Reference.NONE else "measured"
    colour = replace(colour, source=source)
    main = (PaletteColour(colour, 0.625), PaletteColour(Colour(0.1 + 0.2, -1 / 3, 28.0, source), 0.375))
    facts: dict[str, Any] = {"value_low": 30.5, "value_high": 61.25, "variety": 9.5, "palette": main} | measured
    said = Measured(
        colour, facts["value_low"], facts["value_high"], facts["variety"], facts["palette"], (12, 0, 640, 480),
        reference, ("the light falls off to the left",),
    )  # fmt: skip
    content = photo.encode()
    jpeg = b"\xff\xd8\xff\xe0" + content
    return NewSwatch(said, photo, hashlib.sha256(content).hexdigest(), jpeg * 20, jpeg)


def two_row_star(store: Store) -> SavedStar:
    """Fern and Moss (54 in each) in a 2 x 2 star."""
    fern(store, 54)
    store.add(NewFabric("Moss", (piece(54),)))
    return store.save_star("Evening", STAR, Colouring({"A": ("Fern",), "B": ("Moss",)}, "Moss"))


def planned(fabric: Fabric, strips: int, way: Way = Way.ACROSS, strip: str = "2 1/2", trim: int = 1) -> PieceCut:
    """`strips` strips from a fabric's first piece, straightened by `trim` inches of its length."""
    one, width = fabric.pieces[0], inch(sum(map(Fraction, strip.split())))
    across = way is Way.ACROSS
    places = [(0, n * width) if across else (n * width, 0) for n in range(strips)]
    cut = tuple(CutStrip(x, y, one.width if across else one.length, width, (Run(1, 8),)) for x, y in places)
    return PieceCut(fabric.id, fabric.name, one.id, one.rev, one.length, one.width, way, cut, inch(trim), 0)


@contextmanager
def raw(path: Path) -> Iterator[sqlite3.Connection]:
    """Another program on the same file."""
    with closing(sqlite3.connect(path, isolation_level=None)) as conn:
        yield conn


def released(path: Path, version: int) -> None:
    """An empty stash as the program of that version made it, from the golden file of its form."""
    statements = Path(__file__).with_name(f"schema_{version:04d}.sql").read_text(encoding="utf-8").splitlines()
    with raw(path) as conn:
        for statement in sorted(statements, key=lambda one: not one.startswith("CREATE TABLE")):
            conn.execute(statement)
        conn.execute(f"INSERT INTO revision VALUES ('{version:04d}')")
        conn.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
        conn.execute(f"PRAGMA user_version = {version}")


def tables(path: Path, names: tuple[str, ...] = (*LIVE, *LEDGER)) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of these tables."""
    with raw(path) as conn:
        return {name: conn.execute(f'SELECT * FROM "{name}" ORDER BY id').fetchall() for name in names}


def rows(path: Path, query: str) -> list[tuple[Any, ...]]:
    """What this query finds."""
    with raw(path) as conn:
        return conn.execute(query).fetchall()


def pictures(path: Path) -> int:
    """How many pictures are kept, each with its thumbnail."""
    (count,) = rows(path, "SELECT count(*) FROM picture")
    assert rows(path, "SELECT count(*) FROM thumbnail") == [count]
    return int(count[0])


def visible(store: Store) -> tuple[Any, ...]:
    """All that a user can see of a stash, without the number of a piece's ledger lines."""
    fabrics = [
        (f, tuple((p.id, p.kind, p.length, p.width, p.cut_before, p.estimated) for p in f.pieces))
        for f in store.fabrics(archived=True)
    ]
    plain = [(f.id, f.name, f.colour, f.measured, f.value_by_eye, f.directional, f.washed, f.recorded, f.place,
              f.note, f.price, f.photo, f.archived, f.swatch, pieces) for f, pieces in fabrics]  # fmt: skip
    return plain, store.stars(), store.open_plans()


def restored(path: Path) -> dict[str, Any]:
    """The tables that an undo has to bring back, without what only the ledger counts.

    A fabric or piece whose first entry is undone stays for the ledger's sake and is left out; so are the numbers
    of lines of a piece.
    """
    now = tables(path, LIVE)
    with raw(path) as conn:
        now["fabric"] = conn.execute("SELECT * FROM fabric WHERE withdrawn = 0 ORDER BY id").fetchall()
        now["piece"] = conn.execute(
            "SELECT id, fabric, kind, length, width, state, cut_before, estimated FROM piece"
            " WHERE state <> 'withdrawn' ORDER BY id"
        ).fetchall()
    return now


def agrees(path: Path) -> None:
    """The balances: a piece is its newest line, its lines count from 1, and what was taken adds up."""
    with raw(path) as conn:
        pieces = conn.execute(
            "SELECT id, rev, kind, length, width, state, cut_before, estimated FROM piece"
        ).fetchall()
        lines: dict[int, list[Any]] = {}
        for row in conn.execute(
            "SELECT piece, rev, kind, length, width, state, cut_before, estimated, taken FROM line ORDER BY rev"
        ):
            lines.setdefault(row[0], []).append(row)
        assert conn.execute("PRAGMA foreign_key_check").fetchall() == []
        assert conn.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    assert set(lines) == {row[0] for row in pieces}
    for row in pieces:
        own = lines[row[0]]
        assert [one[1] for one in own] == list(range(1, row[1] + 1))
        assert own[-1][1:8] == row[1:]
        assert sum(one[8] for one in own) == -row[3] * row[4]


def take(store: Store, text: str | bytes, **how: Any) -> ImportReport:
    """Import a file with this content."""
    path = store.path.with_name("in.csv")
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return import_csv(store, path, **how)


def plain(store: Store) -> list[Fabric]:
    """The stash without the ids and numbers that another stash gives anew."""
    return [
        replace(one, id=0, pieces=tuple(replace(p, id=0, rev=1) for p in one.pieces))
        for one in store.fabrics(archived=True)
    ]


def sizes(store: Store, name: str) -> list[tuple[str, int, int]]:
    return [(str(p.kind), p.length, p.width) for p in store.fabric(name).pieces]


def full(store: Store) -> Store:
    """Something in every table: cut and planned strips, spoiled segments, photographs, an undone entry, texts of
    several lines and scripts."""
    star = two_row_star(store)
    fern_now, moss = store.fabric("Fern"), store.fabric("Moss")
    plan = store.keep_plan(star.id, 1, [planned(fern_now, 3), planned(moss, 3)])
    store.book(plan.id, [plan.strips[0].id])
    store.spoil(plan.id, 1)
    store.set_swatch(fern_now.id, photograph())
    store.add(NewFabric("Nachtblau 👩‍🌾", swatch=photograph("blau.jpg", reference=Reference.NONE)))
    store.edit(moss.id, note="two\nlines\t=1+1", place="[/red] 架子", price="'11.80")
    store.set_value_by_eye(moss.id, 1 / 3)
    store.archive(store.add(NewFabric("=cmd|'/c calc'!A1", (piece(9, 21, Kind.FAT_EIGHTH, estimated=True),))).id)
    store.add(NewFabric("Not to be"))
    store.undo()
    return store


def wrong(store: Store) -> list[str]:
    """What a look over the stash finds, a line each."""
    return [one.line() for one in verify(store.path)]


EVERYTHING = (*LIVE, *LEDGER, "picture", "thumbnail")
