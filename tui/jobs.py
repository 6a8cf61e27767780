"""Engine calls off the event loop.

The stash is read and written on one thread, in the order asked; pure searches run on another. A thread only
posts its answer, tagged with the number of the request; the app hands it to whoever asked. A request in a slot
is answered only while it is the newest of that slot, so a late answer never overwrites a fresh one.
"""

from __future__ import annotations

import itertools
import logging
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from textual.app import App
from textual.dom import DOMNode

from stash.errors import Fault
from stash.paths import log_file
from tui.messages import JobDone, JobFailed
from tui.worker import SearchWorker

if TYPE_CHECKING:  # it takes longer to load than all the rest: the stash's thread does, once something is drawn
    from stash.inventory.store import Store

T = TypeVar("T")
Failed = Callable[[Fault], None]
log = logging.getLogger(__name__)
_NUMBERS = itertools.count(1)  # of requests; no two stashes opened in turn share one


@dataclass(frozen=True, slots=True)
class _Request:
    slot: str
    owner: DOMNode | None
    done: Callable[[Any], None] | None
    failed: Failed | None


class Jobs:
    """Runs calls on worker threads and brings the answers back to the event loop."""

    def __init__(self, app: App[Any], store_path: Path, prepare: Callable[[Path], object] | None = None) -> None:
        """`prepare` is called with the path before the stash is opened for the first time, on its thread."""
        self._app = app
        self._path = store_path
        self._prepare = prepare
        self._store: Store | None = None
        self.saved = False  # once closed: whether anything was
        self._store_thread = ThreadPoolExecutor(1, "starcover-stash")
        self._search_thread = SearchWorker("starcover-search")
        self._long_thread = SearchWorker("starcover-long-search")
        self._waiting: dict[int, _Request] = {}
        self._newest: dict[str, int] = {}

    @property
    def idle(self) -> bool:
        """Nothing is running or waiting to be handed over."""
        return not self._waiting

    @property
    def has_saved(self) -> bool:
        """Whether anything was saved to the stash since it was opened."""
        store = self._store
        return store is not None and store.saved

    def store(
        self,
        call: Callable[[Store], T],
        done: Callable[[T], None] | None = None,
        failed: Failed | None = None,
        *,
        slot: str = "",
        owner: DOMNode | None = None,
    ) -> None:
        """Run `call` with the open stash on the stash's own thread.

        `done` gets the result on the event loop, `failed` the Fault (without one it becomes a toast). With
        `owner` nothing is delivered once that screen or widget has gone.
        """
        self._send(self._store_thread, lambda: call(self._opened()), _Request(slot, owner, done, failed))

    def search(
        self,
        call: Callable[[], T],
        done: Callable[[T], None],
        failed: Failed | None = None,
        *,
        slot: str,
        owner: DOMNode | None = None,
        long: bool = False,
    ) -> None:
        """Run a pure call (it must not touch the stash) on a searching thread; newest of `slot` wins.

        `long` ones have a thread of their own, so that a check of one fabric never waits for a search of seconds.
        """
        thread = self._long_thread if long else self._search_thread
        self._send(thread, call, _Request(slot, owner, done, failed))

    def deliver(self, message: JobDone | JobFailed) -> Fault | None:
        """Hand an answer to whoever asked. Returns the Fault that nobody wanted to handle, if any."""
        request = self._waiting.pop(message.request, None)
        if request is None or self._stale(message.request, request):
            return None
        if isinstance(message, JobDone):
            if request.done is not None:
                request.done(message.result)
            return None
        fault = as_fault(message.error)
        if request.failed is None:
            return fault
        request.failed(fault)
        return None

    def close(self) -> None:
        """Close the stash; searches still waiting are dropped, saves still waiting are finished."""

        def shut() -> None:
            if self._store is not None:
                self.saved = self._store.saved
                self._store.close()
                self._store = None

        self._search_thread.drop_waiting()
        self._long_thread.drop_waiting()
        self._store_thread.submit(shut)
        self._store_thread.shutdown(wait=True)

    def _opened(self) -> Store:
        from stash.inventory.store import Store

        if self._store is None:
            if self._prepare is not None:
                self._prepare(self._path)
                self._prepare = None
            self._store = Store.open(self._path)
        return self._store

    def _send(self, thread: ThreadPoolExecutor | SearchWorker, call: Callable[[], T], request: _Request) -> None:
        number = next(_NUMBERS)
        self._waiting[number] = request
        if request.slot:
            self._newest[request.slot] = number

        def post(future: Future[T]) -> None:
            if future.cancelled():
                return
            error = future.exception()
            message = JobDone(number, future.result()) if error is None else JobFailed(number, error)
            self._app.post_message(message)

        def run() -> T | None:
            # A search that was overtaken while it waited is not worth starting.
            return call() if thread is self._store_thread or not self._stale(number, request) else None

        future: Future[Any] = thread.submit(run)
        future.add_done_callback(post)

    def _stale(self, number: int, request: _Request) -> bool:
        if request.slot and self._newest.get(request.slot) != number:
            return True
        return request.owner is not None and not request.owner.is_attached


def as_fault(error: BaseException) -> Fault:
    """A Fault as it is; anything else is logged with its traceback and said in one line."""
    if isinstance(error, Fault):
        return error
    log.error("unexpected error", exc_info=error)
    return Fault(
        f"That did not work ({type(error).__name__})",
        do=f"Nothing more was saved; details are in {log_file()}",
    )
