"""The interface in a browser of this machine: textual-serve starts one process of it for each page that is opened.

Only 127.0.0.1 is listened on, and only pages of our own address are answered: any site that is open in the same
browser could else reach the stash through it.
"""

from __future__ import annotations

import asyncio
import errno
import shlex
import socket
import subprocess
import sys
from collections.abc import Awaitable, Callable, Sequence
from pathlib import Path
from urllib.parse import quote

from aiohttp import web
from textual_serve.server import Server

from stash.errors import Fault

LOOPBACK = "127.0.0.1"
PAGE = Path(__file__).parent / "web_page"
Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


class LocalServer(Server):
    """A server that answers the browser of this machine, and shows a page that asks nothing of other servers."""

    def __init__(self, command: Sequence[str], port: int) -> None:
        line = subprocess.list2cmdline(command) if sys.platform == "win32" else shlex.join(command)
        super().__init__(line, LOOPBACK, port, "starcover", address(port), templates_path=PAGE)
        names = (f"{LOOPBACK}:{port}", f"localhost:{port}")
        self._hosts = {*names, *((LOOPBACK, "localhost") if port == 80 else ())}

    async def _make_app(self) -> web.Application:
        app = await super()._make_app()
        app.middlewares.append(self._ours_only)
        app.on_response_prepare.append(_name_the_file)
        return app

    @web.middleware
    async def _ours_only(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        """Refuse what another site's page asks for, under its own name or under ours."""
        origin = request.headers.get("Origin")
        asked = request.headers.get("Host", "")
        if asked not in self._hosts or (origin is not None and origin.removeprefix("http://") not in self._hosts):
            raise web.HTTPForbidden(text="Only pages of this address are answered.")
        return await handler(request)

    async def on_startup(self, app: web.Application) -> None:
        """Nothing to print: the address is said before."""


async def _name_the_file(_request: web.Request, response: web.StreamResponse) -> None:
    """A file's name may hold blanks and any letters: say it as RFC 6266 has it."""
    disposition, found, name = response.headers.get("Content-Disposition", "").partition("; filename=")
    if found:
        response.headers["Content-Disposition"] = f"{disposition}; filename*=UTF-8''{quote(name, safe='')}"


def address(port: int) -> str:
    return f"http://{LOOPBACK}:{port}"


def listen(port: int) -> socket.socket:
    """A socket on this machine alone; port 0 takes a free one. Raises Fault where the port is taken or not allowed."""
    sock = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if sys.platform != "win32":  # there it would let two programs have the port
        sock.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        sock.bind((LOOPBACK, port))
        sock.listen()
    except OSError as trouble:
        sock.close()
        taken = trouble.errno == errno.EADDRINUSE
        what = "this port is in use" if taken else f"this port cannot be had ({trouble.strerror})"
        raise Fault(what, f"port {port}", "name another with --port, as in --port 8123") from None
    return sock


def serve(command: Sequence[str], sock: socket.socket) -> None:
    """Serve the program that `command` starts until Ctrl-C."""
    server = LocalServer(command, sock.getsockname()[1])
    loop = asyncio.new_event_loop()
    web.run_app(server._make_app(), sock=sock, print=None, loop=loop)
