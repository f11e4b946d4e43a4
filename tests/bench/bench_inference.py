"""How long a reading takes, with the same sums in numpy beside it.

    python tests/bench/bench_inference.py [--pieces 400] [--seed 7]

Invented rules of the size of the real ones (900 clues on 150 features, 550 marks of 200
makers), pieces with 12 observations each, and then the shipped rules. Prints the median and the
95th percentile in milliseconds of processor time, so that other work on the machine does not
count, and readings a second on one core. The peer is numpy: the same likelihoods kept
as one matrix, the posterior, range, bits and branches worked out with array operations.
"""

from __future__ import annotations

import argparse
import random
import statistics
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "inference"))
sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

from inference_building import HILL, base_of, clue, feature, maker, seen, sees, window

from markrules.inference.engine import Model, read
from markrules.inference.evidence import Factor
from markrules.inference.on_the_table import gather
from markrules.inference.years import resolve, window_table
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.loading import load
from markrules.knowledge.observation import MarkEvidence, MarkHypothesis, Observation
from markrules.language.tree import Family
from markrules.language.windows import Window

FEATURES, VALUES, MAKERS = 150, 6, 200
TARGETS = {"reading": 1.0, "with next look": 4.0, "per second": 1500.0}


def invented_window(dice: random.Random) -> Window:
    """A window of one of the shapes met in rules."""
    first = dice.randint(1780, 1970)
    length = dice.randint(5, 80)
    shape = dice.choice(("from", "until", "bulk", "from bulk", "from bulk until"))
    hard_first = first - dice.randint(0, 15) if "from" in shape else None
    hard_last = first + length + dice.randint(0, 25) if "until" in shape else None
    if "bulk" not in shape:
        return window(hard_first, None, None, hard_last)
    return window(hard_first, first, first + length, hard_last)


def invented_base(dice: random.Random) -> KnowledgeBase:
    """Rules of the size of the real ones, about nothing."""
    families = [Family(f"family-{n}", dice.choice((0.3, 0.6, 0.9))) for n in range(12)]
    features, clues = [], []
    for n in range(FEATURES):
        replaced = dice.random() < 0.4
        features.append(
            feature(
                f"f{n}",
                *(f"v{m}" for m in range(VALUES)),
                family=dice.choice((*(each.name for each in families), "", "")),
                refit=0.12 if replaced else 0.0,
                reuse=0.02 if replaced else 0.0,
            )
        )
        for m in range(VALUES):
            trust = dice.choice(("hard", "strong", "moderate", "weak"))
            clues.append(clue(f"c{n}-{m}", sees(f"f{n}", f"v{m}"), invented_window(dice), trust))
    makers = [
        maker(
            f"maker-{n}",
            invented_window(dice),
            *(dice.choice((None, invented_window(dice))) for _ in range(dice.randint(1, 5))),
            common=dice.choice(("often", "seldom")),
        )
        for n in range(MAKERS)
    ]
    return base_of(HILL, feature("mark"), *families, *features, *clues, *makers)


