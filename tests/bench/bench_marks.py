"""Search for damaged marks at several sizes of list, beside other ways to do it.

    python tests/bench/bench_marks.py [--sizes 1000,100000,1000000] [--queries 60]
                                      [--peer-queries 15] [--least-letters 6]

Marks are made up (marks_data.py) and damaged by code that shares nothing with the scorer
(damage.py). Ours is the whole search: parse, find, score, align, fetch from the database. The
peers get the letters that are left, without wildcards, and a list of folded letters: rapidfuzz
WRatio and partial_ratio over the list, and SQLite FTS5 with its trigram tokenizer, ranked by
bm25. The first two are spared the marks of up to three letters, which would drown all others in
their results, unless such a mark is asked for. A mark counts as found where a result has the
same letters.
"""

from __future__ import annotations

import argparse
import csv
import random
import resource
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from damage import KINDS, Damaged
from marks_data import marks
from rapidfuzz import fuzz, process

sys.path.append(str(Path(__file__).parents[1] / "support"))

from engine_numbers import setting_entries

from markrules.knowledge.base import KnowledgeBase
from markrules.marks.letters import folded
from markrules.marks.mark_import import import_csv
from markrules.marks.private_list import PrivateList
from markrules.marks.private_marks import PrivateMarks
from markrules.marks.search import MarkSearch
from markrules.marks.vocabulary import vocabulary

Find = Callable[[Damaged], list[str]]
EMPTY = KnowledgeBase("benchmark", settings=setting_entries())
RUNS_WARM = 40
SHORT = 3


@dataclass
class Tally:
    """What one way of searching gave: milliseconds, and (first, among ten, asked) by kind."""

    name: str
    milliseconds: list[float] = field(default_factory=list)
    found: dict[str, list[int]] = field(default_factory=dict)
    about: str = ""

    def add(self, kind: str, mark: str, results: Sequence[str], milliseconds: float) -> None:
        """Count one query."""
        counts = self.found.setdefault(kind, [0, 0, 0])
        counts[0] += results[:1] == [mark]
        counts[1] += mark in results
        counts[2] += 1
        self.milliseconds.append(milliseconds)


def build(folder: Path, listed: Sequence[str]) -> tuple[PrivateMarks, str]:
    """The marks imported and indexed, and what that took."""
    file = folder / "marks.csv"
    with file.open("w", newline="", encoding="utf-8") as out:
        writer = csv.writer(out)
        writer.writerow(["text", "maker"])
        writer.writerows((text, f"Maker {number}") for number, text in enumerate(listed))
    store = PrivateMarks(folder / "marks.sqlite")
    start = time.perf_counter()
    import_csv(file, store)
    imported = time.perf_counter()
    PrivateList(store.path, vocabulary(EMPTY)).close()
    indexed = time.perf_counter()
    disk = sum(each.stat().st_size for each in store.folder.iterdir())
    return store, (
        f"import {imported - start:.1f} s, index built in {indexed - imported:.1f} s, "
        f"{disk / 1e6:.1f} MB beside a database of {store.path.stat().st_size / 1e6:.1f} MB, "
        f"{_memory(store.path):.0f} MB of memory in a process that searches"
    )


def _memory(path: Path) -> float:
    """Most memory of a fresh process that answers 100 queries, in MB."""
    out = subprocess.run(
        [sys.executable, __file__, "--memory", str(path)], capture_output=True, check=True
    )
    return float(out.stdout)


def _measure_memory(path: Path) -> None:
    search = MarkSearch(EMPTY, [PrivateList(path, vocabulary(EMPTY))])
    rng = random.Random(9)
    for text in list(marks(100, seed=9)):
        search.search(KINDS[rng.choice(list(KINDS))](text, rng).query)
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3)


def ours(store: PrivateMarks) -> Find:
    """The search of this package."""
    search = MarkSearch(EMPTY, [PrivateList(store.path, vocabulary(EMPTY))])
    return lambda left: [folded(each.text) for each in search.search(left.query, 10).results]


def brute_force(letters: Sequence[str], scorer: Callable[..., float]) -> Find:
    """rapidfuzz over the list."""
    long = [text for text in letters if len(text) > SHORT]

    def find(left: Damaged) -> list[str]:
        among = long if len(left.plain) > SHORT else letters
        found = process.extract(left.plain, among, scorer=scorer, limit=10)
        return [text for text, _, _ in found]

    return find


