"""Many photographs at once, on all cores: repeats passed over, faults one by one, stopped at any time."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from stash.errors import Fault
from stash.intake.files import file_hash
from stash.intake.looking import How, Looked, look, stumbled
from stash.one_thread import keep_to_one_thread

FEW = 4  # from so many photographs on, starting other processes pays
MOST_PROCESSES = 4  # each holds a whole photograph in memory
GLANCE = 0.1  # seconds between looks at `stopped`

Progress = Callable[[int, int, Looked], None]


def look_at_all(
    paths: Sequence[Path],
    how: How,
    known: Mapping[str, str],
    *,
    progress: Progress = lambda done, of, looked: None,
    stopped: Callable[[], bool] = lambda: False,
    processes: int | None = None,
    preview: bool = False,
) -> list[Looked]:
    """What became of each photograph, in the order given; where it was stopped, of those done by then.

    known -- the SHA-256 of each photograph of the stash and the name of a fabric that has it: such a file is passed
        over before it is read as a picture, and so is the same file again in the batch.
    progress -- called in this thread after each photograph, in whatever order they are done: how many are done, how
        many there are, and what became of that one.
    stopped -- asked about ten times a second. What is being measured then is finished; nothing new is begun.
    processes -- how many work at it; None: one a core, at most four, and for under four photographs none besides
        this one. On systems that start processes anew, the program's main module must be safe to import.
    preview -- as in `look`.
    """
    batch = _Batch(paths, how, known, progress, stopped, preview)
    workers = _cores() if processes is None else processes
    if workers < 2 or len(paths) < FEW:
        batch.here()
    else:
        batch.spread(min(workers, len(paths)))
    return batch.in_order()


def _cores() -> int:
    try:
        cores = len(os.sched_getaffinity(0))
    except AttributeError:  # not on every system
        cores = os.cpu_count() or 1
    return min(cores, MOST_PROCESSES)


class _Batch:
    """A batch on its way. `fresh` hands out the places of photographs to be measured, in their order."""

    def __init__(
        self,
        paths: Sequence[Path],
        how: How,
        known: Mapping[str, str],
        progress: Progress,
        stopped: Callable[[], bool],
        preview: bool,
    ) -> None:
        self.paths = paths
        self.how = how
        self.known = known
        self.progress = progress
        self.stopped = stopped
        self.preview = preview
        self.answers: dict[int, Looked] = {}
        self.first: dict[str, int] = {}  # of each file hash, where it came first
        self.twins: dict[int, list[int]] = {}  # later places of the same file
        self.fresh = self._fresh()

    def in_order(self) -> list[Looked]:
        return [self.answers[at] for at in sorted(self.answers)]

    def here(self) -> None:
        """Measure in this process whatever is left."""
        while not self.stopped() and (at := next(self.fresh, None)) is not None:
            self._take(at, look(self.paths[at], self.how, preview=self.preview))

    def spread(self, workers: int) -> None:
        """Measure in other processes. Where one breaks down, the photographs it may have been at go one by one."""
        try:
            while (suspects := self._in_pool(workers)) and not self.stopped():
                for at in suspects:
                    if not self.stopped():
                        self._alone(at)
        except _NoProcesses:
            self.here()

    def _fresh(self) -> Iterator[int]:
        """Places in order, without the repeats, which are answered on the way."""
        for at, path in enumerate(self.paths):
            found = file_hash(path)
            if found in self.known:
                self._take(at, Looked(path, found, repeat_of=self.known[found]))
            elif found and found in self.first:
                self._twin(at, self.first[found])
            else:
                self.first[found] = at
                yield at

    def _twin(self, at: int, first: int) -> None:
        """The file at `at` is the one at `first`: answered when that one is."""
        if first not in self.answers:
            self.twins.setdefault(first, []).append(at)
            return
        one, path = self.answers[first], self.paths[at]
        if one.fault is None:
            self._take(at, Looked(path, one.file_hash, same_as=one.path))
        else:
            self._take(at, replace(one, path=path, fault=Fault(one.fault.what, path.name, one.fault.do)))

    def _take(self, at: int, looked: Looked) -> None:
        self.answers[at] = looked
        self.progress(len(self.answers), len(self.paths), looked)
        for twin in self.twins.pop(at, ()):
            self._twin(twin, at)

    def _in_pool(self, workers: int) -> list[int]:
        """Work through `fresh`; gives the places that were open when a process broke down, [] when all is done."""
        flying: dict[Future[Looked], int] = {}
        with _pool(workers) as pool:
            while True:
                while len(flying) <= workers and not self.stopped() and (at := next(self.fresh, None)) is not None:
                    try:
                        flying[self._submit(pool, at)] = at
                    except BrokenProcessPool:
                        return [*self._gathered(flying), at]
                if not flying:
                    return []
                done, _ = wait(flying, timeout=GLANCE, return_when=FIRST_COMPLETED)
                if lost := self._gathered({one: flying.pop(one) for one in done}):
                    return sorted([*lost, *self._gathered(flying)])
                if self.stopped():
                    flying = {one: at for one, at in flying.items() if not one.cancel()}

    def _gathered(self, ended: Mapping[Future[Looked], int]) -> list[int]:
        """Take the answers of `ended`, waiting for each; gives the places whose process broke down."""
        lost = []
        for future, at in ended.items():
            try:
                self._take(at, future.result())
            except BrokenProcessPool:
                lost.append(at)
            except Exception as error:  # an answer that cannot be sent back
                self._take(at, stumbled(self.paths[at], error))
        return lost

    def _alone(self, at: int) -> None:
        """One photograph in a process of its own: when that breaks down too, the photograph is to blame."""
        with _pool(1) as pool:
            if self._gathered({self._submit(pool, at): at}):
                what = "measuring it brought the program down"
                fault = Fault(what, self.paths[at].name, "save it anew as a JPEG, smaller, and try that")
                self._take(at, Looked(self.paths[at], fault=fault))

    def _submit(self, pool: ProcessPoolExecutor, at: int) -> Future[Looked]:
        return pool.submit(look, self.paths[at], self.how, preview=self.preview)


class _NoProcesses(Exception):
    """This system lets no process be started."""


@contextmanager
def _pool(workers: int) -> Iterator[ProcessPoolExecutor]:
    """Processes that are ready. They are started anew (spawned): a fork of a program with threads can hang."""
    import multiprocessing

    try:
        pool = ProcessPoolExecutor(workers, multiprocessing.get_context("spawn"), _begin)
        try:
            with _interrupts_held():
                for ready in [pool.submit(_ready) for _ in range(workers)]:
                    ready.result()
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise
    except (OSError, ImportError, NotImplementedError, BrokenProcessPool) as trouble:
        raise _NoProcesses from trouble
    with pool:
        try:
            yield pool
        finally:
            pool.shutdown(cancel_futures=True)


@contextmanager
def _interrupts_held() -> Iterator[None]:
    """Processes started inside never see Ctrl-C, which a terminal sends to all of them: this one decides."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _ready() -> None:
    """Loads in a new process what measuring needs, so that the processes load it side by side."""
    from stash.colour import keep, measure, photo, sheet  # noqa: F401


def _begin() -> None:
    """First thing in a new process: it keeps to one core, writes nothing on the screen, and ends with its parent."""
    import multiprocessing
    import threading

    keep_to_one_thread()
    from stash.colour import light

    light.threads = 1
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    null = os.open(os.devnull, os.O_WRONLY)
    for stream in (1, 2):  # libraries of pictures write remarks of their own there
        os.dup2(null, stream)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent.sentinel,), daemon=True).start()


def _end_with(sentinel: int) -> None:
    from multiprocessing.connection import wait as wait_for

    wait_for([sentinel])
    os._exit(1)
