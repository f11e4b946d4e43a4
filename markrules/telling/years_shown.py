"""What any drawing or page of a reading needs: the years worth showing, and a chance in figures."""

from __future__ import annotations

from markrules.inference.reading import Reading

LEAST_YEARS = 60
"""A drawing shows at least so many years, so that a sharp date still stands among others."""

NEAR_YEARS = 30
"""Ends of clues' windows this near to the curve are shown too."""


def years_shown(reading: Reading) -> tuple[int, int]:
    """The stretch that holds nearly all of the curve, and the ends of windows near it."""
    date = reading.date
    grid_last = date.first_year + len(date.curve) - 1
    low, high, total = date.first_year, grid_last, 0.0
    for year, share in enumerate(date.curve, date.first_year):
        total += share
        if total < 0.004:
            low = year
        if total > 0.996:
            high = year
            break
    ends = [end for clue in reading.clues for end in (clue.first, clue.last)]
    near = [end for end in ends if low - NEAR_YEARS <= end <= high + NEAR_YEARS]
    low, high = min([low, *near]) - 4, max([high, *near]) + 4
    short = LEAST_YEARS - (high - low)
    if short > 0:
        low, high = low - short // 2, high + short - short // 2
    return max(date.first_year, low), min(grid_last, high)


def percent(probability: float) -> str:
    """A probability in figures a person can weigh: never 0% or 100%."""
    if probability < 0.005:
        return "under 1%"
    if probability > 0.995:
        return "over 99%"
    return f"{probability:.0%}"
