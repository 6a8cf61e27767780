"""Tracebacks go to the log file, never onto the screen."""

from __future__ import annotations

import logging
from io import TextIOWrapper

from stash.paths import log_file


class _LogFile(logging.FileHandler):
    """The log file, made with its folder when the first line is written; a log that cannot be written is let be."""

    def __init__(self) -> None:
        super().__init__(log_file(), encoding="utf-8", errors="backslashreplace", delay=True)
        self.setFormatter(logging.Formatter("%(asctime)s %(name)s %(levelname)s %(message)s"))

    def _open(self) -> TextIOWrapper:
        log_file().parent.mkdir(parents=True, exist_ok=True)
        return super()._open()

    def emit(self, record: logging.LogRecord) -> None:
        try:
            super().emit(record)
        except OSError:
            self.handleError(record)

    def handleError(self, record: logging.LogRecord) -> None:  # noqa: N802
        """A full disk must not bring the interface down, and a complaint would be drawn over it."""


def log_to_file() -> None:
    """Send what the interface and the pictures' library log to the log file, and nowhere else."""
    for name in ("tui", "textual_image"):
        logger = logging.getLogger(name)
        logger.propagate = False
        if not any(isinstance(handler, _LogFile) for handler in logger.handlers):
            logger.addHandler(_LogFile())
