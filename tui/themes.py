"""Two quiet themes. Surfaces are neutral greys: a coloured ground shifts how a fabric's colour reads."""

from __future__ import annotations

from textual.theme import Theme

EVENING = Theme(
    name="evening",
    primary="#7aa2c8",
    secondary="#9a9a9a",
    accent="#d6a45c",
    foreground="#dcdcdc",
    background="#161616",
    surface="#1e1e1e",
    panel="#2a2a2a",
    success="#86b489",
    warning="#d6a45c",
    error="#d87a72",
    dark=True,
)

DAYLIGHT = Theme(
    name="daylight",
    primary="#2f5d86",
    secondary="#5c5c5c",
    accent="#8a5a12",
    foreground="#1c1c1c",
    background="#f4f4f4",
    surface="#ebebeb",
    panel="#dcdcdc",
    success="#2f6b38",
    warning="#8a5a12",
    error="#a1322a",
    dark=False,
)

THEMES = (EVENING, DAYLIGHT)