def trigrams(folder: Path, letters: Iterable[str]) -> tuple[Find, str]:
    """SQLite's full-text index of trigrams, and what building it took."""
    path = folder / "trigrams.sqlite"
    start = time.perf_counter()
    database = sqlite3.connect(path)
    database.execute("CREATE VIRTUAL TABLE t USING fts5(text, tokenize='trigram')")
    database.executemany("INSERT INTO t VALUES (?)", ((text,) for text in letters))
    database.commit()
    taken = time.perf_counter() - start

    def find(left: Damaged) -> list[str]:
        parts = {left.plain[at : at + 3] for at in range(len(left.plain) - 2)}
        if not parts:
            return []
        asked = " OR ".join(f'"{part}"' for part in sorted(parts))
        sql = "SELECT text FROM t WHERE t MATCH ? ORDER BY rank LIMIT 10"
        return [text for (text,) in database.execute(sql, (asked,))]

    return find, f"built in {taken:.1f} s, {path.stat().st_size / 1e6:.1f} MB"


def measure(name: str, find: Find, queries: Sequence[tuple[str, str, Damaged]]) -> Tally:
    """Run the queries one after the other."""
    counted = Tally(name)
    for kind, mark, left in queries:
        start = time.perf_counter()
        results = find(left)
        counted.add(kind, mark, results, (time.perf_counter() - start) * 1e3)
    return counted


def queries_for(
    listed: Sequence[str], each: int, least_letters: int, seed: int
) -> list[tuple[str, str, Damaged]]:
    """(kind, folded letters, what is left), `each` of every kind, in turn."""
    rng = random.Random(seed)
    asked = []
    for _ in range(each):
        for kind, damage in KINDS.items():
            text = rng.choice(listed)
            while len(folded(text)) < least_letters:
                text = rng.choice(listed)
            asked.append((kind, folded(text), damage(text, rng)))
    return asked


def short_queries(listed: Sequence[str], number: int) -> list[tuple[str, str, Damaged]]:
    """Marks of one to three letters, as they are."""
    rng = random.Random(3)
    short = [text for text in listed if 1 <= len(folded(text)) <= 3]
    chosen = rng.sample(short, min(number, len(short)))
    return [("short", folded(text), Damaged(folded(text), folded(text))) for text in chosen]


def show(size: int, tallies: Sequence[Tally]) -> None:
    """The table for one size."""
    print(f"\n{size:,} marks")
    for each in tallies:
        if each.about:
            print(f"  {each.name}: {each.about}")
    print(f"  {'':16}" + "".join(f"{each.name:>17}" for each in tallies))
    for label, share in (("median ms", 0.5), ("p95 ms", 0.95)):
        row = (_quantile(each.milliseconds, share) for each in tallies)
        print(f"  {label:16}" + "".join(f"{value:17.2f}" for value in row))
    for place, label in ((0, "recall@1"), (1, "recall@10")):
        print(f"  {label}")
        for kind in tallies[0].found:
            shares = (_share(each.found.get(kind), place) for each in tallies)
            print(f"    {kind:14}" + "".join(f"{share:>17}" for share in shares))


def _quantile(values: Sequence[float], share: float) -> float:
    return statistics.quantiles(values, n=100, method="inclusive")[round(share * 100) - 1]


def _share(counts: list[int] | None, place: int) -> str:
    return f"{counts[place] / counts[2]:.3f}" if counts else "-"


def run(size: int, chosen: argparse.Namespace) -> None:
    """Build, ask and print, for one size."""
    listed = list(marks(size))
    letters = [folded(text) for text in listed]
    queries = queries_for(listed, chosen.queries, chosen.least_letters, seed=17)
    fewer = queries_for(listed, chosen.peer_queries, chosen.least_letters, seed=17)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        store, about = build(folder, listed)
        find = ours(store)
        measure("", find, queries_for(listed, RUNS_WARM // 8, chosen.least_letters, seed=2))
        mine = measure("markrules", find, queries + short_queries(listed, chosen.queries))
        mine.about = about
        tallies = [mine]
        if not chosen.no_peers:
            by_trigrams, built = trigrams(folder, letters)
            peers = {
                "WRatio": brute_force(letters, fuzz.WRatio),
                "partial_ratio": brute_force(letters, fuzz.partial_ratio),
                "FTS5 trigram": by_trigrams,
            }
            asked = fewer + short_queries(listed, chosen.peer_queries)
            tallies += [measure(peer, way, asked) for peer, way in peers.items()]
            tallies[-1].about = built
    show(size, tallies)


def main() -> None:
    """Print a table for each size."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--sizes", default="1000,100000,1000000")
    parser.add_argument("--queries", type=int, default=60, help="of each kind of damage")
    parser.add_argument("--peer-queries", type=int, default=15, help="the same, for the peers")
    parser.add_argument("--least-letters", type=int, default=6, help="of a mark before damage")
    parser.add_argument("--no-peers", action="store_true")
    parser.add_argument("--memory", type=Path, help=argparse.SUPPRESS)
    chosen = parser.parse_args()
    if chosen.memory is not None:
        _measure_memory(chosen.memory)
        return
    for size in chosen.sizes.split(","):
        run(int(size), chosen)


if __name__ == "__main__":
    main()