def invented_piece(dice: random.Random, model: Model) -> tuple[Observation, ...]:
    """Twelve observations; nine of ten suit the year of the piece."""
    base, years = model.base, model.tables.years
    at = dice.randrange(len(years) // 2, len(years))
    found = []
    for n in dice.sample(range(FEATURES), 12):
        windows = [
            window_table(resolve(base.clues[f"c{n}-{m}"].made, years, model.tables.settings), years)
            for m in range(VALUES)
        ]
        suiting = [m for m in range(VALUES) if windows[m][at] > 0.5] or list(range(VALUES))
        value = dice.choice(suiting if dice.random() < 0.9 else range(VALUES))
        found.append(seen(f"f{n}", f"v{value}", dice.choice(("sure", "sure", "fair"))))
    return tuple(found)


def invented_marks(dice: random.Random, base: KnowledgeBase) -> MarkEvidence:
    """A half-read mark with 15 candidates."""
    makers = dice.sample(list(base.makers.values()), 15)
    return MarkEvidence(
        "…",
        tuple(
            MarkHypothesis(each.name, dice.choice(each.marks).name, -dice.uniform(0.5, 12))
            for each in makers
        ),
        -8.0,
    )


class NumpyReading:
    """The peer: the factors of a piece's parts as matrices, everything after in arrays."""

    def __init__(self, model: Model) -> None:
        self.model, self.kept = model, {}
        self.prior = np.array(model.tables.prior("").log)

    def arrays(self, factor: Factor) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """ln of the factor, and of each clue what it adds, its inverse and its branches; kept."""
        if id(factor) not in self.kept:
            none = (0.0,) * len(self.prior)
            self.kept[id(factor)] = (
                factor,
                (
                    np.array(factor.log),
                    np.array([each.log for each in factor.voices]),
                    np.array([each.without for each in factor.voices]),
                    np.array(
                        [
                            [each.misread, each.refit or none, each.reuse or none]
                            for each in factor.voices
                        ]
                    ),
                ),
            )
        return self.kept[id(factor)][1]

    def read(self, piece: Sequence[Observation]) -> tuple[np.ndarray, tuple[int, int], np.ndarray]:
        """(curve, range, bits) of a piece; which clues speak is gathered as ours does."""
        parts = gather(self.model, piece).speaking.parts
        arrays = [self.arrays(part.factors[0]) for part in parts]
        logs = self.prior + sum(each for each, _, _, _ in arrays)
        curve = np.exp(logs - logs.max())
        curve /= curve.sum()
        added = np.concatenate([each for _, each, _, _ in arrays])
        without = np.concatenate([each for _, _, each, _ in arrays])
        bits = (added @ curve + np.log(without @ curve)) / np.log(2)
        np.concatenate([each for _, _, _, each in arrays]) @ curve
        sums = np.concatenate([[0.0], np.cumsum(curve)])
        ends = np.searchsorted(sums, sums + 0.8 - 1e-12)
        lengths = np.where(ends < len(sums), ends - np.arange(len(sums)), len(sums))
        first = int(lengths.argmin())
        return curve, (first, first + int(lengths[first]) - 1), bits


def shipped_pieces(dice: random.Random, base: KnowledgeBase, count: int) -> list[list[Observation]]:
    """Brooches with 12 things seen on each, drawn from the shipped rules."""
    kinds = {"brooch", *base.broader("brooch")}
    features = [
        each
        for each in base.features.values()
        if each.kind in ("choice", "many")
        and each.values
        and each.name not in ("piece", "fault")
        and (not each.on or kinds & {on.name for on in each.on})
    ]
    return [
        [seen(each.name, dice.choice(each.values).name) for each in dice.sample(features, 12)]
        for _ in range(count)
    ]


def timings(pieces: Sequence[object], work: Callable[[object], object]) -> list[float]:
    """Milliseconds for each piece."""
    found = []
    for each in pieces:
        start = time.process_time()
        work(each)
        found.append((time.process_time() - start) * 1000)
    return found


def show(name: str, found: Sequence[float], target: float | None = None) -> None:
    """One line: median, 95th percentile, readings a second, and what was to be reached."""
    middle, late = statistics.median(found), statistics.quantiles(found, n=20)[-1]
    rate = 1000 * len(found) / sum(found)
    goal = f"   (to reach: {target:g} ms)" if target is not None else ""
    print(f"{name:<38}{middle:8.3f} ms {late:8.3f} ms {rate:9.0f} /s{goal}")


def compare_with_peer(model: Model, peer: NumpyReading, pieces: Sequence[object]) -> None:
    """Both must give the same curve and bits, or the comparison means nothing."""
    for each in pieces:
        found = read(model, each, next_looks=0)
        curve, _, bits = peer.read(each)
        assert np.allclose(found.date.curve, curve, atol=1e-9)
        assert np.allclose(sorted(each.bits for each in found.clues), sorted(bits), atol=1e-9)


def run(works: Sequence[tuple[str, Callable[[object], object], float | None]], pieces) -> None:
    """Time every work over half of the pieces, once the other half has filled what is kept."""
    known, new = pieces[::2], pieces[1::2]
    print(f"{'':<38}{'median':>11} {'95 %':>11} {'rate':>12}")
    for name, work, target in works:
        timings(known, work)
        show(name, timings(new, work), target)


def run_invented(dice: random.Random, count: int) -> None:
    """Invented rules, with the peer."""
    base = invented_base(dice)
    model = Model(base, 2026)
    pieces = [invented_piece(dice, model) for _ in range(count)]
    marks = {id(each): invented_marks(dice, base) for each in pieces}
    peer = NumpyReading(model)
    compare_with_peer(model, peer, pieces[:50])
    print(f"invented rules: {len(base.clues)} clues, {count} pieces of 12 observations")
    works = [
        ("reading", lambda each: read(model, each, next_looks=0), TARGETS["reading"]),
        ("the same, the sums in numpy", peer.read, None),
        (
            "reading with 15 marks",
            lambda each: read(model, each, marks=marks[id(each)], next_looks=0),
            None,
        ),
        ("reading with next look", lambda each: read(model, each), TARGETS["with next look"]),
    ]
    run(works, pieces)
    fresh = iter([Model(base, 2026) for _ in range(40)])
    show("first reading of a model", timings(pieces[:20], lambda each: read(next(fresh), each)))


def run_shipped(dice: random.Random, count: int) -> None:
    """The shipped rules."""
    folder = Path(__file__).parents[2] / "rules"
    base, _ = load([folder], cache_folder=None)
    model = Model(base, 2026)
    pieces = shipped_pieces(dice, base, count)
    fired = statistics.mean(
        len(gather(model, each, piece_type="brooch").speaking.fired) for each in pieces
    )
    print(
        f"\nshipped rules: {len(base.clues)} clues, {count} brooches of 12 observations, "
        f"{fired:.1f} clues each"
    )
    works = [
        (
            "reading",
            lambda each: read(model, each, piece_type="brooch", next_looks=0),
            TARGETS["reading"],
        ),
        (
            "reading with next look",
            lambda each: read(model, each, piece_type="brooch"),
            TARGETS["with next look"],
        ),
    ]
    run(works, pieces)


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--pieces", type=int, default=800)
    parser.add_argument("--seed", type=int, default=7)
    options = parser.parse_args()
    dice = random.Random(options.seed)
    run_invented(dice, options.pieces)
    run_shipped(dice, options.pieces)
    print(f"\nto reach: {TARGETS['per second']:g} readings a second on one core")


if __name__ == "__main__":
    main()
