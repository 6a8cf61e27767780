"""`starcover web`: the interface in a browser of this machine."""

from __future__ import annotations

import sys
from argparse import Namespace
from importlib.util import find_spec

from stash.cli.interface import own_stash, serve_interface
from stash.cli.output import Output
from stash.errors import EXIT_DONE, Fault, UsageFault

PORT = 8000
NEEDED = ("textual_serve", "aiohttp")


def web(args: Namespace, out: Output) -> int:
    """Serve the interface on 127.0.0.1 until Ctrl-C."""
    port = _port(args.port)
    if any(find_spec(name) is None for name in NEEDED):
        do = f'install it: "{sys.executable}" -m pip install "textual-serve>=1.1"'
        raise Fault("the extra `web`, which shows the interface in a browser, is not installed", do=do)
    command = [sys.executable, "-m", "stash.cli", *_what(args)]

    def said(where: str) -> None:
        out.answer({"address": where}, [f"Open {where} in a browser of this machine; no other can reach it."])
        sys.stdout.flush()
        out.say("Ctrl-C ends it. Everything is saved as you go.")

    serve_interface(command, port, said)
    return EXIT_DONE


def _port(text: str | None) -> int:
    if text is None:
        return PORT
    if not (text.isascii() and text.isdigit() and len(text) <= 5 and int(text) <= 65535):
        raise UsageFault("it is no port", where="--port", do="write a number, 1024 to 65535; 0 takes a free one")
    return int(text)


def _what(args: Namespace) -> list[str]:
    """The words that open the interface, once the stash is known to be there and to open."""
    if args.demo:
        if args.db:
            raise UsageFault("the demo has a stash of its own", where="--db", do="drop --demo or --db")
        return ["demo"]
    from stash.inventory.store import Store

    path, _ = own_stash(args.db)
    Store.open(path).close()
    return ["--db", str(path.absolute())]
