"""Saved stars and their colourings. A colouring refers to fabrics by id, so it follows a fabric that is renamed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, select

from stash.errors import Fault, NotFound, UsageFault
from stash.inventory import fabrics, plans
from stash.inventory.checks import asked_key, checked_name
from stash.inventory.ledger import Book
from stash.inventory.outdated import Dressed, Placed, are_strips_other, is_cloth_other
from stash.inventory.star_rows import row_of, star_of
from stash.inventory.tables import colouring, fabric, letter, star
from stash.model import QUILT_PARTS, Colouring, SavedColouring, SavedStar, Star
from stash.names import name_key, not_found
from stash.wording import counted


def load(conn: Connection, star_id: int | None = None) -> list[SavedStar]:
    """Saved stars in the order they were saved, or only that one."""
    stars = select(star).order_by(star.c.id)
    colourings = select(colouring).order_by(colouring.c.number)
    letters = (
        select(letter.c.colouring, letter.c.letter, fabric.c.name)
        .join_from(letter, fabric)
        .join(colouring, colouring.c.id == letter.c.colouring)
        .order_by(letter.c.letter, letter.c.place)
    )
    if star_id is not None:
        stars = stars.where(star.c.id == star_id)
        colourings = colourings.where(colouring.c.star == star_id)
        letters = letters.where(colouring.c.star == star_id)
    used: defaultdict[int, list[Any]] = defaultdict(list)
    for row in conn.execute(letters):
        used[row.colouring].append(row)
    of_star: defaultdict[int, list[Any]] = defaultdict(list)
    for row in conn.execute(colourings):
        of_star[row.star].append(row)
    rows = conn.execute(stars).all()
    if star_id is not None:
        return [_saved(row, of_star[row.id], used) for row in rows]
    return [_saved(row, of_star[row.id], used) for row in rows if _readable(row)]


def unreadable(conn: Connection) -> list[str]:
    """Names of saved stars that cannot be read, by another program's hand: `load` of all leaves them out."""
    return [row.name for row in conn.execute(select(star).order_by(star.c.id)) if not _readable(row)]


def _readable(row: Any) -> bool:
    try:
        star_of(row)
    except Fault:
        return False
    return True


def _saved(row: Any, colourings: Iterable[Any], used: Mapping[int, list[Any]]) -> SavedStar:
    paper = star_of(row)
    numbered = tuple(SavedColouring(one.number, _colouring(paper, used[one.id])) for one in colourings)
    return SavedStar(row.id, row.name, paper, numbered)


def _colouring(paper: Star, rows: Iterable[Any]) -> Colouring:
    """Letters that a change of the star on paper took away stay saved, unseen, until they come back."""
    letters = set(paper.order)
    uses: dict[str, tuple[str, ...]] = {}
    parts: dict[str, str] = {}
    for row in rows:
        if row.letter in QUILT_PARTS:
            parts[row.letter] = row.name
        elif row.letter in letters:
            uses[row.letter] = (*uses.get(row.letter, ()), row.name)
    return Colouring(uses, **parts)


def by_id(conn: Connection, star_id: int) -> SavedStar:
    """The saved star of that id. Raises NotFound."""
    found = load(conn, star_id)
    if not found:
        raise NotFound(f"there is no saved star {star_id}", do="look at the stars again")
    return found[0]


def by_name(conn: Connection, name: str) -> SavedStar:
    """The saved star of that name. Raises NotFound that asks "did you mean"."""
    star_id = conn.scalar(select(star.c.id).where(star.c.name_key == asked_key(name)))
    if star_id is None:
        raise not_found("star", name, conn.scalars(select(star.c.name).order_by(star.c.id)))
    return by_id(conn, star_id)


def _refuse_number(conn: Connection, name: str) -> None:
    """NAME/2 means the second colouring of NAME: where there is a star NAME, no other is called so."""
    head, slash, number = name.rpartition("/")
    is_colouring = slash and number.strip().isdigit()
    if is_colouring and conn.scalar(select(star.c.id).where(star.c.name_key == name_key(head))) is not None:
        raise Fault(f'"{name}" would mean colouring {number} of "{head}"', name, "choose another name")


