"""How fast the catalogue is with 100,000 pieces, beside plain tools doing the bare minimum.

    python tests/bench/bench_catalogue.py [--pieces 100000] [--read 2000] [--dask]

The peer of each line does only the part of the work that a general tool can do: bare sqlite3
with one table and no log, index, steps or checks; sqlite-utils' own insert and search; the csv
module. Rates are by processor time of one process, unless said; milliseconds are by the clock.
"""

from __future__ import annotations

import argparse
import csv
import functools
import os
import random
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from sqlite_utils import Database

from markrules.catalogue.archive import archive
from markrules.catalogue.brought_tables import rows_of
from markrules.catalogue.records import NewPiece
from markrules.catalogue.restoring import restore
from markrules.catalogue.store import Catalogue
from markrules.cli.common import open_reader
from markrules.reading.file_lines import lines_of
from markrules.reading.reader import Reader, Request
from markrules.tasks.demo import demo_folder
from markrules.tasks.entering import new_piece
from markrules.tasks.importing import pieces_of
from markrules.tasks.own_columns import match_columns
from markrules.tasks.reading_pieces import read_pieces

Line = tuple[str, str, str, str]


def notes(count: int) -> list[str]:
    """Invented notes: those of the demo box with sizes and words changed, so that few are alike."""
    demo = [str(line.data["note"]) for line in lines_of(demo_folder() / "box.csv") if line.data]
    chance = random.Random(7)
    words = ["heavy", "worn", "small", "pretty", "dull", "bright", "bent", "boxed"]
    return [
        f"{chance.choice(demo)}, {chance.randrange(10, 90)} mm, {chance.choice(words)}, lot {n}"
        for n in range(count)
    ]


