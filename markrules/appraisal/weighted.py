"""Weighted quantiles, and Student's t distribution."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

_TINY = 1e-300
"""In place of a 0 by which Lentz's method would divide."""
_STEPS = 400
"""Terms of the continued fraction at most; it ends before where they change nothing more."""


def t_cdf(value: float, freedom: float) -> float:
    """The probability that a t variable with `freedom` degrees of freedom is at most `value`.

    By the incomplete beta function: Abramowitz and Stegun, Handbook of Mathematical Functions
    (1964), 26.7.1 and 26.5.8. Raises ValueError where `freedom` is not above zero.
    """
    if not freedom > 0:
        raise ValueError("degrees of freedom are above zero")
    # The share of v^2 keeps its figures near the middle, where the other share rounds to 1.
    within = _incomplete_beta(0.5, freedom / 2, value * value / (freedom + value * value))
    return 0.5 + math.copysign(within / 2, value)


@lru_cache(maxsize=1024)
def t_quantile(probability: float, freedom: float) -> float:
    """The value that a t variable stays below with this probability, above 0 and below 1.

    Found by halving an interval on `t_cdf`. Raises ValueError outside these bounds.
    """
    if not 0 < probability < 1:
        raise ValueError("a probability between 0 and 1 is needed")
    if probability < 0.5:
        return -t_quantile(1 - probability, freedom)
    low, high = 0.0, 1.0
    while t_cdf(high, freedom) < probability and high < 1e12:
        high *= 2
    for _ in range(100):  # until the halves are as near as two floats can be
        middle = (low + high) / 2
        low, high = (middle, high) if t_cdf(middle, freedom) < probability else (low, middle)
    return (low + high) / 2


def _incomplete_beta(a: float, b: float, x: float) -> float:
    """The regularised incomplete beta function I_x(a, b)."""
    if x <= 0 or x >= 1:
        return 0.0 if x <= 0 else 1.0
    log_front = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)
    front = math.exp(log_front + a * math.log(x) + b * math.log1p(-x))
    if x < (a + 1) / (a + b + 2):
        return front * _fraction(a, b, x) / a
    return 1 - front * _fraction(b, a, 1 - x) / b


def _fraction(a: float, b: float, x: float) -> float:
    """The continued fraction of 26.5.8, by Lentz's method (Applied Optics 15, 1976, 668)."""
    value, c, d = 1.0, 1.0, 0.0
    for step in range(1, _STEPS):
        m = step // 2
        if step % 2:
            term = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        else:
            term = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        d = 1 / ((1 + term * d) or _TINY)
        c = (1 + term / c) or _TINY
        value *= c * d
        if abs(c * d - 1) < 1e-15:
            break
    return 1 / value


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
