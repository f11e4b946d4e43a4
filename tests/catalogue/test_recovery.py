"""The story of a bad day: a crash, a move, a copy, a restore, and all of it compared.

SQLite keeps its newest work in `NAME-wal` beside the file until it is taken in, and plays what it
finds there over whatever file has the name (sqlite.org/wal.html, sections 2 and 4;
sqlite.org/howtocorrupt.html, 1.4).
"""

from __future__ import annotations

import os
import shutil
import signal
import sqlite3
import stat
from contextlib import closing
from pathlib import Path

import pytest
from building import NOTES, python, reader, whole

from markrules.catalogue.archive import archive
from markrules.catalogue.copying import copy
from markrules.catalogue.file import companions
from markrules.catalogue.records import NewPiece
from markrules.catalogue.restoring import restore
from markrules.catalogue.store import Catalogue, CatalogueProblem, FileTrouble
from markrules.tasks.entering import new_piece

CRASH = """
import os, sqlite3, sys
from pathlib import Path
from markrules.catalogue import core
from markrules.catalogue.records import NewPiece
from markrules.catalogue.store import Catalogue
core.fold_in = lambda connection: None  # another reads at this moment: nothing can be taken in
catalogue = Catalogue(Path(sys.argv[1]))
catalogue._connection.execute("pragma wal_autocheckpoint = 0")
box = catalogue.boxes.named("tin")
for number in range(200):
    catalogue.pieces.add(box, [NewPiece(f"old work {number}")])
os.kill(os.getpid(), 9)
"""


def crashed(path: Path) -> None:
    """A catalogue whose last 200 pieces lie in the log beside it, left by a killed process."""
    with Catalogue(path) as catalogue:
        box = catalogue.boxes.start("tin")
        catalogue.pieces.add(box, [new_piece(reader(), note) for note in NOTES])
    child = python(CRASH, str(path))
    child.communicate(timeout=60)
    assert child.returncode == -signal.SIGKILL
    assert path.with_name(path.name + "-wal").stat().st_size > 0


def notes(path: Path) -> list[str]:
    with Catalogue(path, create=False) as catalogue:
        return [piece.note for piece in catalogue.pieces.all()]


@pytest.fixture
def packed(tmp_path: Path) -> Path:
    place = tmp_path / "elsewhere" / "good.db"
    with Catalogue(place) as catalogue:
        catalogue.pieces.add(catalogue.boxes.start("good"), [NewPiece("good leaf")])
        archive(catalogue, tmp_path / "good.zip")
    return tmp_path / "good.zip"


def test_a_bad_day_loses_nothing(packed: Path, tmp_path: Path) -> None:
    path = tmp_path / "day" / "catalogue.db"
    crashed(path)
    left = companions(path)

    # In place of the crashed catalogue nothing is restored, and every file is named.
    with pytest.raises(CatalogueProblem) as told:
        restore(packed, path)
    for each in [path, *left]:
        assert str(each) in str(told.value)
    assert "box check" in str(told.value)

    # The person moves the file alone. Its log would be played over whatever comes there.
    moved = tmp_path / "moved" / "catalogue.db"
    moved.parent.mkdir()
    shutil.move(path, moved)
    with pytest.raises(CatalogueProblem) as told:
        restore(packed, path)
    assert all(str(each) in str(told.value) for each in companions(path))
    with pytest.raises(FileTrouble, match="still stands there"):
        Catalogue(path)
    path.touch()  # an empty file in its place is no better
    with pytest.raises(FileTrouble, match="still stands there"):
        Catalogue(path)
    path.unlink()

    # Put back, it is whole, and one file.
    shutil.move(moved, path)
    kept = notes(path)
    assert kept == [*NOTES, *(f"old work {n}" for n in range(200))]
    assert companions(path) == []

    # Moved as one file, it makes room; both catalogues are what they were.
    shutil.move(path, moved)
    restore(packed, path)
    assert notes(path) == ["good leaf"]
    assert notes(moved) == kept


