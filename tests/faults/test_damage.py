"""A stash that is damaged: said, kept, restored, rescued; and damage that only a look over finds."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from stash.errors import Fault
from stash.inventory import backup
from stash.inventory.backup_files import backups_of
from stash.inventory.rescue import rescue
from stash.inventory.store import Store
from stash.inventory.verify import verify
from stash.model import Colour, NewFabric
from tests.engine.stashes import fern, piece, raw, tables
from tests.faults.conftest import CommandLine
from tests.faults.telling import is_plain


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
        assert said.code == 1, words
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


def test_21_a_save_that_was_cut_off_is_taken_back_before_a_rescue(store: Store, tmp_path: Path) -> None:
    """The file alone holds half a save; with its journal it is whole. Neither is changed."""
    store.add_many([NewFabric(f"Fabric {n}", (piece(9),), Colour(50, 0, 0), note="whole" * 40) for n in range(200)])
    store.close()
    torn = tmp_path / "torn"
    torn.mkdir()
    with raw(store.path) as conn:
        conn.execute("PRAGMA cache_size = 5")  # so that pages reach the file before the end
        conn.execute("BEGIN IMMEDIATE")
        conn.execute("UPDATE fabric SET note = 'torn' || note")
        for name in (store.path.name, f"{store.path.name}-journal"):
            shutil.copy(store.path.with_name(name), torn / name)
    before = {one.name: one.read_bytes() for one in torn.iterdir()}
    assert b"torn" in before[store.path.name]
    saved = rescue(torn / store.path.name, tmp_path / "new.db")
    assert (saved.fabrics, saved.lost) == (200, ())
    with Store.open(saved.path) as new:
        assert {one.note for one in new.fabrics()} == {"whole" * 40}
    assert {one.name: one.read_bytes() for one in torn.iterdir()} == before


def test_21_a_journal_of_another_file_spoils_no_rescue(store: Store, tmp_path: Path) -> None:
    """Played back, it would put other fabrics' pages in the place of these."""
    names = [f"Mine {n}" for n in range(200)]
    store.add_many([NewFabric(name, (piece(9),), note="x" * 500) for name in names])
    store.close()
    with Store.create(tmp_path / "other.db") as other:
        other.add_many([NewFabric(f"Fabric {n}", (piece(9),), note="x" * 500) for n in range(250)])
    with raw(tmp_path / "other.db") as conn:
        conn.execute("PRAGMA cache_size = 5")
        conn.execute("BEGIN IMMEDIATE")
        conn.execute("UPDATE fabric SET note = 'torn' || note")
        conn.execute("DELETE FROM piece")
        journal = (tmp_path / "other.db-journal").read_bytes()
    spoiled = Path(shutil.copy(store.path, tmp_path / "spoiled.db"))
    for path in (store.path, spoiled):
        Path(f"{path}-journal").write_bytes(journal)
    with raw(spoiled) as conn:
        assert conn.execute("PRAGMA integrity_check").fetchone() != ("ok",)
    saved = rescue(store.path, tmp_path / "new.db")
    assert saved.lost == ()
    with Store.open(saved.path) as new:
        assert [one.name for one in new.fabrics()] == names


def test_21_rows_that_are_lost_are_counted_right(store: Store, tmp_path: Path) -> None:
    """The index by name still tells which there were; where no index does, no number is made up."""
    store.add_many([NewFabric(f"Fabric {n}", (piece(9),), Colour(50, 0, 0), note="x" * 200) for n in range(400)])
    store.close()
    data = bytearray(store.path.read_bytes())
    for n in (150, 200, 399):
        at = data.index(f"Fabric {n}fabric {n}".encode()) // 4096 * 4096
        data[at : at + 4096] = bytes(4096)
    store.path.write_bytes(data)
    saved = rescue(store.path, tmp_path / "new.db")
    assert saved.fabrics > 300
    (said,) = (one for one in saved.lost if '"fabric"' in one)
    assert said == f'{400 - saved.fabrics} rows of the table "fabric" cannot be read'


def test_21_one_spoiled_star_and_one_spoiled_picture_cost_no_more(cli: CommandLine, tmp_path: Path) -> None:
    before = {one["fabric"]: one["on_hand_yards"] for one in cli.json("list", "--archived")}
    with Store.open(cli.path) as store:
        first, *others = (one.name for one in store.stars())
        owner = next(one.name for one in store.fabrics() if one.swatch)
    with raw(cli.path) as conn:
        conn.execute("UPDATE star SET strip = 'x/0' WHERE name = ?", (first,))
        for (name,) in conn.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall():
            conn.execute(f"DROP TRIGGER {name}")
        conn.execute(
            "UPDATE picture SET data = x'00' WHERE id ="
            " (SELECT picture FROM swatch JOIN fabric USING (id) WHERE name = ?)", (owner,),
        )  # fmt: skip
    told = cli("stars")
    assert told.code == 0
    assert all(name in told.out for name in others)
    assert first not in told.out
    assert f'the star "{first}" cannot be read' in told.err
    is_plain(cli("check", "--star", first), first, "cannot be read")
    saved = cli.json("verify", "--rescue", tmp_path / "new.db")
    assert saved["stars"] == len(others)
    assert f'the star "{first}" cannot be read' in saved["lost"]
    assert any(f'the photograph of "{owner}" is left out' in one for one in saved["lost"])
    new = cli.bare("--db", tmp_path / "new.db", "list", "--archived", "--json").json
    assert {one["fabric"]: one["on_hand_yards"] for one in new} == before


@pytest.mark.parametrize(
    ("name", "said"),
    [("missing.db", "there is no stash here"), (".", "this is a folder"), ("empty.db", "nothing can be read")],
)
def test_21_a_rescue_of_nothing_is_refused(cli: CommandLine, tmp_path: Path, name: str, said: str) -> None:
    (tmp_path / "empty.db").write_bytes(b"")
    is_plain(cli.bare("--db", tmp_path / name, "verify", "--rescue", tmp_path / "new.db"), said)
    assert not (tmp_path / "new.db").exists()
