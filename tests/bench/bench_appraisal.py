"""Appraising pieces: one by one, a whole box, with many sales; coverage of the ranges.

    python tests/bench/bench_appraisal.py

The peer beside the estimate is a weighted fit of the same log prices with scipy's own t
distribution, which knows nothing of likeness, condition or odd prices.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from random import Random

import numpy as np
from scipy import stats

sys.path += [str(Path(__file__).parents[1] / name) for name in ("appraisal", "support")]

from appraisal_building import TODAY, compared, figures, sale, shipped_reader

from markrules.appraisal.appraisal import appraise
from markrules.appraisal.box import Read, appraise_box
from markrules.appraisal.colours import difference
from markrules.appraisal.likeness import Profile
from markrules.appraisal.stone import Stone
from markrules.appraisal.stones import advise
from markrules.appraisal.value import value_of
from markrules.catalogue.records import Sale, SpareStone
from markrules.reading.reader import Request

SALES, BOX, TIN, ROUNDS, TRIES = 500, 500, 300, 7, 2000
NOTES = (
    "brooch, heavy in the hand, prong set stones, no stones missing",
    "brooch, two dark mismatched stones, lifting plating",
    "brooch, prong set, one round stone missing",
    "earrings, blue, clip backs",
    "necklace, glass beads, restrung",
    "ring marked 14K, 4 g",
)
PIECE = Profile("brooch", ((frozenset[str](), 1.0),), 1945, 1960, signed=False, grade=1)


def median_ms(work: Callable[[], object]) -> float:
    """Median time of one call, in milliseconds."""
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        work()
        times.append(1000 * (time.perf_counter() - start))
    return statistics.median(times)


def invented_sales() -> tuple[Sale, ...]:
    """Sales of four kinds of pieces over ten years, at invented prices."""
    random = Random(5)
    kinds = ("brooch", "ring", "necklace", "earrings")
    return tuple(
        sale(
            random.lognormvariate(3.5, 0.5),
            number,
            piece_type=random.choice(kinds),
            when=f"{random.randint(2016, 2026)}-05-01",
        )
        for number in range(SALES)
    )


def peer(prices: list[float]) -> tuple[float, float]:
    """The same range from scipy: Student's t for the next of some log prices."""
    logs = np.log(prices)
    half = stats.t.ppf(0.9, len(logs) - 1) * logs.std(ddof=1) * np.sqrt(1 + 1 / len(logs))
    return float(np.exp(logs.mean() - half)), float(np.exp(logs.mean() + half))


def coverage(many: int, spread: float) -> tuple[float, float]:
    """The share of next sales within the 80% range: ours, and the peer's."""
    random = np.random.default_rng(11)
    ours = theirs = 0
    for _ in range(TRIES):
        prices = np.exp(random.normal(3.7, spread, many + 1))
        sales = [sale(price, number) for number, price in enumerate(prices[:-1])]
        found = value_of(compared(), PIECE, sales, "EUR", TODAY).estimate
        low, high = peer(list(prices[:-1]))
        ours += found is not None and found.low <= prices[-1] <= found.high
        theirs += low <= prices[-1] <= high
    return ours / TRIES, theirs / TRIES


def main() -> None:
    """Print the figures."""
    reader, sales, given = shipped_reader(), invented_sales(), figures()
    readings = [reader.read(Request(note=note, next_looks=3)) for note in NOTES]
    read = [Read(each, reader.metals(each.observations)) for each in readings]
    for each in read:
        appraise(compared(), each.reading, each.metals, sales, given, TODAY)
    one = median_ms(
        lambda: [appraise(compared(), r.reading, r.metals, sales, given, TODAY) for r in read]
    )
    print(f"one piece, {SALES} sales: {one / len(read):.2f} ms")
    few = sales[:30]
    one = median_ms(
        lambda: [appraise(compared(), r.reading, r.metals, few, given, TODAY) for r in read]
    )
    print(f"one piece, 30 sales: {one / len(read):.2f} ms")
    box = {key: read[key % len(read)] for key in range(BOX)}
    print(f"box of {BOX}, 30 sales: {median_ms(lambda: whole_box(box, few)):.0f} ms")
    prices = [each.price_minor / 100 for each in few]
    print(f"peer, scipy on 30 prices: {median_ms(lambda: peer(prices)):.3f} ms")
    stone_figures()
    for many in (3, 5, 10, 30):
        shown = [
            f"{spread}: {ours:.1%} ({theirs:.1%})"
            for spread in (0.2, 0.4, 0.7, 1.0)
            for ours, theirs in (coverage(many, spread),)
        ]
        print(f"80% ranges from {many} sales hold (peer), by spread: {', '.join(shown)}")


def whole_box(box: dict[int, Read], sales: tuple[Sale, ...]) -> None:
    """Appraise a box once."""
    appraise_box(compared(), box, sales, figures(), TODAY)


def stone_figures() -> None:
    """Matching a tin of stones, and one colour difference."""
    random = Random(3)
    tin = [
        SpareStone(
            number, "round", 1 + random.random() * 6, "", "", lab(random), "", "foil", 3, None, ""
        )
        for number in range(TIN)
    ]
    wanted = Stone("round", (4, 4), "", lab(random), "", "foil")
    base = compared().base
    advise(base, wanted, tin)
    print(f"match to a tin of {TIN}: {median_ms(lambda: advise(base, wanted, tin)):.1f} ms")
    one, other = lab(random), lab(random)
    print(f"one colour difference: {median_ms(lambda: difference(one, other)):.3f} ms")


def lab(random: Random) -> tuple[float, float, float]:
    """An invented colour."""
    return random.uniform(20, 80), random.uniform(-60, 60), random.uniform(-60, 60)


if __name__ == "__main__":
    main()
