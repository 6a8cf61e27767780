"""Moving a fabric past its neighbour in value, and so setting a value by eye."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from uuid import uuid4

from stash.errors import Fault
from stash.inventory.store import Store
from tui.app import StarcoverApp
from tui.named_keys import with_keys
from tui.widgets.fabric_lines import FabricLine, past_neighbour

NO_VALUE = "A fabric with no colour yet has no value to move; {stash.edit} gives it one"


class Moves:
    """Moves asked for by key presses, taken one by one: each on the list as the one before left it.

    `where` gives the lines shown (by value) and the place of the fabric to move; `moved` is told which fabric
    moves, so that the cursor can follow it.
    """

    def __init__(
        self,
        app: StarcoverApp,
        where: Callable[[], tuple[Sequence[FabricLine], int]],
        moved: Callable[[int], None],
    ) -> None:
        self._app = app
        self._where = where
        self._moved = moved
        self._waiting: list[int] = []
        self._busy = False

    def ask(self, step: int) -> None:
        """One move: -1 past the lighter neighbour, 1 past the darker."""
        self._waiting.append(step)
        self._next()

    def listed(self) -> None:
        """The list shows the stash as last read: the next move may be taken."""
        self._busy = False
        self._next()

    def _next(self) -> None:
        if self._busy or not self._waiting:
            return
        step = self._waiting.pop(0)
        lines, at = self._where()
        if not lines or lines[at].value is None:
            self._give_up(with_keys(NO_VALUE))
            return
        value = past_neighbour(lines, at, step)
        if value is None:
            self._give_up(no_room(lines, at, step))
            return
        self._busy = True
        fabric_id, uid = lines[at].id, uuid4().hex
        self._moved(fabric_id)

        def write(store: Store) -> None:
            store.set_value_by_eye(fabric_id, value, uid=uid)

        self._app.save(write, None, self._refused)

    def _give_up(self, words: str) -> None:
        self._waiting.clear()
        self._app.say(words)

    def _refused(self, fault: Fault) -> None:
        self._busy = False
        self._waiting.clear()
        self._app.show_fault(fault)


def no_room(lines: Sequence[FabricLine], at: int, step: int) -> str:
    """Why a fabric cannot move past its neighbour."""
    word, end = ("lighter", 100) if step < 0 else ("darker", 0)
    beside = lines[at + step] if 0 <= at + step < len(lines) else None
    if beside is None or beside.value is None:
        return f"There is nothing {word} here to move past"
    return f"{beside.name} has the value {end}: there is nothing {word} than that"
