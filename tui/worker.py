"""A thread that works off calls in order and never holds up the end of the program."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import Future
from queue import SimpleQueue
from typing import TypeVar

T = TypeVar("T")
Work = tuple[Future[T], Callable[[], T]]


class SearchWorker:
    """One daemon thread. A pool's threads are joined when the program ends, so a search of many seconds would keep
    a maker waiting who has quit long ago; nothing is lost when a search is left behind."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._calls: SimpleQueue[Work] = SimpleQueue()
        self._thread: threading.Thread | None = None

    def submit(self, call: Callable[[], T]) -> Future[T]:
        """Queue a call; its future gets the result or the error on the worker's thread."""
        future: Future[T] = Future()
        self._calls.put((future, call))
        if self._thread is None:
            self._thread = threading.Thread(target=self._work, name=self._name, daemon=True)
            self._thread.start()
        return future

    def drop_waiting(self) -> None:
        """Cancel what has not been begun."""
        while not self._calls.empty():
            self._calls.get()[0].cancel()

    def _work(self) -> None:
        while True:
            future, call = self._calls.get()
            if not future.set_running_or_notify_cancel():
                continue
            try:
                result = call()
            except BaseException as error:
                future.set_exception(error)
            else:
                future.set_result(result)
