"""What any drawing or page of a reading needs: the years worth showing."""

from __future__ import annotations

from markrules.inference.reading import DateRange, Dating, Reading

LEAST_YEARS = 60
"""A drawing shows at least so many years, so that a sharp date still stands among others."""

NEAR_YEARS = 30
"""Ends of clues' windows this near to the curve are shown too."""

EDGE = 0.004
"""Share of the probability that may lie outside the years drawn, on either side."""

ROOM = 4
"""Years of room beside what is shown."""


def years_shown(reading: Reading, before: Dating | None = None) -> tuple[int, int]:
    """The stretch that holds nearly all of the curve, and the ends of windows near it.

    `before` is another curve that is drawn with it, and is held too. Every drawing of a reading,
    in a terminal, on a page or on a sheet, shows these years.
    """
    date = reading.date
    bulks = [_bulk(each) for each in (date, before) if each is not None]
    low, high = min(each[0] for each in bulks), max(each[1] for each in bulks)
    ends = [end for clue in reading.clues for end in (clue.first, clue.last)]
    near = [end for end in ends if low - NEAR_YEARS <= end <= high + NEAR_YEARS]
    low, high = min([low, *near]) - ROOM, max([high, *near]) + ROOM
    short = LEAST_YEARS - (high - low)
    if short > 0:
        low, high = low - short // 2, high + short - short // 2
    return max(date.first_year, low), min(date.first_year + len(date.curve) - 1, high)


def runs_drawn(date: Dating) -> tuple[DateRange, ...]:
    """The stretches that a drawing marks: those of a set, or the one range after any second one.

    What is drawn later lies over what is drawn before.
    """
    if len(date.years) > 1:
        return date.years
    return (date.range,) if date.second is None else (date.second, date.range)


def _bulk(date: Dating) -> tuple[int, int]:
    """The years that hold all of a curve but a little on either side."""
    low, high, total = date.first_year, date.first_year + len(date.curve) - 1, 0.0
    for year, share in enumerate(date.curve, date.first_year):
        total += share
        if total < EDGE:
            low = year
        if total > 1 - EDGE:
            return low, year
    return low, high
