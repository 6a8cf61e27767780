"""What the program remembers of how it is looked at: the theme, and the whole star or one point.

A file that is gone or broken is the default.
"""

from __future__ import annotations

import logging
from pathlib import Path

from textual.app import App
from textual.theme import Theme

from stash.paths import theme_file, view_file

log = logging.getLogger(__name__)
MOST = 100  # characters of a theme's name
VIEWS = ("star", "point")


def kept_theme() -> str:
    """The name of the theme that was chosen last, "" for none."""
    return _kept(theme_file())


def keep_theme(name: str) -> None:
    """Remember a theme."""
    _keep(theme_file(), name)


def kept_view() -> str:
    """How the star's picture was chosen to be seen last, one of `VIEWS`; "" for never."""
    view = _kept(view_file())
    return view if view in VIEWS else ""


def keep_view(view: str) -> None:
    """Remember how the star's picture is seen."""
    _keep(view_file(), view)


def _kept(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8")[:MOST].strip()
    except (OSError, ValueError):
        return ""


def _keep(file: Path, text: str) -> None:
    """A disk that takes nothing is let be: the choice holds until the end of the program."""
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text + "\n", encoding="utf-8")
    except OSError:
        log.warning("%s is not kept", file.stem, exc_info=True)


def offer_themes(app: App[None], ours: tuple[Theme, ...]) -> str:
    """Put our themes beside the library's, and give the name of the one to begin with.

    Without colours (NO_COLOR) themes of the terminal's own colours would be black on black: they are not offered.
    """
    for theme in ours:
        app.register_theme(theme)
    if app.no_color:
        for name in [name for name, theme in app.available_themes.items() if theme.ansi]:
            app.unregister_theme(name)
    kept = kept_theme()
    return kept if kept in app.available_themes else ours[0].name
