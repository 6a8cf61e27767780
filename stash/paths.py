"""Where the stash, its log and its settings live on this machine."""

from __future__ import annotations

import os
from pathlib import Path

APP = "starcover"


def default_stash() -> Path:
    """The user's own stash in the platform's data folder (STARCOVER_DB overrides it)."""
    named = os.environ.get("STARCOVER_DB")
    if named:
        return Path(named)
    from platformdirs import user_data_path

    return user_data_path(APP, appauthor=False) / "stash.db"


def log_file() -> Path:
    """The file that gets tracebacks; a screen never does."""
    from platformdirs import user_state_path

    return user_state_path(APP, appauthor=False) / "starcover.log"


def backups_root() -> Path:
    """The folder that holds the backups of all stashes (STARCOVER_BACKUPS names another one)."""
    named = os.environ.get("STARCOVER_BACKUPS")
    if named:
        return Path(named)
    from platformdirs import user_data_path

    return user_data_path(APP, appauthor=False) / "backups"


def drafts_folder() -> Path:
    """Where what is typed into a form is kept until it is saved."""
    from platformdirs import user_state_path

    return user_state_path(APP, appauthor=False) / "drafts"


def theme_file() -> Path:
    """Where the theme that was chosen last is kept."""
    from platformdirs import user_state_path

    return user_state_path(APP, appauthor=False) / "theme.txt"


def view_file() -> Path:
    """Where it is kept whether the whole star is seen or one point."""
    from platformdirs import user_state_path

    return user_state_path(APP, appauthor=False) / "view.txt"


def keys_file() -> Path:
    """The file in which a user may give commands other keys; read, never written."""
    from platformdirs import user_config_path

    return user_config_path(APP, appauthor=False) / "keys.toml"
