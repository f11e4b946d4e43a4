"""How far the limits of a reading, and the years it gives, hold for the whole piece."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from itertools import accumulate

from markrules.inference.reading import Dating, Reading
from markrules.telling.words import bounds, plain

STRAY = 0.01
"""A limit is one of the piece where less than this share of its years lies beyond; else it is one
of a part, which may have come to the piece later or been there before."""


def firm_limits(reading: Reading) -> tuple[int | None, int | None]:
    """Not before and not after, where they hold for the whole piece; None where they do not."""
    date = reading.date
    first, last = date.not_before, date.not_after
    if first is not None and (_beyond(reading, None, first - 1) or date.span.first < first):
        first = None
    if last is not None and (_beyond(reading, last + 1, None) or date.span.last > last):
        last = None
    return first, last


def _beyond(reading: Reading, first: int | None, last: int | None) -> bool:
    return share_of_years(reading, first, last) >= STRAY


def limits_of_parts(reading: Reading) -> tuple[str, ...]:
    """What the limits say that hold for a part alone: `ab-stones: no earlier than 1953`."""
    date, (first, last) = reading.date, firm_limits(reading)
    said = []
    if date.not_before is not None and first is None:
        said.append((date.not_before_clue, bounds(date.not_before, None)))
    if date.not_after is not None and last is None:
        said.append((date.not_after_clue, bounds(None, date.not_after)))
    return tuple(f"{plain(clue)}: {when}" if clue else when for clue, when in said)


def nearly_all_years(reading: Reading) -> tuple[int, int]:
    """The first and last year outside of which, on each side, less than half of `STRAY` lies."""
    date = reading.date
    sums = tuple(accumulate(date.curve))
    whole, beyond = sums[-1], STRAY / 2
    first = bisect_right(sums, whole * beyond)
    last = bisect_left(sums, whole * (1 - beyond))
    return date.first_year + first, date.first_year + last


def mass_of_years(date: Dating) -> float:
    """The probability that the years of `years_of` hold: of all runs of a set together."""
    return date.span.mass


def share_of_years(reading: Reading, first: int | None, last: int | None) -> float:
    """The probability that the piece was made from `first` to `last`; None is an open end."""
    start = reading.date.first_year
    return sum(
        share
        for year, share in enumerate(reading.date.curve, start)
        if (first is None or year >= first) and (last is None or year <= last)
    )
