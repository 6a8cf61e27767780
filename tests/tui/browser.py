"""Headless Chromium driven by its DevTools protocol, and the terminal that a page draws, read from what it is sent."""

from __future__ import annotations

import asyncio
import base64
import itertools
import re
import shutil
import subprocess
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from io import BytesIO
from pathlib import Path
from typing import Any

import aiohttp
from PIL import Image
from rich.cells import cell_len

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
PATIENCE = 40.0
PARTS = re.compile(r"\x1b\[([0-9;?<>=]*)([@-~])|\x1b[^\[]|([^\x1b]+)")
ENTER = {"key": "Enter", "code": "Enter", "windowsVirtualKeyCode": 13, "text": "\r"}


def chromium() -> str | None:
    """The path of a browser that speaks the protocol, None for none."""
    return next((path for path in map(shutil.which, NAMES) if path), None)


class Terminal:
    """The cells of a terminal: of all that is sent, only where text is put counts."""

    def __init__(self) -> None:
        self._cells: dict[tuple[int, int], str] = {}
        self._at = (0, 0)

    def feed(self, text: str) -> None:
        for numbers, letter, plain in PARTS.findall(text):
            if letter == "H":
                row, _, column = numbers.partition(";")
                self._at = (int(row or 1) - 1, int(column or 1) - 1)
            for one in plain:
                self._put(one)

    def _put(self, one: str) -> None:
        row, column = self._at
        if one in "\r\n":
            self._at = (row + (one == "\n"), 0 if one == "\r" else column)
            return
        self._cells[self._at] = one
        self._at = (row, column + cell_len(one))

    @property
    def text(self) -> str:
        rows = max((row for row, _ in self._cells), default=-1) + 1
        columns = max((column for _, column in self._cells), default=-1) + 1
        return "\n".join("".join(self._cells.get((y, x), "") for x in range(columns)) for y in range(rows))


class Page:
    """One page of the browser."""

    def __init__(self, socket: aiohttp.ClientWebSocketResponse) -> None:
        self._socket = socket
        self._numbers = itertools.count(1)
        self._answers: dict[int, asyncio.Future[dict[str, Any]]] = {}
        self.terminal = Terminal()
        self.asked: list[str] = []  # every address the page asked for
        self._reading = asyncio.create_task(self._read())

    async def _read(self) -> None:
        async for message in self._socket:
            said = message.json()
            answer = self._answers.pop(said.get("id"), None)
            if answer is not None:
                answer.set_result(said)
            elif said.get("method") == "Network.requestWillBeSent":
                self.asked.append(said["params"]["request"]["url"])
            elif said.get("method") == "Network.webSocketFrameReceived":
                frame = said["params"]["response"]
                if frame["opcode"] == 2:
                    self.terminal.feed(base64.b64decode(frame["payloadData"]).decode("utf-8", "replace"))

    async def call(self, method: str, **params: Any) -> dict[str, Any]:
        number = next(self._numbers)
        answer = self._answers[number] = asyncio.get_running_loop().create_future()
        await self._socket.send_json({"id": number, "method": method, "params": params})
        said = await asyncio.wait_for(answer, PATIENCE)
        assert "error" not in said, (method, said)
        return dict(said["result"])

    async def wait_for(self, condition: Callable[[], object], what: str) -> None:
        deadline = time.monotonic() + PATIENCE
        while not condition():
            if time.monotonic() > deadline:
                raise AssertionError(f"waited in vain for {what}; the page shows\n{self.terminal.text}")
            await asyncio.sleep(0.02)  # leaves the reader time; the condition decides, not the clock

    async def see(self, words: str) -> None:
        await self.wait_for(lambda: words in self.terminal.text, repr(words))

    async def press(self, key: str) -> None:
        """A letter, or "Enter", typed into the terminal."""
        await self.call("Runtime.evaluate", expression="document.querySelector('.xterm-helper-textarea').focus()")
        how = ENTER if key == "Enter" else {"key": key, "text": key}
        await self.call("Input.dispatchKeyEvent", type="keyDown", **how)
        await self.call("Input.dispatchKeyEvent", type="keyUp", **{k: v for k, v in how.items() if k != "text"})

    async def picture(self) -> Image.Image:
        shot = await self.call("Page.captureScreenshot", format="png")
        return Image.open(BytesIO(base64.b64decode(shot["data"]))).convert("RGB")


@asynccontextmanager
async def browsing(address: str, room: Path) -> AsyncIterator[Page]:
    """A page of `address`; what it downloads goes to `room`/down."""
    profile, down = room / "profile", room / "down"
    down.mkdir()
    program = chromium()
    assert program is not None
    words = ["--headless=new", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-dev-shm-usage"]
    place = ["--window-size=1280,800", "--remote-debugging-port=0", f"--user-data-dir={profile}", "about:blank"]
    process = subprocess.Popen([program, *words, *place], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        told = profile / "DevToolsActivePort"
        deadline = time.monotonic() + PATIENCE
        while not (told.is_file() and told.read_text().count("\n")):
            assert process.poll() is None, "the browser has ended"
            assert time.monotonic() < deadline, "the browser does not start"
            await asyncio.sleep(0.05)
        port = told.read_text().split("\n")[0]
        async with aiohttp.ClientSession() as session:
            async with session.get(f"http://127.0.0.1:{port}/json/list") as listed:
                page_of = next(one for one in await listed.json() if one["type"] == "page")
            async with session.ws_connect(page_of["webSocketDebuggerUrl"], max_msg_size=0) as socket:
                page = Page(socket)
                await page.call("Network.enable")
                await page.call("Browser.setDownloadBehavior", behavior="allow", downloadPath=str(down))
                await page.call("Page.navigate", url=address)
                yield page
    finally:
        process.terminate()
        process.wait()
