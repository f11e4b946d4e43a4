"""The same answers worked out another way: whole tables in numpy, nothing factored or kept.

Windows are drawn through knots with numpy.interp; the joint is one array with an axis for the
hypothesis, one for the year and one for the branch of each clue; intervals are found by
comparing every pair of ends.
"""

from __future__ import annotations

from dataclasses import dataclass
from string import ascii_lowercase

import numpy as np
from numpy.typing import NDArray
from scipy.special import rel_entr

from markrules.language.tree import Maker, Prior, Window

Array = NDArray[np.float64]


def prior_weights(prior: Prior | None, years: Array) -> Array:
    if prior is None:
        return np.full(len(years), 1.0 / len(years))
    at, weight = np.array(prior.points, dtype=float).T
    table = np.interp(years, at, weight)
    return table / table.sum()


def fade_years(bulk: float) -> int:
    """35% of the bulk, between 8 and 40 years: the engine's settings where the rules hold none."""
    return int(min(max(np.rint(0.35 * bulk), 8), 40))


def suits(made: Window, years: Array) -> Array:
    """The window through its knots: up to 1 at the bulk, 0 one year beyond a limit."""
    first, start, stop, last = (
        None if year is None else float(year.number)
        for year in (made.first, made.mostly_first, made.mostly_last, made.last)
    )
    low, high = years[0], years[-1]
    begin = next(year for year in (start, first, low) if year is not None)
    end = next(year for year in (stop, last, high) if year is not None)
    fade = made.fade if made.fade is not None else fade_years(max(end - begin + 1, 1))
    table = np.ones_like(years)
    if start is not None:
        foot = first - 1 if first is not None else start - fade - 1
        table *= np.interp(years, [foot, start], [0, 1])
    if stop is not None:
        foot = last + 1 if last is not None else stop + fade + 1
        table *= np.interp(years, [stop, foot], [1, 0])
    if first is not None:
        table[years < first] = 0
    if last is not None:
        table[years > last] = 0
    for a, b in made.gaps:
        table[(years >= a.number) & (years <= b.number)] = 0
    return table


def softened(made: Window, years: Array) -> Array:
    begin = made.mostly_first or made.first
    end = made.mostly_last or made.last
    low = begin.number if begin else years[0]
    high = end.number if end else years[-1]
    fade = made.fade if made.fade is not None else fade_years(max(high - low + 1, 1))
    return np.maximum(suits(made, years), suits(Window(None, begin, end, None, (), fade), years))


@dataclass(frozen=True)
class BruteClue:
    """Everything that one fired clue brings: window, rates, exponent, who it points to."""

    made: Window
    misread: float
    refit: float
    reuse: float
    weight: float
    ratios: Array  # one for each hypothesis


def branch_table(clue: BruteClue, prior: Array, years: Array) -> Array:
    """(year, branch) chances of seeing the clue: original, refit, reuse, misread."""
    s = suits(clue.made, years)
    n = len(years)
    later = np.array([s[at:].mean() for at in range(n)])
    earlier = np.array([s[: at + 1].mean() for at in range(n)])
    m, r, u = clue.misread, clue.refit, clue.reuse
    return np.stack(
        [
            (1 - m) * (1 - r - u) * s,
            (1 - m) * r * later,
            (1 - m) * u * earlier,
            np.full(n, m * (prior @ s)),
        ],
        axis=1,
    )


def joint(
    hypothesis_weights: Array,
    years_given: Array,
    clues: list[BruteClue],
    prior: Array,
    years: Array,
) -> Array:
    """P(hypothesis, year, branch of clue 1, branch of clue 2, …), summing to 1.

    `years_given` is (hypothesis, year), each row P(year | hypothesis).
    """
    operands, letters = [hypothesis_weights, years_given], ["h", "hy"]
    for at, clue in enumerate(clues):
        table = branch_table(clue, prior, years)
        tempered = table * (table.sum(axis=1) ** (clue.weight - 1))[:, None]
        operands += [tempered, clue.ratios**clue.weight]
        letters += ["y" + ascii_lowercase[at], "h"]
    out = "hy" + ascii_lowercase[: len(clues)]
    table = np.einsum(f"{','.join(letters)}->{out}", *operands)
    return table / table.sum()


def information(clue: BruteClue, prior: Array, years: Array) -> float:
    """What a clue says by itself: KL of the years given it from the prior."""
    given = branch_table(clue, prior, years).sum(axis=1) * prior
    given /= given.sum()
    said = float(rel_entr(given, prior).sum())
    return said if said > 1e-12 else 0.0


def shortest(curve: Array, mass: float) -> tuple[int, float]:
    """Length of the shortest run holding the mass, and the most that such a run holds."""
    sums = np.concatenate([[0.0], np.cumsum(curve)])
    held = sums[None, :] - sums[:, None]
    lengths = np.arange(len(sums))[None, :] - np.arange(len(sums))[:, None]
    enough = held >= mass - 1e-12
    length = int(lengths[enough].min())
    return length, float(held[lengths == length].max())


def kl_bits(p: Array, q: Array) -> float:
    return float((p * np.log2(p / q)).sum())


def mutual_information(joint_table: Array) -> float:
    """I(rows; columns) in bits of a joint table."""
    rows, columns = joint_table.sum(1, keepdims=True), joint_table.sum(0, keepdims=True)
    some = joint_table > 0
    return float((joint_table[some] * np.log2((joint_table / (rows * columns))[some])).sum())


def mark_years(used: Window | None, works: Window | None, years: Array) -> Array:
    """When a mark may have been struck: its own years within its maker's, if both are known."""
    own = suits(used, years) if used is not None else np.ones(len(years))
    if works is None:
        return own
    together = own * softened(works, years)
    return together if together.any() else own


def variant_shares(maker: Maker, prior: Array, years: Array) -> dict[str, float]:
    """How much of a maker's survivors bears each mark: as much as was made while it was used."""
    made = {
        each.name: float((prior * mark_years(each.used, maker.works, years)).sum())
        for each in maker.marks
    }
    whole = sum(made.values())
    return {name: each / whole if whole else 1 / len(made) for name, each in made.items()}
