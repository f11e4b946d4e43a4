"""Weighted quantiles, and a mean and spread that a few odd values cannot pull away."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

MAD_TO_SD = 1.4826
"""The median distance from the median, times this, is the standard deviation of normal data.

1 / Phi^-1(3/4); Rousseeuw and Croux, Journal of the American Statistical Association 88 (1993).
"""

FAR = 2.5
"""How many spreads from the median a value may lie before it starts to count less."""

FEWEST_TO_JUDGE = 3
"""With fewer values there is no telling which of them is odd: all keep their weight."""


def weighted_quantile(values: Sequence[float], weights: Sequence[float], share: float) -> float:
    """The least value with at least `share` of the weight at or below it.

    This is the inverse of the weighted distribution function: definition 1 of Hyndman and
    Fan, The American Statistician 50 (1996), with weights. Raises ValueError where there is
    no weight, a weight below zero, or `share` lies outside 0 to 1.
    """
    if len(values) != len(weights) or any(weight < 0 for weight in weights):
        raise ValueError("each value needs a weight of zero or more")
    if not 0 <= share <= 1:
        raise ValueError("a share lies between 0 and 1")
    pairs = sorted((value, weight) for value, weight in zip(values, weights, strict=True) if weight)
    total = math.fsum(weight for _, weight in pairs)
    if not total > 0:
        raise ValueError("there is no weight")
    below = 0.0
    for value, weight in pairs:
        below += weight
        if below >= share * total * (1 - 1e-12):
            return value
    return pairs[-1][0]


@dataclass(frozen=True, slots=True)
class Middle:
    """A weighted mean and variance after odd values were made to count less.

    `weights` are those that were left to each value.
    """

    mean: float
    variance: float
    weights: tuple[float, ...]


def robust_middle(values: Sequence[float], weights: Sequence[float], least_spread: float) -> Middle:
    """The weighted mean of values, those far from the median counting less.

    A value more than FAR spreads from the weighted median keeps only FAR spreads' worth of
    its weight (Huber, Annals of Mathematical Statistics 35, 1964). The spread is the weighted
    median distance from the median, scaled, and no less than `least_spread`. The variance is
    the weighted mean square about the mean, without a correction for few values.
    """
    middle = weighted_quantile(values, weights, 0.5)
    distances = [abs(value - middle) for value in values]
    spread = max(least_spread, MAD_TO_SD * weighted_quantile(distances, weights, 0.5))
    far = FAR * spread if len(values) >= FEWEST_TO_JUDGE else math.inf
    kept = tuple(
        weight * (min(1.0, far / distance) if distance else 1.0)
        for weight, distance in zip(weights, distances, strict=True)
    )
    total = math.fsum(kept)
    mean = math.fsum(w * v for w, v in zip(kept, values, strict=True)) / total
    squares = math.fsum(w * (v - mean) ** 2 for w, v in zip(kept, values, strict=True))
    return Middle(mean, squares / total, kept)
