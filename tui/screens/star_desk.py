"""What a maker wishes for each star while the program is open: locked rows, banned fabrics, the run's wishes.

Wishes are no part of the stash and are gone when the program closes; what they lead to is saved.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from stash.errors import Fault
from stash.match.wishes import Wishes
from stash.model import Colouring, Fabric, Star, Suggestions
from tui.state import Counts

if TYPE_CHECKING:
    from tui.jobs import Jobs

ANSWERS_KEPT = 8
LONGEST_SEARCH = 20.0  # seconds; after that the answer is said not to be proven


@dataclass(frozen=True)
class StarWishes:
    """The wishes for one star. `wishes.without` are the fabrics left out; of these `absent` are not there, for any
    star, and the others are banned from this one."""

    wishes: Wishes = field(default_factory=lambda: Wishes(time_limit=LONGEST_SEARCH))
    locked: frozenset[str] = frozenset()
    counts: Counts = field(default_factory=Counts)
    absent: frozenset[str] = frozenset()

    def asked(self, star: Star, colouring: Colouring | None) -> Wishes:
        """The wishes as the search takes them: locked letters fixed to what they have, the ground known.

        A fabric that is locked is not banned from its own row.
        """
        uses = colouring.uses if colouring else {}
        fixed = {
            letter: uses[letter][0] for letter in sorted(self.locked) if letter in star.letters and uses.get(letter)
        }
        return replace(
            self.wishes,
            fixed=fixed,
            without=tuple(name for name in self.wishes.without if name not in fixed.values()),
            ground=colouring.ground if colouring else None,
        )

    def with_lock(self, letter: str, locked: bool) -> StarWishes:
        return replace(self, locked=self.locked | {letter} if locked else self.locked - {letter})

    def with_ban(self, name: str, banned: bool) -> StarWishes:
        kept = tuple(one for one in self.wishes.without if one != name)
        without = (*kept, name) if banned else kept
        return replace(self, wishes=replace(self.wishes, without=without), absent=self.absent - {name})

    def with_absent(self, name: str) -> StarWishes:
        """A fabric is not there: it is left out until something of it is recorded."""
        return replace(self.with_ban(name, banned=True), absent=self.absent | {name})


@dataclass(frozen=True)
class Asked:
    """One question to the search, to tell whether an answer still belongs to what is on the table."""

    star: Star
    wishes: Wishes
    stash: object  # the token of the stash as it was read, and what of it counts


Done = Callable[[Suggestions], None]
Failed = Callable[[Fault], None]


class StarDesk:
    """Wishes by star, the question that is with the search, and the last answers."""

    def __init__(self) -> None:
        self.paper = ""  # that was chosen to print on; none yet
        self._wishes: dict[int, StarWishes] = {}
        self._absent: list[str] = []  # fabrics that the maker said are not there
        self._notes: dict[int, tuple[Star, Colouring, str]] = {}
        self._answers: list[tuple[Asked, Suggestions]] = []
        self._asked: Asked | None = None
        self._waiting: list[tuple[Done, Failed]] = []

    def wishes_for(self, star_id: int) -> StarWishes:
        """The star's own, and without the fabrics that are not there."""
        own = self._wishes.get(star_id, StarWishes())
        for name in self._absent:
            own = own if name in own.wishes.without else own.with_ban(name, banned=True)
        return replace(own, absent=frozenset(self._absent))

    def wish(self, star_id: int, wishes: StarWishes) -> None:
        """Take the star's wishes. What is not there is remembered once for all stars, and is no ban on this one."""
        bans = self._wishes.get(star_id, StarWishes()).wishes.without
        self._absent = [name for name in wishes.wishes.without if name in wishes.absent]
        own = tuple(name for name in wishes.wishes.without if name not in wishes.absent or name in bans)
        self._wishes[star_id] = replace(wishes, wishes=replace(wishes.wishes, without=own), absent=frozenset())

    def note(self, star_id: int, star: Star, colouring: Colouring, text: str) -> None:
        """What is to stand beside a star as long as it and its fabrics stay what they are."""
        self._notes[star_id] = (star, colouring, text)

    def note_for(self, star_id: int, star: Star, colouring: Colouring) -> str:
        """What stands beside a star, "" for nothing."""
        about, uses, text = self._notes.get(star_id, (star, colouring, ""))
        return text if about == star and uses.uses == colouring.uses else ""

    def stash_read(self, fabrics: Iterable[Fabric]) -> None:
        """What something is recorded of is there; what is gone, or has another name now, is no longer asked about."""
        unmeasured = {fabric.name for fabric in fabrics if not fabric.recorded}
        self._absent = [name for name in self._absent if name in unmeasured]

    def wish_near(self, star_id: int, name: str) -> None:
        """Runs for this star are to be near to a fabric's colours."""
        own = self.wishes_for(star_id)
        self.wish(star_id, replace(own, wishes=replace(own.wishes, near=name)))

    def answer_to(self, asked: Asked) -> Suggestions | None:
        """The answer to just this question, if it was given."""
        return next((answer for one, answer in self._answers if one == asked), None)

    def is_asking(self, asked: Asked) -> bool:
        return self._asked == asked

    def ask(self, jobs: Jobs, asked: Asked, fabrics: Iterable[Fabric], done: Done, failed: Failed) -> None:
        """Get the answer to a question, from memory or from the search. Two screens that ask the same share it.

        A new question lets go of the one before; its answer is kept if it comes after all.
        """
        answer = self.answer_to(asked)
        if answer is not None:
            done(answer)
            return
        if self._asked == asked:
            self._waiting.append((done, failed))
            return
        self._asked, self._waiting = asked, [(done, failed)]
        stash = tuple(fabrics)

        def search() -> Suggestions:
            from stash.match.sequence import suggest

            return suggest(asked.star, stash, asked.wishes)

        jobs.search(
            search,
            lambda found: self._answered(asked, found),
            lambda fault: self._failed(asked, fault),
            slot="star.search",
            long=True,
        )

    def let_go(self) -> None:
        """Nobody waits any longer."""
        self._asked, self._waiting = None, []

    def _answered(self, asked: Asked, answer: Suggestions) -> None:
        self._answers = [(asked, answer), *self._answers[: ANSWERS_KEPT - 1]]
        for done, _ in self._taken(asked):
            done(answer)

    def _failed(self, asked: Asked, fault: Fault) -> None:
        for _, failed in self._taken(asked):
            failed(fault)

    def _taken(self, asked: Asked) -> list[tuple[Done, Failed]]:
        if self._asked != asked:
            return []
        waiting = self._waiting
        self.let_go()
        return waiting
