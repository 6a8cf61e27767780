"""What the program remembers of how it is looked at: the theme. A file that is gone or broken is the default."""

from __future__ import annotations

import logging

from textual.app import App
from textual.theme import Theme

from stash.paths import theme_file

log = logging.getLogger(__name__)
MOST = 100  # characters of a theme's name


def kept_theme() -> str:
    """The name of the theme that was chosen last, "" for none."""
    try:
        return theme_file().read_text(encoding="utf-8")[:MOST].strip()
    except (OSError, ValueError):
        return ""


def keep_theme(name: str) -> None:
    """Remember a theme. A disk that takes nothing is let be: the choice holds until the end of the program."""
    try:
        theme_file().parent.mkdir(parents=True, exist_ok=True)
        theme_file().write_text(name + "\n", encoding="utf-8")
    except OSError:
        log.warning("the theme is not kept", exc_info=True)


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
