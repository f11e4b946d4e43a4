"""How well prices are told, beside four other ways, over invented markets.

    python tests/bench/bench_prices.py [open|held] [worlds]

Every third world is held: its figures were read only once nothing was changed any more.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

sys.path.append(str(Path(__file__).parents[1] / "appraisal"))
sys.path.append(str(Path(__file__).parents[1] / "support"))

from price_peers import WAYS, measured
from price_worlds import world

SIZES = (60, 150, 300, 700)
ASKED = 120


def seeds(part: str, worlds: int) -> list[int]:
    """The seeds of the worlds that are open or held: every third is held."""
    return [n for n in range(3 * worlds) if (n % 3 == 2) == (part == "held")][:worlds]


def main(part: str, worlds: int) -> None:
    """Print a table for each number of sales."""
    for size in SIZES:
        found: dict[str, list[dict[str, float]]] = {name: [] for name in WAYS}
        spent = dict.fromkeys(WAYS, 0.0)
        for seed in seeds(part, worlds):
            sold = world(1000 + seed, size, ASKED)
            for name, way in WAYS.items():
                start = time.process_time()
                found[name].append(measured(way(sold[:size], sold[size:]), sold[size:]))
                spent[name] += time.process_time() - start
        print(f"\n{size} sales, {worlds} {part} worlds of {ASKED} pieces asked for")
        print(f"{'':20}{'error':>8}{'held':>8}{'width':>8}{'sought':>8}{'seconds':>9}")
        for name, rows in found.items():
            mean = {key: float(np.mean([row[key] for row in rows])) for key in rows[0]}
            money = sum(row["expected"] for row in rows) / sum(row["paid"] for row in rows)
            print(
                f"{name:20}{mean['error']:>8.1%}{mean['held']:>8.1%}{mean['width']:>8.2f}"
                f"{money:>8.2f}{spent[name] / worlds:>9.2f}"
            )


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else "open", int((sys.argv[2:] or ["6"])[0]))
