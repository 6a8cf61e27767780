"""Each screen as it was when it was last looked at: its text at two sizes, and the colours of the main ones.

pytest tests/tui/test_sights.py --draw     keeps them as they are drawn now; look at what changed before you commit it
"""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from difflib import unified_diff
from pathlib import Path

import pytest
from textual.pilot import Pilot

from stash.inventory.store import Store
from tests.tui.drawing import svg_of
from tests.tui.driving import SIZES, running, screen_text, settled, wait_for
from tests.tui.intake_screen import begin, photograph
from tests.tui.sights import SIGHTS, Sight, fixed_time, make_fixed

KEPT = Path(__file__).parent / "snapshots"
STEADY = 12  # looks in a row that show the same: then a new sight is kept


@asynccontextmanager
async def at(sight: Sight, size: tuple[int, int], room: Path) -> AsyncIterator[Pilot[None]]:
    """The app with this sight on the screen, no message before it."""
    path = room / "kept.db"
    if sight.empty or sight.photos:
        Store.create(path).close()
    else:
        make_fixed(path)
    async with running(path, size, make_demo=lambda: path) as pilot:
        if sight.photos:
            folder = room / "photos"
            folder.mkdir()
            for name, colour in (("moss", (90, 110, 60)), ("plum", (110, 50, 90)), ("sand", (200, 170, 120))):
                photograph(folder / f"{name}.png", (colour, (100, 70, 200, 160)))
            await begin(pilot, folder)
        for key in sight.keys:
            await pilot.press(key)
            await settled(pilot)
            pilot.app.clear_notifications()  # where they stand: another screen would cover them for their time
            await settled(pilot)
        yield pilot


async def compare(pilot: Pilot[None], see: Callable[[], str], kept: Path, draw: bool) -> None:
    """Wait until what is seen is what was kept; where it never is, tell the lines that differ."""
    if draw:
        seen: list[str] = []

        def steady() -> bool:
            seen.append(see())
            return len(seen) >= STEADY and len(set(seen[-STEADY:])) == 1

        await wait_for(pilot, steady, "the screen to stay as it is")
        kept.parent.mkdir(exist_ok=True)
        kept.write_text(seen[-1], encoding="utf-8")
        return
    assert kept.exists(), f"{kept.name} is not kept yet: look at the screen, then run with --draw"
    wanted = kept.read_text(encoding="utf-8")
    try:
        await wait_for(pilot, lambda: see() == wanted)
    except AssertionError:
        lines = unified_diff(
            wanted.splitlines(), see().splitlines(), f"kept: {kept.name}", "drawn now", lineterm="", n=1
        )
        pytest.fail("\n".join(["(--draw keeps what is drawn now)", *lines]), pytrace=False)


def text_seen(pilot: Pilot[None]) -> str:
    """The words on the screen. Pictures in half blocks say nothing without their colours, and a photograph's pixels may
    differ by a hair elsewhere."""
    words = screen_text(pilot).replace("▀", " ")
    return "".join(f"{line.rstrip()}\n" for line in words.splitlines())


@pytest.fixture
def still(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Nothing on the screen comes from the clock or the machine."""
    fixed_time(monkeypatch)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("USERPROFILE", str(tmp_path))
    monkeypatch.setenv("STARCOVER_BACKUPS", str(tmp_path / "backups"))


@pytest.mark.usefixtures("still")
@pytest.mark.parametrize("size", SIZES, ids=lambda size: str(size[0]))
@pytest.mark.parametrize("sight", SIGHTS, ids=lambda sight: sight.name)
async def test_it_looks_as_it_did(
    sight: Sight, size: tuple[int, int], tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    draw = request.config.getoption("--draw")
    async with at(sight, size, tmp_path) as pilot:
        await compare(pilot, lambda: text_seen(pilot), KEPT / f"{sight.name}-{size[0]}.txt", draw)
        if sight.drawn and size == SIZES[0]:
            await compare(pilot, lambda: svg_of(pilot), KEPT / f"{sight.name}.svg", draw)


def test_nothing_is_kept_that_no_test_looks_at() -> None:
    wanted = {f"{sight.name}-{size[0]}.txt" for sight in SIGHTS for size in SIZES}
    wanted |= {f"{sight.name}.svg" for sight in SIGHTS if sight.drawn}
    assert {path.name for path in KEPT.iterdir()} == wanted
    assert len({sight.name for sight in SIGHTS}) == len(SIGHTS)
    assert max(path.stat().st_size for path in KEPT.iterdir()) < 40_000
