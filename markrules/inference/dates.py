"""Years in words and in the extended date-time format."""

from __future__ import annotations

from collections.abc import Sequence

from markrules.inference.years import Ends


def edtf(
    first: int,
    last: int,
    years: range,
    not_before: int | None = None,
    not_after: int | None = None,
) -> str:
    """A range of years as an EDTF string, level 1 (ISO 8601-2:2019, 4.4 and annex A).

    An end that a hard limit sets stands plain; any other is approximate (`~`). The end of the
    grid is such a limit: what exists was made by then, so its interval is never open.

        >>> edtf(1911, 1935, range(1750, 2027), not_before=1911)
        '1911/1935~'
        >>> edtf(1995, 2026, range(1750, 2027))
        '1995~/2026'
    """
    if first == last:
        return _end(first, first in (not_before, not_after))
    return f"{_end(first, first == not_before)}/{_end(last, last in (not_after, years[-1]))}"


def edtf_set(runs: Sequence[tuple[int, int]]) -> str:
    """Runs of years of which one is meant, as an EDTF set, level 2 (ISO 8601-2:2019, 4.4.3).

    >>> edtf_set([(1873, 1873), (1898, 1900)])
    '[1873,1898..1900]'
    """
    words = [f"{a:04d}" if a == b else f"{a:04d}..{b:04d}" for a, b in runs]
    return f"[{','.join(words)}]"


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
