"""How far single phrases of published descriptions move the years, and which leave them alone.

    MARKRULES_CASES=FILE[:FILE] python tests/bench/bench_effect.py

Each phrase is read alone with its piece type. What it says is the divergence, in bits, of the
years with it from the years of the piece type alone. The pieces are no part of the project;
without the variable nothing is measured.
"""

from __future__ import annotations

import json
import os
from math import log2
from pathlib import Path

from markrules.knowledge.loading import load
from markrules.reading.reader import Reader, Request

SHIPPED = Path(__file__).parents[2] / "rules"
LAST_YEAR = 2026
MOVES = 0.2
"""Bits from which on a phrase is said to move the years."""
NOTHING = 0.001


def phrases(files: list[str]) -> list[tuple[str, str]]:
    """Piece type and phrase, for every observation of the published pieces."""
    return [
        (case["piece_type"], each)
        for file in files
        for case in map(json.loads, Path(file).read_text(encoding="utf-8").splitlines())
        for each in case["observations"]
    ]


def divergence(curve: tuple[float, ...], other: tuple[float, ...]) -> float:
    """The divergence of one distribution over years from another, in bits."""
    return sum(p * log2(p / q) for p, q in zip(curve, other, strict=True) if p > 0 and q > 0)


def main() -> None:
    """Print the shares."""
    files = [each for each in os.environ.get("MARKRULES_CASES", "").split(":") if each]
    if not files:
        print("MARKRULES_CASES names no file of published pieces")
        return
    base, _ = load([SHIPPED], cache_folder=None)
    reader = Reader(base, LAST_YEAR)
    alone: dict[str, tuple[float, ...]] = {}
    moved = silent = without = 0
    seen = phrases(files)
    for piece, phrase in seen:
        if piece not in alone:
            alone[piece] = reader.read(Request(note=piece, next_looks=0)).date.curve
        reading = reader.read(Request(note=f"{piece}, {phrase}", next_looks=0))
        bits = divergence(reading.date.curve, alone[piece])
        moved += bits >= MOVES
        made = [each for each in reading.observations if each.feature != "piece"]
        without += not made
        silent += bool(made) and bits < NOTHING
    print(f"{len(seen)} phrases of published pieces, each read alone with its piece type")
    print(f"  move the years by {MOVES} bit or more   {moved / len(seen):6.1%}")
    print(f"  make observations without effect   {silent / len(seen):6.1%}")
    print(f"  make no observation                {without / len(seen):6.1%}")


if __name__ == "__main__":
    main()
