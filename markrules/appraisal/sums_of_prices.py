"""What several pieces may bring together: prices that rest on the same sales, added up."""

from __future__ import annotations

import math
from collections.abc import Sequence

from markrules.appraisal.value import MASS, Estimate
from markrules.frozen import dataclass

NORMAL_80 = 1.2815515655446004
"""The standard normal quantile of 0.9: half the width of a range of 80% in deviations."""


@dataclass(frozen=True, slots=True)
class Total:
    """What the pieces with an estimate may bring together. `mass` is that of the range."""

    currency: str
    low: float
    expected: float
    high: float
    mass: float
    pieces: int


def sum_of(known: Sequence[Estimate], together: float) -> Total:
    """Deviations added with a common correlation; the range is that of a normal sum.

    Var = (1 - r) sum(s^2) + r (sum s)^2, the variance of a sum whose parts all have the
    correlation r, `together`; a range never goes below the sum of the least. Takes one estimate
    at least.
    """
    spreads = [(each.high - each.low) / (2 * NORMAL_80) for each in known]
    alone = math.fsum(spread**2 for spread in spreads)
    variance = (1 - together) * alone + together * math.fsum(spreads) ** 2
    expected = math.fsum(each.expected for each in known)
    half = NORMAL_80 * math.sqrt(variance)
    low = max(expected - half, math.fsum(each.low for each in known))
    return Total(known[0].currency, low, expected, expected + half, MASS, len(known))