def seconds(work: Callable[[], object]) -> float:
    """How long the work takes, once."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def processor(work: Callable[[], object]) -> float:
    """How much processor time the work takes in this process, so that other work does not count."""
    start = time.process_time()
    work()
    return time.process_time() - start


def median_ms(work: Callable[[int], object], times: int = 21) -> float:
    """The median of several runs, in milliseconds; each run is told its number."""
    return statistics.median(seconds(lambda n=n: work(n)) * 1000 for n in range(times))  # type: ignore[misc]


def rate(count: int, took: float) -> str:
    """A rate for the table."""
    return f"{count / took:,.0f}/s"


def adding(folder: Path, texts: list[str], reader: Reader) -> tuple[list[Line], list[NewPiece]]:
    """Bulk adding: understood pieces, and the whole way from a CSV file."""
    pieces: list[NewPiece] = []
    understood = processor(lambda: pieces.extend(new_piece(reader, text) for text in texts))
    with Catalogue(folder / "big.db") as catalogue:
        box = catalogue.boxes.start("big")
        added = processor(lambda: catalogue.pieces.add(box, pieces))
    table = folder / "notes.csv"
    with table.open("w", newline="") as out:
        csv.writer(out).writerows([["note"], *([text] for text in texts)])

    def whole_import() -> None:
        with Catalogue(folder / "import.db") as catalogue:
            columns = match_columns(reader, ["note"])
            found = pieces_of(reader, rows_of(table), columns)
            catalogue.pieces.add(catalogue.boxes.start("b"), (piece for _, piece in found.pieces))

    imported = processor(whole_import)
    count = len(texts)
    return [
        ("understand notes", rate(count, understood), "", ""),
        ("add understood pieces", rate(count, added), "1,000/s", peer_insert(folder, texts)),
        ("import CSV, all told", rate(count, imported), "1,000/s", peer_utils(folder, table)),
    ], pieces


def peer_insert(folder: Path, texts: list[str]) -> str:
    """Bare sqlite3: executemany into one table of the same notes."""
    with closing(sqlite3.connect(folder / "peer.db")) as db:
        db.execute("create table piece (id integer primary key, note text)")
        values = [(text,) for text in texts]

        def insert() -> None:
            with db:
                db.executemany("insert into piece (note) values (?)", values)

        return f"sqlite3 executemany {rate(len(texts), processor(insert))}"


def peer_utils(folder: Path, table: Path) -> str:
    """sqlite-utils: the same CSV into one table with its full-text index."""
    database = Database(folder / "utils.db")

    def insert() -> None:
        with table.open(newline="") as handle:
            database["piece"].insert_all(csv.DictReader(handle), pk=None)
        database["piece"].enable_fts(["note"], create_triggers=True)

    took = processor(insert)
    return f"sqlite-utils insert_all + FTS5 {rate(database['piece'].count, took)}"


def showing(folder: Path, count: int) -> list[Line]:
    """Opening a list, paging, searching: as a person meets it, the file opened anew."""
    place = folder / "big.db"

    def open_list(number: int) -> object:
        with Catalogue(place) as catalogue:
            box = catalogue.boxes.named("big")
            after = number * count // 25
            return catalogue.boxes.counts(), catalogue.pieces.listed(box, after=after, limit=50)

    words = [
        "rollover",
        "austria",
        "brooch",
        "lot 77",
        "celluloid rose",
        "zzz",
        "c catch jet",
        "st",
    ]
    utils = Database(folder / "utils.db")
    with Catalogue(place) as catalogue:
        texts = {word: median_ms(lambda _, w=word: catalogue.pieces.search(w), 5) for word in words}  # type: ignore[misc]
    slowest = max(texts, key=lambda word: texts[word])

    def plain(word: str) -> Callable[[int], object]:
        return lambda _: list(utils["piece"].search(word, limit=50))

    peer = max(median_ms(plain(word), 5) for word in words)
    bare = median_ms(lambda n: _bare_page(folder, n * count // 25))
    return [
        ("open file, count, list page", f"{median_ms(open_list):.1f} ms", "200 ms",
         f"sqlite3 one page of one table {bare:.1f} ms"),
        (f'search, slowest of {len(words)} ("{slowest}")', f"{texts[slowest]:.1f} ms", "50 ms",
         f"sqlite-utils search, slowest {peer:.1f} ms"),
    ]  # fmt: skip


def _bare_page(folder: Path, after: int) -> object:
    with closing(sqlite3.connect(folder / "peer.db")) as db:
        return db.execute(
            "select * from piece where id > ? order by id limit 50", (after,)
        ).fetchall()


def reading(folder: Path, texts: list[str], pieces: list[NewPiece], reader: Reader) -> list[Line]:
    """Reading and keeping readings, on one core and on all, with next looks and without."""
    texts = texts[: len(pieces)]
    requests = [Request(note=text, next_looks=0) for text in texts]
    bare = processor(lambda: [reader.read(each) for each in requests])
    peer = f"reading alone, nothing kept {rate(len(texts), bare)}"
    found = []
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else 1
    place = folder / "read.db"
    with Catalogue(place) as catalogue:
        catalogue.pieces.add(catalogue.boxes.start("b"), pieces)
        todo = catalogue.readings.to_read()
        for looks, name in ((0, "read and keep, no looks"), (3, "read and keep, 3 next looks")):
            took = processor(
                lambda n=looks: read_pieces(catalogue, todo, lambda: reader, next_looks=n)  # type: ignore[misc]
            )
            asked = "1,200/s a core" if not looks else ""
            found.append(
                (name, f"{rate(len(todo), took)} a core", asked, peer if not looks else "")
            )
        opener = functools.partial(open_reader, ())
        took = seconds(lambda: read_pieces(catalogue, todo, opener, jobs=cores))
        found.append((f"the same, {cores} processes, by the clock", rate(len(todo), took), "", ""))
        version = reader.base.version
        ask = functools.partial(
            catalogue.readings.to_read, changed_only=True, knowledge_version=version
        )
        found.append(
            (f"find changed among {len(pieces):,}", f"{seconds(ask) * 1000:.1f} ms", "", "")
        )
    return found


def keeping(folder: Path, count: int) -> list[Line]:
    """Archive and restore of everything."""
    with Catalogue(folder / "big.db") as catalogue:
        made = processor(lambda: archive(catalogue, folder / "big.zip"))
    back = processor(lambda: restore(folder / "big.zip", folder / "back.db"))
    size = (folder / "big.zip").stat().st_size / 1e6
    with closing(sqlite3.connect(folder / "big.db")) as db:
        dumped = processor(lambda: sum(len(line) for line in db.iterdump()))
    return [
        (
            f"archive ({size:.0f} MB)",
            rate(count, made),
            "",
            f"sqlite3 iterdump {rate(count, dumped)}",
        ),
        ("restore, checked", rate(count, back), "", ""),
    ]


def distributed(folder: Path, texts: list[str]) -> list[Line]:
    """The batch on a local Dask cluster of two workers, its start not counted."""
    from markrules.reading.distributed import read_distributed

    table = folder / "batch.csv"
    with table.open("w", newline="") as out:
        csv.writer(out).writerows([["note"], *([text] for text in texts)])
    answers = read_distributed(
        table, functools.partial(open_reader, ()), Request(next_looks=3), part_bytes=16_000
    )
    first = next(answers)
    start = time.perf_counter()
    count = sum(len(each.texts) for each in answers)
    per_core = count / (time.perf_counter() - start) / 2
    hours = 1e6 / per_core / 3600
    name = f"Dask, 2 workers ({len(first.texts) + count:,} notes)"
    return [(name, f"{per_core:,.0f}/s a core", "", f"{hours:.2f} core-hours a million pieces")]


def main() -> None:
    """Run and print the table."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--pieces", type=int, default=100_000)
    options.add_argument("--read", type=int, default=2_000)
    options.add_argument("--dask", action="store_true")
    given = options.parse_args()
    reader = open_reader(())
    texts = notes(given.pieces)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        table, pieces = adding(folder, texts, reader)
        table += showing(folder, given.pieces)
        table += reading(folder, texts, pieces[: given.read], reader)
        table += keeping(folder, given.pieces)
        if given.dask:
            table += distributed(folder, texts[: given.read])
    print(
        f"{given.pieces:,} pieces, {given.read:,} read; Python {sys.version.split()[0]},", end=" "
    )
    print(f"SQLite {sqlite3.sqlite_version}\n")
    print(f"{'':<42}{'markrules':<18}{'asked':<16}peer, with less to do")
    for what, own, asked, peer in table:
        print(f"{what:<42}{own:<18}{asked:<16}{peer}".rstrip())


if __name__ == "__main__":
    main()
