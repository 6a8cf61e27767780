"""A stash in a real file, empty and closed afterwards."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from stash.inventory.store import Store


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.create(tmp_path / "stash.db") as opened:
        yield opened
