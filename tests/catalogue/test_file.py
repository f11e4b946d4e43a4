"""The file: made, migrated with a backup, refused politely, read where it cannot be written."""

from __future__ import annotations

import os
import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from building import HERE, NOTES, python, reader, whole

from markrules.catalogue.problems import FileTrouble
from markrules.catalogue.records import NewPiece
from markrules.catalogue.schema import APPLICATION_ID, MIGRATIONS, SCHEMA_VERSION
from markrules.catalogue.store import Catalogue, CatalogueProblem
from markrules.tasks.entering import new_piece


def filled(path: Path) -> Path:
    with Catalogue(path) as catalogue:
        box = catalogue.boxes.start("tin")
        catalogue.pieces.add(box, [new_piece(reader(), note) for note in NOTES])
    return path


def test_a_new_file_says_what_it_is_and_keeps_keys(tmp_path: Path) -> None:
    """PRAGMA application_id and user_version: SQLite's file format, 1.3.16 and 1.3.12."""
    path = filled(tmp_path / "deep" / "down" / "catalogue.db")
    head = path.read_bytes()[:100]
    assert int.from_bytes(head[68:72], "big") == APPLICATION_ID
    assert int.from_bytes(head[60:64], "big") == SCHEMA_VERSION
    assert head[18:20] == b"\x02\x02"  # write-ahead log, for writing and for reading
    assert not path.with_name("catalogue.db-wal").exists()
    with Catalogue(path) as catalogue:
        assert catalogue.rows("pragma foreign_keys")[0][0] == 1
        assert catalogue.rows("pragma synchronous")[0][0] == 2
        with pytest.raises(FileTrouble, match="FOREIGN KEY"), catalogue.change():
            catalogue.insert("piece", {"uid": "u", "box_id": 99, "number": 1, "added": "x"})


def old_file(path: Path) -> None:
    """A catalogue as schema 1 made it, with a box and two pieces."""
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.executescript((HERE / "schema_1.sql").read_text())
        db.execute(f"pragma application_id = {APPLICATION_ID}")
        db.execute("pragma user_version = 1")
        db.execute("insert into box (name, added) values ('tin', '2026-01-01T00:00:00+00:00')")
        for number, note in enumerate(["old leaf", "old shell"], 1):
            db.execute(
                "insert into piece (uid, box_id, number, note, added) values (?, 1, ?, ?, 'then')",
                (f"u{number}", number, note),
            )
        db.execute(
            "insert into seen (piece_id, feature, value, moment) values (1, 'mark', 'OAK', 'then')"
        )


def test_an_old_schema_is_brought_up_to_date_after_a_backup(tmp_path: Path) -> None:
    path = tmp_path / "old.db"
    old_file(path)
    with Catalogue(path) as catalogue:
        assert [piece.note for piece in catalogue.pieces.all(catalogue.boxes.named("tin"))] == [
            "old leaf",
            "old shell",
        ]
        assert len(catalogue.pieces.search("oak")) == 1
        catalogue.pieces.add(catalogue.boxes.named("tin"), [NewPiece("new")])
        migrated = schema_of(catalogue)
    with Catalogue(tmp_path / "new.db") as catalogue:
        assert schema_of(catalogue) == migrated

    (backup,) = tmp_path.glob("old.schema-1.*.db")
    with closing(sqlite3.connect(backup)) as db:
        assert db.execute("pragma user_version").fetchone()[0] == 1
        assert db.execute("select count(*) from piece").fetchone()[0] == 2
        assert db.execute("pragma integrity_check").fetchone()[0] == "ok"


def schema_of(catalogue: Catalogue) -> dict[str, object]:
    """Names of everything, and the columns of each table with types, defaults and keys."""
    names = catalogue.rows("select name, type from sqlite_schema order by name")
    return {
        row["name"]: (
            row["type"],
            [tuple(each) for each in catalogue.rows(f'pragma table_info("{row["name"]}")')],
            [tuple(each) for each in catalogue.rows(f'pragma foreign_key_list("{row["name"]}")')],
        )
        for row in names
    }


def test_a_migration_that_fails_changes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "old.db"
    old_file(path)
    with closing(sqlite3.connect(path)) as db:
        before = list(db.iterdump())
    broken = (MIGRATIONS[0], MIGRATIONS[1] + "alter table nowhere add column x;\n")
    monkeypatch.setattr("markrules.catalogue.file.MIGRATIONS", broken)
    with pytest.raises(FileTrouble):
        Catalogue(path)
    with closing(sqlite3.connect(path)) as db:
        assert list(db.iterdump()) == before
        assert db.execute("pragma user_version").fetchone()[0] == 1


