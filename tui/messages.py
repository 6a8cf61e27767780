"""What workers and widgets tell the app. Workers only post; the handlers change state."""

from __future__ import annotations

from typing import Any

from textual.message import Message


class JobDone(Message):
    """A call to the engine returned. `request` is the number it was asked under."""

    def __init__(self, request: int, result: Any) -> None:
        self.request = request
        self.result = result
        super().__init__()


class JobFailed(Message):
    """A call to the engine raised. `request` is the number it was asked under."""

    def __init__(self, request: int, error: BaseException) -> None:
        self.request = request
        self.error = error
        super().__init__()
