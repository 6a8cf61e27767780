"""Photographs on their way into a stash, one or sixty: found, measured on all cores, named. Saves nothing itself."""

from __future__ import annotations

from stash.intake.batch import look_at_all
from stash.intake.files import photo_files
from stash.intake.looking import How, Looked, look
from stash.intake.naming import name_for

__all__ = ["How", "Looked", "look", "look_at_all", "name_for", "photo_files"]
