"""Many photographs measured on all cores: in order, repeats passed over, faults kept apart, stopped."""

from __future__ import annotations

import os
import shutil
from multiprocessing import active_children
from pathlib import Path

import pytest

from stash.intake import How, Looked, look, look_at_all
from stash.intake.files import file_hash
from tests.engine.breaking import BREAKS, breaking_look
from tests.engine.drawn import flat, grey


def batch(folder: Path, count: int) -> list[Path]:
    return [flat(folder / f"cloth{i}.png", grey(40 + 10 * i)) for i in range(count)]


class Watched:
    """A progress that remembers, and asks to stop after `most` photographs."""

    def __init__(self, most: int = 1000) -> None:
        self.most = most
        self.seen: list[tuple[int, int, Looked]] = []

    def __call__(self, done: int, of: int, looked: Looked) -> None:
        self.seen.append((done, of, looked))

    def stopped(self) -> bool:
        return len(self.seen) >= self.most


@pytest.mark.parametrize("processes", [1, 2])
def test_answers_come_in_order_and_each_is_told(tmp_path: Path, processes: int) -> None:
    paths = batch(tmp_path, 7)
    watched = Watched()
    answers = look_at_all(paths, How(), {}, progress=watched, processes=processes)
    assert [one.path for one in answers] == paths
    assert [(done, of) for done, of, _ in watched.seen] == [(i, 7) for i in range(1, 8)]
    values = [one.swatches[0].measured.colour.L for one in answers]
    assert values == sorted(values)
    assert answers == [look(path, How()) for path in paths]


def test_few_photographs_start_no_process(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("stash.intake.batch.ProcessPoolExecutor", None)
    assert len(look_at_all(batch(tmp_path, 3), How(), {}, processes=2)) == 3


def test_two_processes_work_at_once(tmp_path: Path) -> None:
    alive = []
    found = look_at_all(
        batch(tmp_path, 6), How(), {}, processes=2, progress=lambda *_: alive.append(len(active_children()))
    )
    assert len(found) == 6
    assert max(alive) == 2


def test_as_many_processes_as_cores_and_four_at_most(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []

    class Counted(Exception):
        pass

    def pool(workers: int, *_: object) -> None:
        asked.append(workers)
        raise Counted

    monkeypatch.setattr("stash.intake.batch.ProcessPoolExecutor", pool)
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: set(range(2)), raising=False)
    with pytest.raises(Counted):
        look_at_all(batch(tmp_path, 4), How(), {})
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: set(range(64)), raising=False)
    with pytest.raises(Counted):
        look_at_all(batch(tmp_path, 8), How(), {})
    assert asked == [2, 4]


def test_where_no_process_can_be_started_it_is_done_here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: object) -> None:
        raise OSError(38, "Function not implemented")

    monkeypatch.setattr("stash.intake.batch.ProcessPoolExecutor", refused)
    assert len(look_at_all(batch(tmp_path, 5), How(), {}, processes=2)) == 5


@pytest.mark.parametrize("processes", [1, 2])
def test_repeats_are_passed_over_unread(tmp_path: Path, processes: int) -> None:
    paths = batch(tmp_path, 4)
    for name, of in (("again.png", paths[1]), ("and-again.png", paths[1])):
        paths.append(Path(shutil.copy(of, tmp_path / name)))
    (tmp_path / "known.jpg").write_bytes(b"measured before, and no picture now")
    paths.insert(0, tmp_path / "known.jpg")
    answers = look_at_all(paths, How(), {file_hash(paths[0]): "Moss"}, processes=processes)
    assert [one.repeat_of for one in answers] == ["Moss", "", "", "", "", "", ""]
    assert [one.same_as for one in answers] == [None, None, None, None, None, paths[2], paths[2]]
    assert [len(one.swatches) for one in answers] == [0, 1, 1, 1, 1, 0, 0]
    assert all(one.fault is None for one in answers)


@pytest.mark.parametrize("processes", [1, 2])
def test_bad_ones_do_not_keep_good_ones_back(tmp_path: Path, processes: int) -> None:
    paths = batch(tmp_path, 4)
    for name in ("bad.jpg", "same-bad.jpg"):
        (tmp_path / name).write_bytes(b"no picture")
        paths.insert(1, tmp_path / name)
    paths.append(tmp_path / "nothere.jpg")
    answers = look_at_all(paths, How(), {}, processes=processes)
    assert [one.path for one in answers] == paths
    faults = {one.path.name: one.fault.line() for one in answers if one.fault is not None}
    assert list(faults) == ["same-bad.jpg", "bad.jpg", "nothere.jpg"]
    assert all(name in line for name, line in faults.items())


@pytest.mark.parametrize("processes", [1, 2])
def test_stopped_it_gives_what_is_done(tmp_path: Path, processes: int) -> None:
    paths = batch(tmp_path, 16)
    watched = Watched(most=3)
    answers = look_at_all(paths, How(), {}, progress=watched, stopped=watched.stopped, processes=processes)
    assert 3 <= len(answers) <= 3 + processes + 1  # besides what was in hand nothing is begun
    assert [one.path for one in answers] == [path for path in paths if path in {one.path for one in answers}]
    assert len(watched.seen) == len(answers)
    assert look_at_all(paths, How(), {}, stopped=lambda: True, processes=processes) == []


def test_a_process_that_breaks_down_takes_only_its_own_photograph(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("stash.intake.batch.look", breaking_look)
    paths = batch(tmp_path, 6)
    paths[2].write_bytes(BREAKS)
    answers = look_at_all(paths, How(), {}, processes=2)
    assert [one.path for one in answers] == paths
    assert [i for i, one in enumerate(answers) if one.fault is not None] == [2]
    assert [len(one.swatches) for one in answers] == [1, 1, 0, 1, 1, 1]