def test_a_log_that_comes_meanwhile_stops_a_restore(
    packed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from markrules.catalogue import restoring

    path = tmp_path / "new.db"
    build = restoring._build

    def slow(*given: object) -> dict[str, int]:
        path.with_name("new.db-wal").write_bytes(b"somebody's")
        return build(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(restoring, "_build", slow)
    with pytest.raises(CatalogueProblem, match=r"new\.db-wal has appeared"):
        restore(packed, path)
    assert not path.exists()


def test_the_file_alone_is_the_catalogue_while_others_hold_it_open(tmp_path: Path) -> None:
    """A plain copy of the one file holds all that was committed, while it is open elsewhere."""
    path, taken = tmp_path / "catalogue.db", tmp_path / "taken.db"
    with Catalogue(path) as held:
        box = held.boxes.start("tin")
        for number in range(120):
            with Catalogue(path, create=False) as visit:
                visit.pieces.add(box, [NewPiece(f"leaf {number}")])
            if number % 20 == 0:
                shutil.copyfile(path, taken)
                assert len(notes(taken)) == number + 1
        shutil.copyfile(path, taken)
        assert len(notes(taken)) == 120


def test_what_a_reader_held_back_is_folded_in_when_the_writer_closes(tmp_path: Path) -> None:
    path, taken = tmp_path / "catalogue.db", tmp_path / "taken.db"
    with Catalogue(path) as first:
        box = first.boxes.start("tin")
        with Catalogue(path) as writer, Catalogue(path) as reading:
            with reading.moment():
                reading.boxes.all()
                writer.pieces.add(box, [NewPiece("leaf")])
            writer.pieces.add(box, [NewPiece("stem")])
        shutil.copyfile(path, taken)
    assert notes(taken) == ["leaf", "stem"]


def test_a_file_moved_away_is_not_replaced_by_an_empty_one(tmp_path: Path) -> None:
    path = tmp_path / "catalogue.db"
    with Catalogue(path) as held:
        held.boxes.start("tin")
        shutil.move(path, tmp_path / "away.db")
        with pytest.raises(FileTrouble, match="no such catalogue"):
            Catalogue(path, create=False)
        assert not path.exists()
    with Catalogue(tmp_path / "away.db", create=False) as found:
        assert [box.name for box in found.boxes.all()] == ["tin"]


def test_a_copy_is_whole_private_and_never_written_over(tmp_path: Path) -> None:
    path = tmp_path / "catalogue.db"
    crashed(path)
    place = tmp_path / "copy # %41 é.db"
    with Catalogue(path) as catalogue, Catalogue(path) as other:
        other.pieces.add(other.boxes.named("tin"), [NewPiece("newest")])
        copy(catalogue, place)
        wanted = whole(catalogue)
        with pytest.raises(CatalogueProblem, match="there already"):
            copy(catalogue, place)
        with pytest.raises(FileTrouble, match="no copy was made"):
            copy(catalogue, tmp_path / "nowhere" / "x.db")
    with closing(sqlite3.connect(f"{place.as_uri()}?mode=ro&immutable=1", uri=True)) as alone:
        assert alone.execute("select count(*) from piece").fetchone()[0] == 206
    with Catalogue(place) as copied:
        assert whole(copied) == wanted
    assert [each.name for each in tmp_path.glob(".*")] == []
    if os.name == "posix":
        assert stat.S_IMODE(place.stat().st_mode) == 0o600


@pytest.mark.skipif(os.name != "posix", reason="modes of POSIX")
def test_a_catalogue_is_private_to_the_person(tmp_path: Path) -> None:
    path = tmp_path / "new folder" / "catalogue.db"
    with Catalogue(path) as catalogue:
        catalogue.boxes.start("tin")
        for each in [path, *companions(path)]:
            assert stat.S_IMODE(each.stat().st_mode) == 0o600, each
        assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700
