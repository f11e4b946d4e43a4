"""The same answers worked out another way: whole tables in numpy, nothing factored or kept.

Windows are drawn through knots with numpy.interp, curves found with scipy's root finder; what
befell a part is a matrix from the year of the piece to that of the part; the joint is one array
with an axis for the kind of piece, one for the hypothesis and one for the year; intervals are
found by comparing every pair of ends.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from string import ascii_lowercase

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, rel_entr
from scipy.stats import norm

from markrules.language.tree import Maker, Prior
from markrules.language.windows import Spread, Window

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


def metalog(
    early: float, middle: float, late: float, years: Array, low: float, high: float
) -> Array:
    """P(year) on the grid of a metalog whose part on the grid has these 10, 50 and 90% points.

    The quantile function is written down in numpy, its coefficients solved as three linear
    equations, and turned about by halving, all edges of years at once; the shares outside the
    grid are found by plain repetition.
    """
    edges = np.concatenate([years - 0.5, [years[-1] + 0.5]])
    points = np.array([early, middle, late])

    def below(shares: Array, at: Array) -> Array:
        logit = np.log(shares / (1 - shares))
        system = np.stack([np.ones(3), logit, (shares - 0.5) * logit], axis=1)
        a = np.linalg.solve(system, np.log((points - low) / (high - points)))
        left, right = np.full(len(at), -20.0), np.full(len(at), 20.0)
        for _ in range(60):
            half = (left + right) / 2
            made = a[0] + a[1] * half + a[2] * (expit(half) - 0.5) * half
            short = low + (high - low) * expit(made) < at
            left, right = np.where(short, half, left), np.where(short, right, half)
        inside = (at > low) & (at < high) & (left > -19.9) & (right < 19.9)
        return np.where(inside, expit(left), (left > 0) | (at >= high))

    before = beyond = 0.0
    for _ in range(400):
        shares = before + np.array([0.1, 0.5, 0.9]) * (1 - before - beyond)
        first, last = below(shares, edges[[0, -1]])
        if abs(first - before) + abs(1 - last - beyond) < 1e-11:
            break
        before, beyond = min(first, 0.3), min(1 - last, 0.3)
    return np.diff(below(shares, edges))


def is_plain(common: Spread, made: Window | None) -> bool:
    """Whether each hump is one that these sums can draw, with its whole quantile function rising.

    Where a hard limit stands close to a quantile no three-term metalog between the limits rises;
    what the engine then draws is its own choice, and is tried by itself. The slope of the
    quantile function in logits is a2 + a3 (p − 1/2 + p (1 − p) L).
    """
    first = made.first.number if made and made.first else None
    last = made.last.number if made and made.last else None
    p = expit(np.linspace(-25, 25, 2001))
    bend = p - 0.5 + p * (1 - p) * np.log(p / (1 - p))
    shares = np.array([0.1, 0.5, 0.9])
    logit = np.log(shares / (1 - shares))
    system = np.stack([np.ones(3), logit, (shares - 0.5) * logit], axis=1)
    for wave in common.waves:
        a, c = wave.early.number, wave.late.number
        if (first is not None and first > c) or (last is not None and last < a):
            return False  # wholly outside the hard limits: the checker refuses it
        if wave.middle is None:
            continue
        reach = 5 * (c - a) + 20
        low = first - 0.5 if first is not None and first <= a else a - reach
        high = last + 0.5 if last is not None and last >= c else c + reach
        points = np.array([a, wave.middle.number, c])
        terms = np.linalg.solve(system, np.log((points - low) / (high - points)))
        if (terms[1] + terms[2] * bend).min() < 0.2 * terms[1]:
            return False
    return True


def spread_curve(common: Spread, made: Window | None, years: Array, seam: float = 0.0) -> Array:
    """P(year | seen) of a spread with absolute years, within the hard limits."""
    first = made.first.number if made and made.first else None
    last = made.last.number if made and made.last else None
    total = np.zeros(len(years))
    rest = 1 - sum(wave.share or 0 for wave in common.waves[1:])
    for wave in common.waves:
        a, c = wave.early.number, wave.late.number
        if wave.middle is None:
            hump = ((years >= a) & (years <= c)) / (c - a + 1)
        else:
            reach = 5 * (c - a) + 20
            low = first - 0.5 if first is not None and first <= a else a - reach
            high = last + 0.5 if last is not None and last >= c else c + reach
            hump = metalog(a, wave.middle.number, c, years, low, high)
        total += (rest if wave is common.waves[0] else wave.share) * hump
    if seam and len(common.waves) > 1:
        apart = np.abs(years[:, None] - years[None, :])
        kernel = np.where(apart <= int(3 * seam), norm.pdf(apart, scale=seam), 0.0)
        total = kernel @ total / kernel.sum(axis=1)
    if first is not None:
        total[years < first] = 0
    if last is not None:
        total[years > last] = 0
    return total / total.sum()


def emission(made: Window | None, common: Spread | None, reference: Array, years: Array) -> Array:
    """P(seen | year) / P(seen): mean 1 over the reference curve."""
    window = suits(made, years) if made is not None else np.ones(len(years))
    if common is not None:
        stray = 0.05 if common.background is None else common.background
        hard = Window(made.first, None, None, made.last, made.gaps) if made else Window()
        window = suits(hard, years) * (
            (1 - stray) * spread_curve(common, made, years) / reference + stray
        )
    return window / (reference @ window)


@dataclass(frozen=True)
class BruteClue:
    """Everything that one fired clue brings: emission, rates, exponent, who it points to.

    `part` names the part whose fate it shares; clues of one part have the same rates.
    """

    emission: Array
    misread: float
    refit: float
    reuse: float
    weight: float
    ratios: Array  # one for each hypothesis
    part: str
    feature: str
    hard: bool = False  # of a law, a patent, a state: no exception of the piece undoes it


def fates(refit: float, reuse: float, n: int) -> Array:
    """(fate, year of the piece, year of the part): original, fitted later, used again."""
    later = np.triu(np.ones((n, n)))
    earlier = np.tril(np.ones((n, n)))
    return np.stack(
        [
            (1 - refit - reuse) * np.eye(n),
            refit * later / later.sum(axis=1, keepdims=True),
            reuse * earlier / earlier.sum(axis=1, keepdims=True),
        ]
    )


def seen_chances(clue: BruteClue, more: float) -> Array:
    """(right or misread, year of the part): chances of what was seen, tempered as a whole."""
    wrong = 1 - (1 - clue.misread) * (1 - more)
    table = np.stack([(1 - wrong) * clue.emission, np.full(len(clue.emission), wrong)])
    return table * table.sum(axis=0) ** (clue.weight - 1)


def part_table(clues: list[BruteClue], more: dict[int, float]) -> Array:
    """(right or misread for each clue …, fate, year) of clues that share one part."""
    first = clues[0]
    n = len(first.emission)
    letters = ascii_lowercase[: len(clues)]
    tables = [seen_chances(each, more.get(id(each), 0.0)) for each in clues]
    terms = ",".join(f"{letter}z" for letter in letters)
    return np.einsum(f"{terms},fyz->{letters}fy", *tables, fates(first.refit, first.reuse, n))


@dataclass(frozen=True)
class BruteKind:
    """A kind of piece: its share, its prior over the years, and how it misleads."""

    share: float
    prior: Array
    misread: float
    of: frozenset[str]


def joint(
    hypothesis_weights: Array,
    years_given: Array,
    clues: list[BruteClue],
    kinds: list[BruteKind],
) -> Array:
    """(kind, hypothesis, year), summing to 1. `years_given` is P(year | h) over the prior."""
    table = np.zeros((len(kinds), *years_given.shape))
    for at, kind in enumerate(kinds):
        table[at] = kind.share * kind.prior * years_given * hypothesis_weights[:, None]
        for part in dict.fromkeys(each.part for each in clues):
            own = [each for each in clues if each.part == part]
            table[at] *= part_table(own, misreads(own, kind)).sum(axis=tuple(range(len(own) + 1)))
    for each in clues:
        table *= (each.ratios**each.weight)[None, :, None]
    return table / table.sum()


def misreads(clues: list[BruteClue], kind: BruteKind) -> dict[int, float]:
    return {
        id(c): kind.misread for c in clues if not c.hard and (not kind.of or c.feature in kind.of)
    }


def branches(
    clue: BruteClue, clues: list[BruteClue], joint_table: Array, kinds: list[BruteKind]
) -> Array:
    """The posterior of (original, refit, reuse, misread) of one clue."""
    own = [each for each in clues if each.part == clue.part]
    at = next(n for n, each in enumerate(own) if each is clue)
    total = np.zeros(4)
    for k, kind in enumerate(kinds):
        table = part_table(own, misreads(own, kind))
        given = table / table.sum(axis=tuple(range(len(own) + 1)))
        over = tuple(n for n in range(len(own)) if n != at)
        found = np.einsum("rfy,y->rf", given.sum(axis=over), joint_table[k].sum(axis=0))
        total += [*found[0], found[1].sum()]
    return total


def information(clue: BruteClue, reference: Array) -> float:
    """What a clue says by itself: KL of the years given it from the reference."""
    alone = replace(clue, weight=1.0)
    given = part_table([alone], {}).sum(axis=(0, 1)) * reference
    given /= given.sum()
    said = float(rel_entr(given, reference).sum())
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
