"""The searching thread: in order, errors handed over, and no wait for it at the end of the program."""

from __future__ import annotations

import subprocess
import sys
import threading

import pytest

from tui.worker import SearchWorker


def test_calls_are_worked_off_in_order_and_errors_come_with_the_future() -> None:
    worker, seen = SearchWorker("test"), list[int]()
    futures = [worker.submit(lambda number=number: seen.append(number)) for number in range(20)]
    failing = worker.submit(lambda: 1 // 0)
    with pytest.raises(ZeroDivisionError):
        failing.result(timeout=20)
    assert [future.result(timeout=20) for future in futures] == [None] * 20
    assert seen == list(range(20))


def test_what_waits_is_dropped_and_what_runs_is_finished() -> None:
    worker, begun, go_on = SearchWorker("test"), threading.Event(), threading.Event()

    def long() -> str:
        begun.set()
        assert go_on.wait(20)
        return "done"

    running, waiting = worker.submit(long), worker.submit(lambda: "never")
    assert begun.wait(20)
    worker.drop_waiting()
    go_on.set()
    assert running.result(timeout=20) == "done"
    assert waiting.cancelled()


def test_a_search_under_way_does_not_hold_up_the_end_of_the_program() -> None:
    program = (
        "import threading\n"
        "from tui.worker import SearchWorker\n"
        "begun = threading.Event()\n"
        "def search():\n"
        "    begun.set()\n"
        "    threading.Event().wait()\n"  # for ever
        "SearchWorker('test').submit(search)\n"
        "assert begun.wait(20)\n"
    )
    ended = subprocess.run([sys.executable, "-c", program], timeout=30, check=False)
    assert ended.returncode == 0
