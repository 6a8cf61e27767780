"""A screen on top of another that is answered once, however often Enter was pressed."""

from __future__ import annotations

from typing import TypeVar

from textual.await_complete import AwaitComplete
from textual.screen import ModalScreen

T = TypeVar("T")


class Modal(ModalScreen[T]):
    """A second Enter or Esc that was pressed before the first one closed it would close the screen below as well; and
    an answer that comes while something else lies on top waits until that is gone."""

    _waiting: tuple[T | None] | None = None

    def dismiss(self, result: T | None = None) -> AwaitComplete:
        if self.is_active:
            return super().dismiss(result)
        if self.is_attached:
            self._waiting = (result,)
        return AwaitComplete()

    def on_screen_resume(self) -> None:
        if self._waiting is not None:
            (answer,), self._waiting = self._waiting, None
            self.dismiss(answer)
