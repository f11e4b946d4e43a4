"""Years in words and in the extended date-time format."""

from __future__ import annotations

from markrules.inference.years import Ends


def edtf(
    first: int,
    last: int,
    years: range,
    not_before: int | None = None,
    not_after: int | None = None,
) -> str:
    """A range of years as an EDTF string, level 1 (ISO 8601-2:2019, 4.4 and annex A).

    An end that a hard limit sets stands plain; any other is approximate (`~`). An end at the
    edge of the grid is open (`..`): older or newer pieces were not considered.

        >>> edtf(1911, 1935, range(1750, 2027), not_before=1911)
        '1911/1935~'
        >>> edtf(1995, 2026, range(1750, 2027))
        '1995~/..'
    """
    if first == last and first not in (years[0], years[-1]):
        return _end(first, first in (not_before, not_after))
    start = ".." if first <= years[0] else _end(first, first == not_before)
    stop = ".." if last >= years[-1] else _end(last, last == not_after)
    return f"{start}/{stop}"


def span_words(first: int, last: int) -> str:
    """Two years in words: `1911`, `1911 to 1935`."""
    return str(first) if first == last else f"{first} to {last}"


def window_words(ends: Ends, last_year: int | None = None) -> str:
    """A window in words, from its hard limits where it has any: `1911 or later`.

    An end at `last_year`, the last that there is, is no limit; years left out are named.

    >>> window_words(Ends(1911, 1925, None, None, (), 8))
    '1911 or later'
    >>> window_words(Ends(None, 1925, 1941, 1950, (), 8))
    'about 1925 to 1950'
    >>> window_words(Ends(None, 1800, 2026, None, ((1921, 1933),), 8), 2026)
    'about 1800 or later, but not 1921 to 1933'
    """
    gaps = " or ".join(span_words(*gap) for gap in ends.gaps)
    words = _without_gaps(ends, last_year)
    return f"{words}, but not {gaps}" if gaps else words


def _without_gaps(ends: Ends, last_year: int | None) -> str:
    start = _hard_or_about(ends.first, ends.mostly_first)
    last, mostly_last = (
        None if last_year is not None and each is not None and each >= last_year else each
        for each in (ends.last, ends.mostly_last)
    )
    stop = _hard_or_about(last, mostly_last)
    if start and stop:
        return start if start == stop else f"{start} to {_without_repeat(start, stop)}"
    if start:
        return f"{start} or later"
    return f"{stop} or earlier" if stop else "any year"


def _end(year: int, hard: bool) -> str:
    return f"{year:04d}" if hard else f"{year:04d}~"


def _hard_or_about(hard: int | None, soft: int | None) -> str:
    if hard is not None:
        return str(hard)
    return f"about {soft}" if soft is not None else ""


def _without_repeat(start: str, stop: str) -> str:
    """`about` once is enough where both ends are soft."""
    return stop.removeprefix("about ") if start.startswith("about ") else stop
