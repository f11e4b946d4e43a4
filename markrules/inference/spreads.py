"""How the surviving pieces that show something lie over the years: smooth curves through quantiles.

An expert who has had many pieces in hand can say by which years 10, 50 and 90% of those that
survive had been made. A three-term metalog meets three quantiles exactly with one smooth hump
(T. W. Keelin, The Metalog Distributions, Decision Analysis 13(4), 2016: equations 3, 4 and the
feasibility condition of section 3.3; bounded by the logit transform of section 4.2). To read a
piece's date from how common things were in each year is frequency seriation (W. M. Flinders
Petrie, Sequences in Prehistoric Remains, Journal of the Anthropological Institute 29, 1899;
W. S. Robinson, A Method for Chronologically Ordering Archaeological Deposits, American
Antiquity 16(4), 1951).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import exp, log
from operator import mul, sub

from markrules.frozen import dataclass
from markrules.inference.years import Table
from markrules.language.windows import Spread, Year

NO_BRACKET = (0, 0)
"""What years are read off a piece on which none are."""

TAIL = 0.1
"""The share below the first and above the last of the three years that a rule states."""

STEEPEST = 0.5998
"""The greatest value of |p − 1/2 + p (1 − p) ln(p / (1 − p))| for p from 0 to 1: a three-term
metalog is feasible, its quantiles rising, where |a3| times this stays below a2."""

FEASIBLE = 0.95
"""How near to that edge a curve may come: nearer it would have a spike in place of a hump."""

LEAST_GAP = 0.25
"""Years that at least lie between two quantiles, or between one and a bound."""

CLOSE = 1e-8
"""How well the shares outside the grid must agree with those reckoned with."""

_ROUNDS = 30
"""Of the shipped curves nine in ten agree within nine rounds. Those whose quantiles lie at the edge
of the grid never do, and end here."""

MOST_OUTSIDE = 0.3
"""The most of a hump that is reckoned with on one side of the grid."""


@dataclass(frozen=True, slots=True)
class Hump:
    """A wave with its years worked out: see `Wave`. `tail` is the share beyond each end.

    `middle` None makes it level from the year `early` to the year `late`, both included.
    """

    early: float
    middle: float | None
    late: float
    share: float = 1.0
    tail: float = TAIL


def humps(
    spread: Spread, last_year: int, bracket: tuple[int, int] = NO_BRACKET
) -> tuple[Hump, ...]:
    """The waves of a spread, for a piece whose register or year feature gave `bracket`.

    `year` stands for the first year of the bracket in the early year of a wave, for the last
    in the late one and for the middle between; `now` stands for `last_year`.
    """
    low, high = bracket

    def at(year: Year, relative_to: float) -> float:
        if year.now:
            return last_year
        return relative_to + year.number if year.relative else year.number

    later = sum(wave.share or 0.0 for wave in spread.waves[1:])
    shares = [1.0 - later, *[wave.share or 0.0 for wave in spread.waves[1:]]]
    return tuple(
        Hump(
            at(wave.early, low),
            at(wave.middle, (low + high) / 2) if wave.middle else None,
            at(wave.late, high),
            share,
        )
        for wave, share in zip(spread.waves, shares, strict=True)
    )


def humps_table(
    waves: Sequence[Hump],
    years: range,
    first: int | None = None,
    last: int | None = None,
    seam: float = 0.0,
) -> Table | None:
    """P(year | seen) over the grid: the waves, within the hard limits `first` and `last`.

    Where there are several waves, their sum is blurred by a Gaussian of standard deviation
    `seam` years: who tells waves tells their times, and no gap between one and the next. It
    sums to 1. None where no year of the grid is left.
    """
    total = [0.0] * len(years)
    for wave in waves:
        hump = _hump(wave, years[0], years[-1], first, last)
        total = [a + wave.share * b for a, b in zip(total, hump, strict=True)]
    if len(waves) > 1 and seam > 0:
        total = _blurred(total, seam)
    start = max((first or years[0]) - years[0], 0)
    stop = min((last if last is not None else years[-1]) - years[0] + 1, len(years))
    kept = total[start:stop] if start < stop else []
    whole = sum(kept)
    if whole <= 0:
        return None
    inside = tuple([value / whole for value in kept])
    return (0.0,) * start + inside + (0.0,) * (len(years) - stop)


def _blurred(table: Sequence[float], deviation: float) -> list[float]:
    """The table under a Gaussian of this standard deviation, weighed anew at its ends."""
    reach = int(3 * deviation)  # 99.7% of a Gaussian lies within three deviations
    kernel = [exp(-0.5 * (step / deviation) ** 2) for step in range(-reach, reach + 1)]
    padded = [0.0] * reach + list(table) + [0.0] * reach
    there = [0.0] * reach + [1.0] * len(table) + [0.0] * reach
    width = len(kernel)
    return [
        sum(map(mul, kernel, padded[at : at + width]))
        / sum(map(mul, kernel, there[at : at + width]))
        for at in range(len(table))
    ]


def _hump(wave: Hump, start: int, end: int, first: int | None, last: int | None) -> Sequence[float]:
    """The probability of each year of the grid, which `start` and `end` bound."""
    if wave.middle is None:
        low, high = wave.early, wave.late
        return [float(low <= year <= high) / (high - low + 1) for year in range(start, end + 1)]
    return _within(wave, wave.middle, _limits(wave, first, last), range(start, end + 1))


def _limits(wave: Hump, first: int | None, last: int | None) -> tuple[float, float]:
    """Where a hump ends: at a hard limit outside its quantiles, else far beyond them."""
    reach = 5.0 * (wave.late - wave.early) + 20.0
    return (
        first - 0.5 if first is not None and first <= wave.early else wave.early - reach,
        last + 0.5 if last is not None and last >= wave.late else wave.late + reach,
    )


@lru_cache(maxsize=64)  # a clue's table and its drawing ask for the same, one after the other
def _within(
    wave: Hump, middle: float, bounds: tuple[float, float], years: range
) -> tuple[float, ...]:
    """The part of a hump, with its middle, that lies on the grid, so made that the grid's pieces
    meet the quantiles.

    What is made after the grid's end does not survive yet, nor is anything older than its start
    reckoned with: the stated years are quantiles of what lies between. So the shares that the
    whole metalog has outside are worked out, and the quantiles' shares moved by them, until
    they agree. Quantiles at the edge of the grid would ask for ever more outside: no more than
    MOST_OUTSIDE is reckoned with, and such a curve meets its quantiles nearly.
    """
    quantiles = _apart((wave.early, middle, wave.late), *bounds)
    tried: list[tuple[float, float]] = [(0.0, 0.0)]
    for _ in range(_ROUNDS):
        before, beyond = tried[-1]
        inside = 1.0 - before - beyond
        shares = [before + share * inside for share in (wave.tail, 0.5, 1.0 - wave.tail)]
        metalog = metalog_of(quantiles, shares, *bounds)
        below, above = metalog.share(years.start - 0.5), 1.0 - metalog.share(years.stop - 0.5)
        if abs(below - before) + abs(above - beyond) < CLOSE:
            break
        tried.append((min(below, MOST_OUTSIDE), min(above, MOST_OUTSIDE)))
        if len(tried) == 3:
            firsts, seconds = zip(*tried, strict=True)
            tried = [(_hastened(*firsts), _hastened(*seconds))]
    sums = metalog.shares(years)
    return tuple(map(sub, sums[1:], sums))


def _hastened(first: float, second: float, third: float) -> float:
    """Where three steps lead in the end, if each is the same part of the one before.

    Aitken's delta-squared process (A. C. Aitken, On Bernoulli's Numerical Solution of Algebraic
    Equations, Proceedings of the Royal Society of Edinburgh 46, 1926).
    """
    bend = (third - second) - (second - first)
    if abs(bend) < CLOSE**2:
        return third
    return min(max(third - (third - second) ** 2 / bend, 0.0), MOST_OUTSIDE)


@dataclass(frozen=True, slots=True)
class Metalog:
    """A three-term metalog between two bounds.

    ln((x − low) / (high − x)) = a1 + a2 L + a3 (p − 1/2) L, with L = ln(p / (1 − p)) and p the
    share of all that lies below x.
    """

    low: float
    high: float
    a1: float
    a2: float
    a3: float

    def share(self, year: float) -> float:
        """The share below a moment, by halving: its quantile function rises."""
        if not self.low < year < self.high:
            return float(year >= self.high)
        wanted = log((year - self.low) / (self.high - year))
        left, right = _KNOTS[0], _KNOTS[-1]
        for _ in range(40):  # from a width of 40 down to 4e-11, far below CLOSE
            middle = (left + right) / 2
            p = 1.0 / (1.0 + exp(-middle))
            if self.a1 + self.a2 * middle + self.a3 * (p - 0.5) * middle < wanted:
                left = middle
            else:
                right = middle
        return 1.0 / (1.0 + exp(-(left + right) / 2))

    def shares(self, years: range) -> list[float]:
        """The shares below the edges of the years; year y reaches from y − 1/2 to y + 1/2."""
        low, high, a1, a2, a3 = self.low, self.high, self.a1, self.a2, self.a3
        knots = [a1 + a2 * logit + a3 * bend for logit, bend in zip(_KNOTS, _BENDS, strict=True)]
        found: list[float] = []
        at, most = 0, len(knots) - 2
        for edge in range(years.start, years.stop + 1):
            year = edge - 0.5
            if year <= low or year >= high:
                found.append(0.0 if year <= low else 1.0)
                continue
            wanted = log((year - low) / (high - year))
            while at < most and knots[at + 1] < wanted:
                at += 1
            left = knots[at]
            logit = _KNOTS[at] + _STEP * (wanted - left) / (knots[at + 1] - left)
            if not _KNOTS[0] < logit < _KNOTS[-1]:
                found.append(0.0 if logit < 0 else 1.0)
                continue
            # Two steps of Newton's method: one takes the straight line's error of 1e-4 to 1e-8,
            # save where the curve is nearly upright.
            for _ in range(2):
                p = 1.0 / (1.0 + exp(-logit))
                slope = a2 + a3 * (p - 0.5 + p * (1.0 - p) * logit)
                step = (wanted - a1 - a2 * logit - a3 * (p - 0.5) * logit) / slope
                logit = min(max(logit + step, _KNOTS[at]), _KNOTS[at + 1])
            found.append(1.0 / (1.0 + exp(-logit)))
        return found


def metalog_of(
    quantiles: tuple[float, float, float], shares: Sequence[float], low: float, high: float
) -> Metalog:
    """The metalog with these shares below these quantiles.

    Where the quantiles lie so unevenly that no such metalog rises throughout, a bound is moved
    towards them until one does: the lower bound where the median lies close to the early
    quantile, the upper one where it lies close to the late one.
    """
    found = Metalog(low, high, *_terms(quantiles, shares, low, high))
    if abs(found.a3) * STEEPEST <= FEASIBLE * found.a2:
        return found
    from_below = found.a3 > 0
    near, quantile = (low, quantiles[0]) if from_below else (high, quantiles[2])
    least, most = 0.0, 1.0
    for _ in range(16):  # the bound is found to within a 65,536th of the way
        step = (least + most) / 2
        bound = near + (quantile - near) * step
        ends = (bound, high) if from_below else (low, bound)
        tried = Metalog(*ends, *_terms(quantiles, shares, *ends))
        if (tried.a3 if from_below else -tried.a3) * STEEPEST > FEASIBLE * tried.a2:
            least = step
        else:
            most, found = step, tried
    return found


def _apart(
    quantiles: tuple[float, float, float], low: float, high: float
) -> tuple[float, float, float]:
    """The quantiles inside the bounds and in rising order, at least LEAST_GAP apart."""
    early, middle, late = quantiles
    early = min(max(early, low + LEAST_GAP), high - 3 * LEAST_GAP)
    middle = min(max(middle, early + LEAST_GAP), high - 2 * LEAST_GAP)
    return early, middle, min(max(late, middle + LEAST_GAP), high - LEAST_GAP)


def _terms(
    quantiles: tuple[float, float, float], shares: Sequence[float], low: float, high: float
) -> tuple[float, float, float]:
    """The three coefficients of the logit metalog (Keelin 2016, section 4.2).

    a1 + a2 ln(p / (1 − p)) + a3 (p − 1/2) ln(p / (1 − p)) = ln((x − low) / (high − x)) at each
    quantile x and its share p: three linear equations, solved by elimination.
    """
    a, b, c = [log((each - low) / (high - each)) for each in quantiles]
    l1, l2, l3 = [log(p / (1.0 - p)) for p in shares]
    c1, c2, c3 = [(p - 0.5) * log(p / (1.0 - p)) for p in shares]
    left, right = (l2 - l1, c2 - c1, b - a), (l3 - l2, c3 - c2, c - b)
    whole = left[0] * right[1] - right[0] * left[1]
    a2 = (left[2] * right[1] - right[2] * left[1]) / whole
    a3 = (left[0] * right[2] - right[0] * left[2]) / whole
    return b - a2 * l2 - a3 * c2, a2, a3


_STEP = 0.125
_KNOTS = tuple([at * _STEP for at in range(-160, 161)])
"""Logits at which a quantile function is worked out before it is turned about. Beyond the last lie
shares of 2e-9, less than CLOSE."""

_BENDS = tuple([(1.0 / (1.0 + exp(-logit)) - 0.5) * logit for logit in _KNOTS])
