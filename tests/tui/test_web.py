"""The interface in a browser: only for this machine, and the main job done in a real one."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path

import pytest

from stash.cli import main
from stash.cli import web as web_command
from stash.inventory.store import Store

if find_spec("textual_serve") is None:
    pytest.skip("the extra `web` is not installed here", allow_module_level=True)

import aiohttp
import pypdfium2

from stash.colour.lab import srgb8_from_lab
from stash.errors import Fault
from tests.tui.browser import browsing, chromium
from tui.web import listen

ROOT = Path(__file__).parents[2]


@pytest.fixture
def served(demo_path: Path, tmp_path: Path) -> Iterator[str]:
    """The address of `starcover web` on the demo's fabrics and star."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "HOME": str(tmp_path), "XDG_STATE_HOME": str(tmp_path)}
    environment |= {"XDG_CONFIG_HOME": str(tmp_path), "STARCOVER_BACKUPS": str(tmp_path / "backups")}
    command = [sys.executable, "-m", "stash.cli", "web", "--port", "0", "--db", str(demo_path)]
    with subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        line = process.stdout.readline()
        assert "in a browser of this machine" in line
        yield line.split()[1]
        process.send_signal(signal.SIGINT)
        assert process.wait(60) == 0


async def test_other_sites_are_refused(served: str) -> None:
    port = served.rpartition(":")[2]
    cases = (
        ({}, 200),
        ({"Host": f"localhost:{port}"}, 200),
        ({"Host": f"other.example:{port}"}, 403),
        ({"Origin": "http://other.example"}, 403),
        ({"Origin": served}, 200),
        ({"Origin": "null"}, 403),
    )
    async with aiohttp.ClientSession() as session:
        for headers, wanted in cases:
            async with session.get(served, headers=headers) as answer:
                assert answer.status == wanted, headers
        with pytest.raises(aiohttp.WSServerHandshakeError, match="403"):
            await session.ws_connect(f"{served}/ws", headers={"Origin": "http://other.example"})


def test_only_this_machine_is_listened_to() -> None:
    with listen(0) as sock:
        assert sock.getsockname()[0] == "127.0.0.1"


def test_a_port_that_is_taken_is_said() -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        with pytest.raises(Fault, match="in use") as refused:
            listen(port)
    assert "--port" in refused.value.line()


@pytest.mark.parametrize("port", ["http", "-1", "70000", "8 0"])
def test_what_is_no_port_is_refused(port: str, stash_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["web", f"--port={port}", "--db", str(stash_path)]) == 2
    assert "--port" in capsys.readouterr().err


def test_without_the_extra_it_says_how_to_install_it(
    stash_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(web_command, "find_spec", lambda name: None)
    assert main(["web", "--db", str(stash_path)]) == 1
    said = capsys.readouterr().err.splitlines()
    assert len(said) == 1
    assert "pip install" in said[0]


def test_a_stash_that_is_not_there_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["web", "--port", "0", "--db", str(tmp_path / "none.db")]) == 1
    assert "none.db" in capsys.readouterr().err


@pytest.mark.skipif(chromium() is None, reason="there is no Chromium here")
async def test_a_star_is_seen_changed_and_printed_in_a_browser(served: str, demo_path: Path, tmp_path: Path) -> None:
    with Store.open(demo_path) as store:
        saved = store.stars()[0]
        fabrics = {one.name: one for one in store.fabrics()}
    before = saved.colourings[0].colouring
    async with browsing(served, tmp_path) as page:
        await page.see(saved.name)
        await page.see(before.uses["A"][0])
        counts = {colour: number for number, colour in (await page.picture()).getcolors(2_000_000)}
        # The star is there in its fabrics' own colours, not only in words: a cell or more of each row's.
        for (name,) in (before.uses[letter] for letter in saved.star.letters):
            assert counts.get(srgb8_from_lab(fabrics[name].colour), 0) > 100, name
        assert page.asked
        assert all(one.startswith((served, served.replace("http", "ws"), "data:", "blob:")) for one in page.asked)
        await page.press("g")
        await page.see("1 of 5, steps")
        await page.press("Enter")
        await page.press("s")
        table = page.terminal
        await page.wait_for(lambda: "row fabric" in table.text and "is short" not in table.text, "a covered star")
        await page.press("p")
        await page.see("page 1 of")
        await page.press("Enter")
        file = tmp_path / "down" / f"{saved.name}.pdf"
        await page.wait_for(file.is_file, "the download")
    assert len(pypdfium2.PdfDocument(file)) >= 5
    with Store.open(demo_path) as store:
        assert store.stars()[0].colourings[0].colouring != before
