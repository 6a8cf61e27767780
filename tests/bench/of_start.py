"""From the command to its answer: `--version` against bare Python, and the demo's first screen against the first
screen of a Textual app with one word on it.

Both run in new processes of this Python; the screens are drawn in a terminal of their own.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.bench.measure import Figure, Goal, compared, figure
from tests.bench.terminal import seconds_until

WITHOUT = "import sys; sys.modules.update(textual_image=None)\n"  # a plain install has no extra that asks the terminal
COMMAND = WITHOUT + "from stash.cli import main; sys.exit(main())"
BLANK = """
from textual.app import App
from textual.widgets import Static

class Blank(App):
    def compose(self):
        yield Static("here it is")

Blank().run()
"""
VERSION, PAINT = Goal(over=0.04), Goal(ratio=1.6)
ROUNDS = 11


def figures() -> list[Figure]:
    return [
        compared("--version", lambda: _run(COMMAND, "--version"), "bare Python", lambda: _run("pass"), VERSION, 31),
        compared("--help", lambda: _run(COMMAND, "--help"), "bare Python", lambda: _run("pass"), None, 15),
        _shown("demo, first paint", "History", PAINT),
        _shown("demo, its star on the screen", "Lowmere Evening"),
    ]


def _run(code: str, *words: str) -> None:
    subprocess.run([sys.executable, "-c", code, *words], check=True, stdout=subprocess.DEVNULL)


def _shown(what: str, words: str, goal: Goal | None = None) -> Figure:
    """From the command to the first frame with these words on it."""
    with tempfile.TemporaryDirectory(prefix="starcover-bench-") as folder:
        settings = {
            **os.environ, "TERM": "xterm-256color", "COLORTERM": "truecolor", "TMPDIR": folder,
            "STARCOVER_BACKUPS": str(Path(folder, "backups")), "XDG_STATE_HOME": str(Path(folder, "state")),
        }  # fmt: skip
        own, other = [], []
        for _ in range(ROUNDS + 1):
            own.append(seconds_until([sys.executable, "-c", COMMAND, "demo"], words, settings))
            other.append(seconds_until([sys.executable, "-c", BLANK], "here it is", settings))
        return figure(what, own[1:], "a blank Textual app", other[1:], goal)
