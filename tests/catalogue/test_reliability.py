"""Killed at any moment, written by many at once: what was committed stays, and opens.

The children tell each commit on their standard output right after it; whatever was told must be
there afterwards. SIGKILL cannot be caught, so nothing can be tidied up.
"""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import time
from contextlib import closing
from pathlib import Path

import pytest
from building import NOTES, python, reader
from samples import samples

from markrules.catalogue.archive import archive
from markrules.catalogue.records import NewPiece
from markrules.catalogue.restoring import restore
from markrules.catalogue.store import Catalogue
from markrules.tasks.entering import new_piece

TIMES = int(os.environ.get("MARKRULES_KILL_TIMES", "1"))
KILLS = {
    work: samples(times * TIMES, least=6)
    for work, times in {"add": 40, "import": 30, "read": 30, "restore": 30}.items()
}
"""How often each kind of work is killed; together they stay below a minute on two cores.
Where all samples are taken and MARKRULES_KILL_TIMES is 3 they are 390, in two minutes or so."""

START = """
import sys
from pathlib import Path
from markrules.catalogue.store import Catalogue
from markrules.catalogue.records import NewPiece
def tell(text):
    sys.stdout.write(f"{text}\\n"); sys.stdout.flush()
path = Path(sys.argv[1])
"""

ADD = (
    START
    + """
with Catalogue(path) as catalogue:
    box = catalogue.boxes.named("tin")
    tell("ready")
    while True:
        tell(f"done {catalogue.pieces.add(box, [NewPiece('leaf')])[0]}")
"""
)

IMPORT = (
    START
    + """
from markrules.catalogue.brought_tables import rows_of
with Catalogue(path) as catalogue:
    box = catalogue.boxes.named("tin")
    tell("ready")
    while True:
        rows = rows_of(Path(sys.argv[2]))
        numbers = catalogue.pieces.add(box, (NewPiece(row.cells["note"]) for row in rows))
        tell(f"done {numbers[-1]}")
"""
)

READ = (
    START
    + """
from markrules.catalogue.readings import NewReading
with Catalogue(path) as catalogue:
    pieces = catalogue.readings.to_read()
    tell("ready")
    count = len(catalogue.rows("select 1 from reading"))
    while True:
        for evidence in [catalogue.readings.evidence_for(pieces)]:
            count += catalogue.readings.store(
                NewReading(each, "v", 1900, 1910, "", 0.0, 0.0, '{"x":"' + "y" * 3000 + '"}')
                for each in evidence
            )
            tell(f"done {count}")
"""
)

RESTORE = (
    START
    + """
from markrules.catalogue.restoring import restore
tell("ready")
restore(Path(sys.argv[2]), path)
tell("done 1")
"""
)


def killed(script: str, *arguments: str, wait: float) -> int:
    """Run a child, kill it some time after it is ready; the last number it told as done."""
    child = python(script, *arguments)
    assert child.stdout is not None
    assert child.stdout.readline() == "ready\n", child.stderr.read() if child.stderr else ""
    time.sleep(wait)
    child.send_signal(signal.SIGKILL)
    # Not by `communicate`, which loses what `readline` took along behind its line.
    out = child.stdout.read()
    child.wait(timeout=60)
    told = [line for line in out.split("\n") if line.startswith("done ")]
    return int(told[-1].split()[1]) if told else 0


def is_whole(path: Path) -> bool:
    with closing(sqlite3.connect(path)) as db:
        return (
            db.execute("pragma integrity_check").fetchall() == [("ok",)]
            and not db.execute("pragma foreign_key_check").fetchall()
        )


@pytest.fixture
def path(tmp_path: Path) -> Path:
    place = tmp_path / "catalogue.db"
    with Catalogue(place) as catalogue:
        box = catalogue.boxes.start("tin")
        catalogue.pieces.add(box, [new_piece(reader(), note) for note in NOTES * 4])
    return place


def pieces(path: Path) -> int:
    with Catalogue(path) as catalogue:
        return int(catalogue.rows("select count(*) from piece where gone = ''")[0][0])


@pytest.mark.slow
def test_adding_killed_at_random_moments_loses_nothing_told(path: Path) -> None:
    chance = random.Random(1)
    told = 20
    for _ in range(KILLS["add"]):
        told = max(told, killed(ADD, str(path), wait=chance.uniform(0, 0.15)))
        assert is_whole(path)
        assert pieces(path) in (told, told + 1)  # one may be committed and not told yet
        told = pieces(path)
    assert told > KILLS["add"]