def save(book: Book, name: str, paper: Star, given: Colouring | None) -> str:
    """A new star, or one more colouring of a known equal one; gives the sentence for the history."""
    name = checked_name(name, "star")
    row = book.conn.execute(select(star).where(star.c.name_key == name_key(name))).first()
    if row is None:
        _refuse_number(book.conn, name)
        star_id = book.insert("star", {"name": name, "name_key": name_key(name), **row_of(paper)})
        if given is not None:
            _insert(book, star_id, 1, _placed(book.conn, paper, given))
        return f"Saved the star {name}"
    if replace(star_of(row), units=paper.units) != paper:  # units are how lengths are shown: the star keeps its own
        raise Fault(
            f'a different star is saved as "{row.name}"; nothing was changed',
            row.name,
            "save this one under another name",
        )
    if given is None:
        return ""
    placed = _placed(book.conn, paper, given)
    there = book.conn.execute(select(colouring).where(colouring.c.star == row.id)).all()
    if any(_stored(book.conn, one.id, paper) == placed for one in there):
        return ""
    number = max((one.number for one in there), default=0) + 1
    _insert(book, row.id, number, placed)
    return f"Saved colouring {number} of {row.name}"


def replace_colouring(book: Book, star_id: int, number: int, given: Colouring) -> str:
    """Other fabrics for a colouring. A plan of it that is put out of date (see `outdated`) is let go."""
    saved = by_id(book.conn, star_id)
    colouring_id = find_colouring(book.conn, star_id, number)
    before = Dressed(saved.star, _stored(book.conn, colouring_id, saved.star))
    after = Dressed(saved.star, _placed(book.conn, saved.star, given))
    _put_letters(book, colouring_id, after.placed)
    return f"Changed colouring {number} of {saved.name}{_let_go_text(_let_go(book, colouring_id, before, after))}"


def _let_go(book: Book, colouring_id: int, before: Dressed, after: Dressed) -> int:
    """Let go the plans of a colouring that its change, or the star's, puts out of date; says how many strips."""
    if not is_cloth_other(before, after):
        return 0
    return plans.let_go(book, colouring_id, begun=are_strips_other(before, after))


def _let_go_text(dropped: int) -> str:
    return f"; {counted(dropped, 'planned strip')} let go" if dropped else ""


def _put_letters(book: Book, colouring_id: int, wanted: Placed) -> None:
    """Make `wanted` the letters of a colouring."""
    rows = book.conn.execute(select(letter).where(letter.c.colouring == colouring_id)).all()
    there = {(row.letter, row.place): row for row in rows}
    stays = {(where, place) for where, place, _ in wanted}
    for at, row in there.items():
        if at not in stays:
            book.delete("letter", row.id)
    for where, place, fabric_id in sorted(wanted):
        if (where, place) in there:
            book.update("letter", there[where, place].id, {"fabric": fabric_id})
        else:
            book.insert("letter", _letter(colouring_id, where, place, fabric_id))


def drop_colouring(book: Book, star_id: int, number: int) -> str:
    """Remove a colouring and its plans; gives the sentence for the history."""
    saved = by_id(book.conn, star_id)
    _remove(book, find_colouring(book.conn, star_id, number))
    return f"Dropped colouring {number} of {saved.name}"


def rename(book: Book, star_id: int, name: str) -> str:
    """Give a star another name; gives the sentence for the history. Raises Fault where the name is taken."""
    saved = by_id(book.conn, star_id)
    values = _named(book.conn, star_id, name)
    book.update("star", star_id, values)
    return f"Renamed the star {saved.name} to {values['name']}"


def _named(conn: Connection, star_id: int, name: str) -> dict[str, Any]:
    """Another name of a star, as its row holds it. Raises Fault where it is taken."""
    name = checked_name(name, "star")
    taken = conn.scalar(select(star.c.id).where(star.c.name_key == name_key(name)))
    if taken not in (None, star_id):
        raise Fault(f'there is a star called "{name}" already; nothing was changed', name, "choose another name")
    _refuse_number(conn, name)
    return {"name": name, "name_key": name_key(name)}


