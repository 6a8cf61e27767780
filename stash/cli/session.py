"""Which stash a command works on, and opening it."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from stash.cli.output import clean, write
from stash.errors import Fault, UsageFault
from stash.names import name_key
from stash.paths import default_stash

if TYPE_CHECKING:
    from stash.inventory.store import Store
    from stash.model import Colouring, Fabric, SavedStar


def stash_path(db: str | None) -> Path:
    """The stash that --db names, else STARCOVER_DB, else the user's own.

    An empty --db (a variable that is not set, most likely) never falls back on the user's own.
    """
    if db is None:
        return default_stash()
    if not db.strip():
        raise UsageFault("it names no stash", where="--db", do="--db PATH names one; leave it out for your own")
    return Path(db)


@contextmanager
def open_store(args: Namespace) -> Iterator[Store]:
    """The stash of a command, with its day's backup after one that saved. One that is not there is a fault: only
    `new`, `import` and `restore` make one."""
    from stash.inventory.places import warnings
    from stash.inventory.store import Store

    with Store.open(stash_path(args.db)) as store:
        for sentence in warnings(store.transactions.found):
            write(sys.stderr, clean(f"starcover: {sentence}"))
        yield store
        saved = store.saved
    if saved:
        from stash.cli.keeping import daily

        daily(store.path)


def cloth_for(store: Store, args: Namespace, star: SavedStar | None) -> tuple[Fabric, ...]:
    """The stash as a star may use it: less what plans of other stars hold (unless --ignore-holds), and as it will
    measure after washing with --wash-first. Archived fabrics are there too."""
    fabrics = tuple(store.fabrics(archived=True))
    if not args.ignore_holds:
        from stash.match.holds import hold_back

        plans = store.open_plans()
        names = {saved.id: saved.name for saved in store.stars()} if plans else {}
        fabrics = hold_back(fabrics, plans, star.id if star else None, names)
    if getattr(args, "wash_first", False):
        from stash.match.washed import washed_first

        fabrics = washed_first(fabrics)
    return fabrics


def saved_as(store: Store, name: str | None) -> SavedStar | None:
    """The saved star of that name, if there is one: its own plans hold nothing against it."""
    return next((one for one in store.stars() if name and name_key(one.name) == name_key(name)), None)


def find_star(store: Store, text: str) -> tuple[SavedStar, int, Colouring]:
    """A saved star and the colouring that `NAME` (its first) or `NAME/2` means.

    Raises NotFound for a star, Fault for a colouring that is not there.
    """
    name, number = _name_and_number(text, [saved.name for saved in store.stars()])
    saved = store.star(name)
    for one in saved.colourings:
        if one.number == number or (number is None and one is saved.colourings[0]):
            return saved, one.number, one.colouring
    if not saved.colourings:
        raise Fault("it has no colouring yet", where=saved.name, do="check or suggest with --save gives it one")
    numbers = ", ".join(str(one.number) for one in saved.colourings)
    raise Fault(f"it has no colouring {number}", where=saved.name, do=f"it has {numbers}")


def _name_and_number(text: str, known: list[str]) -> tuple[str, int | None]:
    name, slash, number = text.rpartition("/")
    whole_is_known = name_key(text) in {name_key(one) for one in known}
    if slash and not whole_is_known and number.isascii() and number.isdigit() and len(number) < 6:
        return name, int(number)
    return text, None