@pytest.mark.slow
def test_an_import_killed_is_whole_or_not_there(path: Path, tmp_path: Path) -> None:
    table = tmp_path / "table.csv"
    table.write_text("note\n" + "a leaf with a stem\n" * 100)
    chance = random.Random(2)
    counts = set()
    for _ in range(KILLS["import"]):
        told = killed(IMPORT, str(path), str(table), wait=chance.uniform(0, 0.15))
        assert is_whole(path)
        kept = pieces(path)
        assert kept >= told
        assert (kept - 20) % 100 == 0
        counts.add(kept)
    assert len(counts) > min(5, KILLS["import"] // 2)


@pytest.mark.slow
def test_reading_killed_keeps_what_was_told_as_kept(path: Path) -> None:
    chance = random.Random(3)
    for _ in range(KILLS["read"]):
        told = killed(READ, str(path), wait=chance.uniform(0, 0.1))
        assert is_whole(path)
        with Catalogue(path) as catalogue:
            kept = len(catalogue.rows("select 1 from reading"))
        assert kept >= told
        assert kept % 20 == 0


@pytest.mark.slow
def test_a_restore_killed_leaves_a_whole_catalogue_or_none(path: Path, tmp_path: Path) -> None:
    with Catalogue(path) as catalogue:
        catalogue.pieces.add(catalogue.boxes.named("tin"), [NewPiece("leaf")] * 2000)
        archive(catalogue, tmp_path / "tin.zip")
    start = time.perf_counter()
    restore(tmp_path / "tin.zip", tmp_path / "timed.db")
    longest = 1.5 * (time.perf_counter() - start)
    chance = random.Random(4)
    seen = {True: 0, False: 0}
    for each in range(KILLS["restore"]):
        place = tmp_path / f"restored-{each}" / "catalogue.db"
        killed(RESTORE, str(place), str(tmp_path / "tin.zip"), wait=chance.uniform(0, longest))
        seen[place.exists()] += 1
        if place.exists():
            assert is_whole(place)
            assert pieces(place) == 2020
    assert seen[False] > 0, "never killed before the end"
    # What a killed run left beside is swept away by the next that is let finish.
    child = python(RESTORE, str(tmp_path / "restored-0" / "other.db"), str(tmp_path / "tin.zip"))
    child.communicate(timeout=60)
    assert pieces(tmp_path / "restored-0" / "other.db") == 2020


EACH_WRITES = samples(500)
WRITE_MANY = (
    START
    + """
with Catalogue(path) as catalogue:
    box = catalogue.boxes.named("tin")
    for number in range(int(sys.argv[3])):
        catalogue.pieces.add(box, [NewPiece(f"{sys.argv[2]} {number}")], who=sys.argv[2])
"""
)


@pytest.mark.slow
def test_eight_processes_writing_many_pieces_each_lose_none(path: Path) -> None:
    children = [python(WRITE_MANY, str(path), f"writer {n}", str(EACH_WRITES)) for n in range(8)]
    for child in children:
        _, error = child.communicate(timeout=120)
        assert child.returncode == 0, error
    assert is_whole(path)
    with Catalogue(path) as catalogue:
        notes = [piece.note for piece in catalogue.pieces.all(catalogue.boxes.named("tin"))]
        numbers = [piece.number for piece in catalogue.pieces.all(catalogue.boxes.named("tin"))]
    assert numbers == list(range(1, 21 + 8 * EACH_WRITES))
    assert {f"writer {w} {n}" for w in range(8) for n in range(EACH_WRITES)} <= set(notes)


OPEN_NEW = (
    START
    + """
with Catalogue(path) as catalogue:
    catalogue.boxes.start(sys.argv[2])
"""
)


def test_eight_processes_that_make_the_same_new_file_all_write_to_it(tmp_path: Path) -> None:
    place = tmp_path / "new.db"
    children = [python(OPEN_NEW, str(place), f"box {n}") for n in range(8)]
    for child in children:
        _, error = child.communicate(timeout=60)
        assert child.returncode == 0, error
    with Catalogue(place) as catalogue:
        assert len(catalogue.boxes.all()) == 8


READ_ON_TWO = (
    START
    + """
import functools
from markrules.tasks.reading_pieces import read_pieces
from markrules.cli.common import open_reader
if __name__ == "__main__":
    with Catalogue(path) as catalogue:
        read_pieces(
            catalogue,
            catalogue.readings.to_read(),
            functools.partial(open_reader, ()),
            jobs=2,
            done=lambda count: tell(f"done {count}"),
        )
"""
)


def children_of(process: int) -> list[int]:
    found = Path(f"/proc/{process}/task/{process}/children").read_text().split()
    return [int(each) for each in found]


def runs(process: int) -> bool:
    stat = Path(f"/proc/{process}/stat")
    return stat.exists() and stat.read_text().rsplit(")", 1)[1].split()[0] != "Z"


MANY = 1200
"""Pieces of which the first 512 are told together: the rest takes a second on any machine."""


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="looks for processes in /proc")
def test_processes_that_read_do_not_outlive_one_that_is_killed(path: Path) -> None:
    with Catalogue(path) as catalogue:
        pieces = [new_piece(reader(), f"{NOTES[0]}, {n} mm") for n in range(MANY)]
        catalogue.pieces.add(catalogue.boxes.named("tin"), pieces)
    child = python(READ_ON_TWO, str(path))
    assert child.stdout is not None
    first = child.stdout.readline()
    assert first == "done 512\n", child.communicate(timeout=60)
    helpers = children_of(child.pid)
    assert len(helpers) >= 2
    child.kill()
    child.communicate(timeout=60)
    until = time.monotonic() + 60
    while any(map(runs, helpers)) and time.monotonic() < until:
        time.sleep(0.1)
    assert not any(map(runs, helpers))
    assert is_whole(path)
    with Catalogue(path) as catalogue:
        kept = len(catalogue.rows("select 1 from reading"))
        assert kept >= 512
        (version,) = {row[0] for row in catalogue.rows("select knowledge_version from reading")}
        left = catalogue.readings.to_read(changed_only=True, knowledge_version=version)
        assert len(left) == MANY + 20 - kept
