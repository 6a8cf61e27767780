"""A stash that is damaged: said, kept, restored, rescued; and damage that only a look over finds."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from stash.errors import Fault
from stash.inventory import backup
from stash.inventory.backup_files import backups_of
from stash.inventory.store import Store
from stash.inventory.verify import verify
from stash.model import Colour, NewFabric
from tests.engine.stashes import fern, piece, raw, tables
from tests.faults.conftest import CommandLine


def half(data: bytearray) -> None:
    del data[len(data) // 2 :]


def page_of_nothing(data: bytearray) -> None:
    """The page with the pieces is zeroed."""
    data[4096 * 3 :] = bytes(len(data) - 4096 * 3)


def header(data: bytearray) -> None:
    data[16:24] = b"\xff" * 8


@pytest.mark.parametrize("damage", [half, page_of_nothing, header])
def test_21_damaged(cli: CommandLine, damage: Callable[[bytearray], None]) -> None:
    assert cli("backup").code == 0
    good = tables(cli.path)
    data = bytearray(cli.path.read_bytes())
    damage(data)
    cli.path.write_bytes(data)
    for words in (("list",), ("history",), ("backup",)):
        said = cli(*words)
        if said.code:
            assert "damaged" in said.err or "not a stash file" in said.err
            assert "Traceback" not in said.err
            assert str(backups_of(cli.path)[0].path) in said.err
    assert cli("verify").code == 1
    assert cli.path.read_bytes() == data, "it is kept as it is"
    assert len(backups_of(cli.path)) == 1, "and never counts as a backup"
    done = cli("restore", backups_of(cli.path)[0].path, "--yes", "--json")
    assert done.code == 0, done
    assert Path(done.json["kept"]).read_bytes() == data
    assert tables(cli.path) == good
    assert verify(cli.path) == []


def test_21_what_can_be_read_is_rescued(cli: CommandLine) -> None:
    """Three pages are spoiled: all but what stood on them comes into a new, sound stash."""
    before = {one["fabric"]: one for one in cli.json("list", "--archived")}
    data = bytearray(cli.path.read_bytes())
    with raw(cli.path) as conn:
        spoiled = conn.execute("SELECT rootpage FROM sqlite_schema WHERE name IN ('change', 'line')").fetchall()
    for (number,) in spoiled:
        data[4096 * (number - 1) : 4096 * number] = b"\x55" * 4096
    cli.path.write_bytes(data)
    new = cli.path.with_name("new.db")
    saved = cli.json("verify", "--rescue", new)
    assert (saved["fabrics"], saved["lost"]) == (len(before), [])
    assert saved["stars"] > 0
    assert cli.path.read_bytes() == data
    assert verify(new) == []
    after = {one["fabric"]: one for one in cli.bare("--db", new, "list", "--archived", "--json").json}
    assert set(after) == set(before)
    for name, one in before.items():
        assert after[name]["on_hand_yards"] == one["on_hand_yards"]
        assert after[name]["L"] == one["L"]


def test_21_rows_that_cannot_be_read_are_told(store: Store) -> None:
    store.add_many([NewFabric(f"Fabric {n}", (piece(9),), Colour(50, 0, 0), note="x" * 200) for n in range(200)])
    store.close()
    data = bytearray(store.path.read_bytes())
    at = data.index(b"Fabric 150fabric 150") // 4096 * 4096
    data[at : at + 4096] = bytes(4096)
    store.path.write_bytes(data)
    from stash.inventory.rescue import rescue

    saved = rescue(store.path, store.path.with_name("new.db"))
    assert 150 < saved.fabrics < 200
    assert any("cannot be read" in one for one in saved.lost)
    assert verify(saved.path) == []
    with Store.open(saved.path) as new:
        names = {one.name for one in new.fabrics()}
        assert {"Fabric 0", "Fabric 199"} <= names
        assert "Fabric 150" not in names


def test_22_one_flipped_byte_in_a_size(store: Store) -> None:
    fern(store, 17, 31)
    store.close()
    made = backup.make(store.path)
    with raw(store.path) as conn:
        conn.execute("UPDATE piece SET length = length + 256 WHERE id = 2")
    (found,) = verify(store.path)
    assert 'piece 2 of "Fern"' in found.where
    assert "31 in" in found.what
    data = bytearray(made.path.read_bytes())
    at = data.index(b"Fern")
    data[at] ^= 1
    made.path.write_bytes(data)
    assert [one.what for one in verify(store.path) if "backup" in one.where] != []
    before = store.path.read_bytes()
    from stash.inventory.restore import restore

    with pytest.raises(Fault, match="checksum differs"):
        restore(made.path, store.path)
    assert store.path.read_bytes() == before


def test_22_one_flipped_byte_in_a_name(store: Store) -> None:
    fern(store, 17)
    store.close()
    with raw(store.path) as conn:
        conn.execute("UPDATE fabric SET name = 'Gern'")
    unfound, found = verify(store.path)
    assert "the name of fabric 1 is not stored as names are" in unfound.what
    assert "name" in found.what
    assert "Gern" in found.where
