"""How a fault must be told: one plain line, a failing exit code, every byte as it was; and files to try."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tests.engine.conftest import CommandLine, Said


def is_plain(said: Said, *words: str) -> None:
    """The command failed, with one line of printable text that has these words, and no answer."""
    assert said.code in (1, 2), said
    assert said.out == "", said
    line = said.err.rstrip("\n")
    assert said.err.endswith("\n")
    assert line.isprintable(), said  # so it is one line, and nothing in it steers a terminal
    assert line.startswith("starcover: ")
    assert "stumbled" not in line, "a fault of the program's own"
    assert len(line) < 600
    for word in words:
        assert word in line, (word, line)


@contextmanager
def untouched(*paths: Path) -> Iterator[None]:
    """Inside, nothing of these files changes, and no file comes or goes beside them."""
    before = [(path.read_bytes(), sorted(path.parent.iterdir())) for path in paths]
    yield
    assert [(path.read_bytes(), sorted(path.parent.iterdir())) for path in paths] == before


def refused(cli: CommandLine, *words: object, say: tuple[str, ...] = ()) -> str:
    """Run a command that must fail plainly and change nothing; gives its line."""
    with untouched(cli.path):
        said = cli(*words)
    is_plain(said, *say)
    return said.err


def file(cli: CommandLine, content: str | bytes, name: str = "in.csv") -> Path:
    path = cli.path.with_name(name)
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def cell(text: str) -> str:
    """A text as a cell of a CSV file."""
    return '"' + text.replace('"', '""') + '"'


def done(cli: CommandLine, *words: object) -> Any:
    """What a command answers whose last words stand behind `--`, as names do that begin with a dash."""
    said = cli.bare("--json", "--db", cli.path, *words)
    assert said.code == 0, said
    return said.json
