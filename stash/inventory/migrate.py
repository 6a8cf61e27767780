"""Bringing an older stash file to the present form."""
from __future__ import annotations

from stash.inventory.opening import Found


def upgrade(found: Found) -> Found:
    raise NotImplementedError