def test_a_newer_schema_and_strange_files_are_left_alone(tmp_path: Path) -> None:
    newer = filled(tmp_path / "newer.db")
    with closing(sqlite3.connect(newer)) as db:
        db.execute(f"pragma user_version = {SCHEMA_VERSION + 1}")
    strange = tmp_path / "strange.db"
    with closing(sqlite3.connect(strange)) as db:
        db.execute("create table t (x)")
    text = tmp_path / "text.db"
    text.write_text("no database at all, but long enough to be read as one" * 40)
    for path, told in [
        (newer, "made by a newer markrules"),
        (strange, "not a catalogue of markrules"),
        (text, "not a catalogue, or a damaged one"),
        (tmp_path, "a folder"),
    ]:
        before = path.read_bytes() if path.is_file() else b""
        with pytest.raises(FileTrouble, match=told):
            Catalogue(path)
        assert (path.read_bytes() if path.is_file() else b"") == before
    with pytest.raises(FileTrouble, match="no such catalogue"):
        Catalogue(tmp_path / "none.db", create=False)
    assert not (tmp_path / "none.db").exists()


def test_a_damaged_file_is_told_and_not_made_worse(tmp_path: Path) -> None:
    path = filled(tmp_path / "catalogue.db")
    data = bytearray(path.read_bytes())
    data[4096 : len(data)] = os.urandom(len(data) - 4096)
    path.write_bytes(data)
    with pytest.raises(CatalogueProblem), Catalogue(path) as catalogue:
        catalogue.pieces.add(catalogue.boxes.named("tin"), [NewPiece("x")])


@contextmanager
def small_disk(place: Path, size: str) -> Iterator[Path]:
    """A disk of its own in memory; the test is skipped where none can be mounted."""
    place.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(place)]
    if os.name != "posix" or os.getuid() != 0 or subprocess.run(mount, check=False).returncode:
        pytest.skip("no disk can be mounted here")
    try:
        yield place
    finally:
        subprocess.run(["umount", str(place)], check=True)


def check_read_only(path: Path) -> None:
    with Catalogue(path) as catalogue:
        box = catalogue.boxes.named("tin")
        assert len(catalogue.pieces.all(box)) == 5
        assert len(catalogue.pieces.search("brooch")) == 2
        with pytest.raises(FileTrouble, match="cannot be written; nothing was changed"):
            catalogue.pieces.add(box, [NewPiece("x")])


def test_a_catalogue_on_a_disk_that_cannot_be_written_can_be_read(tmp_path: Path) -> None:
    with small_disk(tmp_path / "disk", "4m") as disk:
        path = filled(disk / "catalogue.db")
        subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
        check_read_only(path)
        with pytest.raises(FileTrouble, match=r"other\.db"):
            Catalogue(disk / "other.db")


@pytest.mark.skipif(os.name != "posix" or os.getuid() == 0, reason="root may write anything")
def test_a_file_that_one_may_only_read_can_be_read(tmp_path: Path) -> None:
    path = filled(tmp_path / "folder" / "catalogue.db")
    path.chmod(0o444)
    path.parent.chmod(0o555)
    try:
        check_read_only(path)
    finally:
        path.parent.chmod(0o755)


FILL = """
import sys
from pathlib import Path
from markrules.catalogue.store import Catalogue, FileTrouble
from markrules.catalogue.records import NewPiece
with Catalogue(Path(sys.argv[1])) as catalogue:
    box = catalogue.boxes.named("tin")
    for count in range(100_000):
        try:
            catalogue.pieces.add(box, [NewPiece("leaf " * 400)])
        except FileTrouble as problem:
            print(count)
            print(problem)
            break
        print(count + 1, end=" ")
"""


def check_full(path: Path, out: str) -> None:
    """What was committed before the disk was full is there; the message is plain."""
    *_, committed, message = (
        out.split("\n", maxsplit=1)[0].rsplit(maxsplit=1)[-1],
        out.strip().split("\n")[-1],
    )
    assert "nothing was changed" in message
    assert "the disk is full" in message or "the disk cannot be written" in message
    with Catalogue(path) as catalogue:
        assert len(catalogue.pieces.all(catalogue.boxes.named("tin"))) == 5 + int(committed)
        assert catalogue.rows("pragma integrity_check")[0][0] == "ok"
        catalogue.pieces.add(catalogue.boxes.named("tin"), [NewPiece("again")])


def test_a_limit_on_file_sizes_loses_nothing(tmp_path: Path) -> None:
    path = filled(tmp_path / "catalogue.db")
    out, error = python(FILL, str(path), limit_bytes=600_000).communicate(timeout=60)
    assert not error
    check_full(path, out)


def test_a_full_disk_loses_nothing(tmp_path: Path) -> None:
    with small_disk(tmp_path / "disk", "1500k") as disk:
        path = filled(disk / "catalogue.db")
        out, error = python(FILL, str(path)).communicate(timeout=60)
        assert not error
        bigger = tmp_path / "copy.db"
        with closing(sqlite3.connect(path)) as full, closing(sqlite3.connect(bigger)) as copy:
            full.backup(copy)
        check_full(bigger, out)


def test_the_same_pieces_in_two_files_have_the_same_tables(tmp_path: Path) -> None:
    first, second = filled(tmp_path / "a.db"), filled(tmp_path / "b.db")
    with Catalogue(first) as one, Catalogue(second) as two:
        assert whole(one).keys() == whole(two).keys()
