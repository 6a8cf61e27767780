"""The main screens by name. Each is imported when it is first shown."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from textual.screen import Screen


def _stash() -> Screen[None]:
    from tui.screens.stash import StashScreen

    return StashScreen()


def _star() -> Screen[None]:
    from tui.screens.star import StarScreen

    return StarScreen()


def _suggestions() -> Screen[None]:
    from tui.screens.suggestions import SuggestionsScreen

    return SuggestionsScreen()


def _intake() -> Screen[None]:
    from tui.screens.intake import IntakeScreen

    return IntakeScreen()


def _sizes() -> Screen[None]:
    from tui.screens.sizes import SizesScreen

    return SizesScreen()


def _cutting() -> Screen[None]:
    from tui.screens.cutting import CuttingScreen

    return CuttingScreen()


def _history() -> Screen[None]:
    from tui.screens.history import HistoryScreen

    return HistoryScreen()


MODES: dict[str, str | Callable[[], Screen[Any]]] = {
    "stash": _stash,
    "star": _star,
    "suggestions": _suggestions,
    "intake": _intake,
    "sizes": _sizes,
    "cutting": _cutting,
    "history": _history,
}