def drop(book: Book, star_id: int) -> str:
    """Remove a star with its colourings and plans; gives the sentence for the history."""
    saved = by_id(book.conn, star_id)
    for colouring_id in book.conn.scalars(select(colouring.c.id).where(colouring.c.star == star_id)).all():
        _remove(book, colouring_id)
    book.delete("star", star_id)
    return f"Dropped the star {saved.name}"


def set_star(
    book: Book, star_id: int, paper: Star, number: int | None, given: Colouring | None, name: str | None = None
) -> str:
    """Another star on paper, and with it another name and other fabrics for colouring `number`, where they are given.

    Plans of its colourings that are put out of date (see `outdated`) are let go.
    """
    saved = by_id(book.conn, star_id)
    text = f"Changed colouring {number} of {saved.name}"
    named = _named(book.conn, star_id, name) if name is not None else {}
    if book.update("star", star_id, {**row_of(paper), **named}):
        text = f"Changed the star {saved.name}" + (f", now {named['name']}" if named else "")
    changed = None if number is None or given is None else find_colouring(book.conn, star_id, number)
    dropped = 0
    for one in book.conn.scalars(select(colouring.c.id).where(colouring.c.star == star_id).order_by(colouring.c.id)):
        before, after = (Dressed(each, _stored(book.conn, one, each)) for each in (saved.star, paper))
        if one == changed and given is not None:
            after = Dressed(paper, _placed(book.conn, paper, given))
            _put_letters(book, one, after.placed)
        dropped += _let_go(book, one, before, after)
    return text + _let_go_text(dropped)


def find_colouring(conn: Connection, star_id: int, number: int) -> int:
    """The row of colouring `number` of a star. Raises NotFound."""
    found: int | None = conn.scalar(
        select(colouring.c.id).where(colouring.c.star == star_id, colouring.c.number == number)
    )
    if found is None:
        saved = by_id(conn, star_id)
        there = ", ".join(str(one.number) for one in saved.colourings) or "none"
        raise NotFound(f"{saved.name} has no colouring {number}", saved.name, f"it has {there}")
    return found


def _remove(book: Book, colouring_id: int) -> None:
    plans.remove_all(book, colouring_id)
    for row_id in book.conn.scalars(select(letter.c.id).where(letter.c.colouring == colouring_id)).all():
        book.delete("letter", row_id)
    book.delete("colouring", colouring_id)


def _insert(book: Book, star_id: int, number: int, placed: Placed) -> None:
    colouring_id = book.insert("colouring", {"star": star_id, "number": number})
    for where, place, fabric_id in sorted(placed):
        book.insert("letter", _letter(colouring_id, where, place, fabric_id))


def _letter(colouring_id: int, where: str, place: int, fabric_id: int) -> dict[str, Any]:
    return {"colouring": colouring_id, "letter": where, "place": place, "fabric": fabric_id}


def _stored(conn: Connection, colouring_id: int, paper: Star) -> Placed:
    rows = conn.execute(select(letter).where(letter.c.colouring == colouring_id))
    seen = {*QUILT_PARTS, *paper.order}
    return {(row.letter, row.place, row.fabric) for row in rows if row.letter in seen}


def _placed(conn: Connection, paper: Star, given: Colouring) -> Placed:
    """A colouring by fabric ids. Raises NotFound for a fabric that is not in the stash."""
    placed: Placed = set()
    for where, names in given.uses.items():
        if where not in paper.letters:
            raise UsageFault(f"this star has no letter {where}", do=f"it has {', '.join(paper.letters)}")
        ids = [fabrics.by_name(conn, name).id for name in names]
        if not 1 <= len(ids) <= 2 or len(set(ids)) < len(ids):
            raise UsageFault(f"letter {where} takes one fabric, or two different ones", do="name one or two fabrics")
        placed |= {(where, place, fabric_id) for place, fabric_id in enumerate(ids, 1)}
    return placed | {(part, 1, fabrics.by_name(conn, name).id) for part, name in given.parts.items()}
