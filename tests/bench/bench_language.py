"""5,000 invented entries parsed and checked, and the reading of a general format beside it.

    python tests/bench/bench_language.py

The peer is tomllib, the parser of the TOML format in Python's standard library: it is given
the same entries as tables. It only reads; it builds no typed entries, checks no name, no
window and no unit, and keeps no places for messages. Also printed: a start from the cache.
"""

from __future__ import annotations

import resource
import statistics
import sys
import tempfile
import time
import tomllib
import tracemalloc
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "language"))

from language_generated import rules

from markrules.knowledge.loading import load
from markrules.language.checker import check
from markrules.language.formatter import format_text
from markrules.language.grammar import grammar
from markrules.language.line_words import Layout
from markrules.language.lines import logical_lines
from markrules.language.parser import parse

ENTRIES = 5_000
ROUNDS = 5


def as_toml(text: str) -> str:
    """The same entries as TOML tables: each line a key with its words as strings."""
    out: list[str] = []
    entry = part = ""
    taken: dict[str, int] = {}
    for line in logical_lines(text, Layout("x")):
        key, *words = (word.text for word in line.words)
        if line.indent == 0:
            entry = part = f"{key}.{words[0]}"
            out.append(f"\n[{entry}]")
        elif key in ("value", "mark") and words and line.indent == 4:
            part = f"{entry}.{key}.{words[0]}"
            out.append(f"[{part}]")
        else:
            taken[f"{part}.{key}"] = taken.get(f"{part}.{key}", 0) + 1
            items = ", ".join(word if word[0] == '"' else f'"{word}"' for word in words)
            out.append(f"{key}-{taken[f'{part}.{key}']} = [{items}]")
    return "\n".join(out)


def median_s(work: Callable[[], object]) -> tuple[float, float]:
    """Median and spread of the time of one call, in seconds."""
    times = []
    for _ in range(ROUNDS):
        before = time.perf_counter()
        work()
        times.append(time.perf_counter() - before)
    return statistics.median(times), max(times) - min(times)


def shown(name: str, figures: tuple[float, float]) -> None:
    """Print one line of the table."""
    print(f"{name:<38} {figures[0]:7.3f} s  (spread {figures[1]:.3f})")


def main() -> None:
    """Print all figures."""
    text = rules(ENTRIES)
    toml = as_toml(text)
    before = time.perf_counter()
    grammar()
    print(f"{ENTRIES} entries, {len(text):,} characters; TOML {len(toml):,} characters")
    print(f"grammar built once{'':20} {time.perf_counter() - before:7.3f} s")
    book, problems = parse(text, "x")
    assert not problems
    assert not any(each.severity == "error" for each in check([book]))
    shown("parse", median_s(lambda: parse(text, "x")))
    shown("check", median_s(lambda: check([book])))
    shown("parse and check", median_s(lambda: check([parse(text, "x")[0]])))
    shown("format", median_s(lambda: format_text(text, "x")))
    shown("tomllib: parse only", median_s(lambda: tomllib.loads(toml)))
    tracemalloc.start()
    kept = parse(text, "x")
    size, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    del kept
    print(f"memory of the tree {size / 2**20:.0f} MB, at most {peak / 2**20:.0f} MB while parsing")
    with tempfile.TemporaryDirectory() as name:
        folder, cache = Path(name, "rules"), Path(name, "cache")
        folder.mkdir()
        (folder / "a.rules").write_text(text, encoding="utf-8")
        load([folder], cache_folder=cache)
        shown(
            "start from the cache, nothing asked",
            median_s(lambda: load([folder], cache_folder=cache)),
        )
        shown("start from the cache, every entry", median_s(lambda: everything(folder, cache)))
    print(f"process: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB at most")


def everything(folder: Path, cache: Path) -> int:
    """Load from the cache and make every entry."""
    base, _ = load([folder], cache_folder=cache)
    kinds = (base.sources, base.features, base.clues, base.makers, base.signs, base.findings)
    return sum(len(list(kind.values())) for kind in kinds)


if __name__ == "__main__":
    main()
