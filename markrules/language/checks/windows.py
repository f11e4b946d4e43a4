"""Do windows run forward, and does what they say fit the clue that they stand in?"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from markrules.language.checks.known import Known
from markrules.language.conditions import features_in
from markrules.language.tree import Claim, Clue, Maker, Window, Year

# A year outside these is taken for a slip of the pen.
OLDEST_YEAR, NEWEST_YEAR = 1000, 2100


def check_windows(known: Known) -> None:
    """Check the windows of clues, claims, makers and marks."""
    for clue in known.each(Clue):
        if clue.made is not None:
            _in_order(known, clue.made)
            _relative(known, clue, clue.made)
            _hard(known, clue, clue.made)
        elif not clue.points and not known.is_broken("clue", clue.name):
            message = f'clue "{clue.name}" says nothing: give it `made` or `points`'
            known.note("empty-clue", message, clue.span)
    for window in _plain_windows(known):
        _in_order(known, window)
        if any(year.relative for year in _years(window)):
            message = "`year` has a meaning only in clues; write the year itself"
            known.note("relative-year", message, window.span)


def _plain_windows(known: Known) -> Iterator[Window]:
    """Windows in which no year is read off the piece: those of claims, makers and marks."""
    yield from (claim.made for claim in known.each(Claim) if claim.made is not None)
    for maker in known.each(Maker):
        if maker.works is not None:
            yield maker.works
        yield from (mark.used for mark in maker.marks if mark.used is not None)


def _years(window: Window) -> Iterator[Year]:
    ends = (window.first, window.mostly_first, window.mostly_last, window.last)
    yield from (year for year in ends if year is not None)
    for gap in window.gaps:
        yield from gap


def _in_order(known: Known, window: Window) -> None:
    ends = [
        ("from", window.first),
        ("mostly", window.mostly_first),
        ("to", window.mostly_last),
        ("until", window.last),
    ]
    given = [(word, year) for word, year in ends if year is not None]
    for (before, earlier), (after, later) in pairwise(given):
        if _crossed(earlier, later):
            message = f"the window runs backwards: {_shown(before, earlier)} is after " + _shown(
                after, later
            )
            known.note("window-crossed", message, window.span)
            return
    for earlier, later in window.gaps:
        if _crossed(earlier, later):
            message = f"`except` runs backwards: {_year(earlier)} is after {_year(later)}"
            known.note("window-crossed", message, window.span)
    for year in _years(window):
        plain = not year.relative and not year.now
        if plain and not OLDEST_YEAR <= year.number <= NEWEST_YEAR:
            message = (
                f"{year.number} is no likely year; years lie from {OLDEST_YEAR} to {NEWEST_YEAR}"
            )
            known.note("odd-year", message, window.span)


def _crossed(earlier: Year, later: Year) -> bool:
    if earlier.now:
        return not later.now
    if later.now or earlier.relative != later.relative:
        return False
    return earlier.number > later.number


def _shown(word: str, year: Year) -> str:
    return f"`{word}` {_year(year)}"


def _year(year: Year) -> str:
    if year.now:
        return "now"
    if year.relative:
        sign = "+" if year.number > 0 else "-"
        return f"year {sign} {abs(year.number)}" if year.number else "year"
    return str(year.number)


def _relative(known: Known, clue: Clue, window: Window) -> None:
    if not any(year.relative for year in _years(window)):
        return
    kinds = [
        known.features[name.name].kind
        for name in features_in(clue.when)
        if name.name in known.features
    ]
    if "year" not in kinds:
        message = (
            "`year` stands for a year that was read, and this clue asks for none: its condition "
            "names no register and no feature of kind year"
        )
        known.note("relative-year", message, window.span)


def _hard(known: Known, clue: Clue, window: Window) -> None:
    if clue.trust.name == "hard" and window.first is None and window.last is None:
        message = "a clue with hard trust has a hard limit: give `from` or `until`"
        known.warn("hard-without-limit", message, clue.trust.span)
