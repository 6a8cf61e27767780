"""The demo stash: its files are what the script makes, and it shows what it is meant to show."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

from stash import demo
from stash.errors import Fault
from stash.inventory.store import Store
from stash.match.coverage import check
from stash.match.sequence import suggest
from stash.match.wishes import Wishes
from stash.model import Mark
from stash.star.yields import strips_of_letter
from tests.engine.scripts import FIXTURES, script_named


@pytest.fixture(scope="module")
def stash(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    with Store.open(demo.make(tmp_path_factory.mktemp("demo"))) as store:
        yield store


@pytest.fixture(scope="module")
def script() -> ModuleType:
    return script_named("make_demo")


def test_the_files_are_what_the_script_makes(script: ModuleType) -> None:
    made = script.files()
    assert set(made) == {"stash.csv", "stars.json"}
    for name, text in made.items():
        assert (FIXTURES / "demo" / name).read_bytes() == text.encode(), f"run fixtures/make_demo.py: {name} is stale"


def test_the_script_tells_when_a_file_is_stale(
    script: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(script, "HERE", tmp_path)
    assert script.main([]) == 0
    assert script.main(["--check"]) == 0
    (tmp_path / "stash.csv").write_text("fabric\n")
    assert script.main(["--check"]) == 1
    assert capsys.readouterr().out == "stash.csv is not what make_demo.py writes\n"


def test_the_script_by_itself_says_that_they_are_current() -> None:
    done = subprocess.run(
        [sys.executable, str(FIXTURES / "make_demo.py"), "--check"],
        cwd=FIXTURES.parent, env={**os.environ, "PYTHONPATH": str(FIXTURES.parent)}, capture_output=True, text=True,
        timeout=60,
    )  # fmt: skip
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_sixty_fabrics_light_medium_and_dark_four_of_them_not_measured(stash: Store) -> None:
    fabrics = stash.fabrics()
    assert len(fabrics) == 60
    assert all(fabric.colour is not None for fabric in fabrics)
    assert sum(not fabric.recorded for fabric in fabrics) == 4
    values = [fabric.colour.L for fabric in fabrics if fabric.colour is not None]
    dark, light = sum(L < 35 for L in values), sum(L > 78 for L in values)
    assert dark < len(values) - dark - light > light  # common practice, no source: mediums are most of a stash
    assert {piece.kind.value for fabric in fabrics for piece in fabric.pieces} == {
        "yardage", "fat quarter", "fat eighth", "square", "strips", "scrap"
    }  # fmt: skip
    assert any(fabric.directional for fabric in fabrics)


def test_the_first_star_is_short_in_one_row_by_one_strip(stash: Store) -> None:
    """Row D of a 4 x 4 is the widest: four small diamonds, so four strips (derived). Rosehip is 1/4 yd: 9 in
    less 1 for straightening give three strips of 2 1/2 (derived)."""
    star = stash.star("Lowmere Evening")
    assert (star.star.grid, star.star.strip) == (4, 2.5)
    assert strips_of_letter(star.star, "D") == 4
    cover = check(star.star, star.colourings[0].colouring, stash.fabrics())
    assert not cover.covered
    short = [one for one in cover.letters if one.mark is Mark.SHORT]
    assert [(one.letter, one.fabrics, one.strips_on_hand, one.missing) for one in short] == [("D", ("Rosehip",), 3, 1)]
    assert all(one.mark is Mark.COVERED for one in cover.letters if one.letter != "D")
    assert cover.ground is not None
    assert cover.ground.mark is Mark.COVERED


def test_the_second_star_has_two_colourings_and_both_are_covered(stash: Store) -> None:
    star = stash.star("Mill Pond")
    covers = [check(star.star, one.colouring, stash.fabrics()) for one in star.colourings]
    assert [cover.covered for cover in covers] == [True, True]


def test_five_sequences_cover_the_first_star(stash: Store) -> None:
    star = stash.star("Lowmere Evening").star
    found = suggest(star, stash.fabrics(), Wishes(measured=True, ground="Flax"))
    assert found.proven
    assert len(found.sequences) == 5
    for one in found.sequences:
        assert set(one.marks) <= {Mark.COVERED, Mark.TIGHT}


def test_a_demo_of_its_own_each_time() -> None:
    first, second = demo.make(), demo.make()
    try:
        assert first != second
        with Store.open(first) as store:
            store.archive(store.fabric("Fern").id)
        with Store.open(second) as store:
            assert not store.fabric("Fern").archived
    finally:
        shutil.rmtree(first.parent)
        shutil.rmtree(second.parent)


def test_the_demo_never_writes_over_a_file(tmp_path: Path) -> None:
    mine = tmp_path / "mine.db"
    mine.write_bytes(b"precious")
    with pytest.raises(Fault):
        demo.make_at(mine)
    assert mine.read_bytes() == b"precious"


def test_a_package_without_its_files_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(demo, "__file__", str(tmp_path / "stash" / "demo.py"))
    with pytest.raises(Fault, match="the demo's files are not there"):
        demo.make_at(tmp_path / "new.db")
    assert not (tmp_path / "new.db").exists()


def test_an_installed_package_brings_its_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = tmp_path / "stash"
    shutil.copytree(FIXTURES / "demo", package / "demo_files")
    monkeypatch.setattr(demo, "__file__", str(package / "demo.py"))
    assert demo.files() == package / "demo_files"
    with Store.open(demo.make_at(tmp_path / "new.db")) as store:
        assert len(store.fabrics()) == 60
