"""Do windows run forward, and does what they say fit the clue that they stand in?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise

from markrules.language.checks.known_names import KnownNames, kind_of
from markrules.language.conditions import features_in
from markrules.language.spans import Span
from markrules.language.tree import Claim, Clue, Maker, Misleading, PieceException, Prior, Type
from markrules.language.windows import Spread, Window, Year

# A year outside these is taken for a slip of the pen.
OLDEST_YEAR, NEWEST_YEAR = 1000, 2100


def check_windows(known: KnownNames) -> None:
    """Check the windows and spreads of clues and types, and windows elsewhere."""
    for clue in _speaking(known):
        if clue.made is not None:
            _in_order(known, clue.made)
            _relative(known, clue, clue.made.span, _years(clue.made))
            _hard(known, clue, clue.made)
        if clue.common is not None:
            _relative(known, clue, clue.common.span, _years_of(clue.common))
            if clue.made is not None:
                _overlapping(known, clue.made, clue.common, "`common`", "`made`")
        _says_something(known, clue)
    for maker in known.each(Maker):
        if maker.works is not None and maker.pieces is not None:
            _overlapping(known, maker.works, maker.pieces, "`pieces`", "`works`")
    for spread in _spreads(known):
        _rising(known, spread)
    for window in _plain_windows(known):
        _in_order(known, window)
        if any(year.relative for year in _years(window)):
            message = "`year` has a meaning only in clues; write the year itself"
            known.note("relative-year", message, window.span)
    for each in known.each(Misleading):
        if each.dated is not None:
            _in_order(known, each.dated)
            _counts_from_what_was_told(known, each, each.dated)


def _speaking(known: KnownNames) -> Iterator[Clue | Type]:
    """The entries that speak of the years of a piece on which they hold."""
    yield from known.each(Clue)
    yield from known.each(Type)


def _says_something(known: KnownNames, clue: Clue | Type) -> None:
    kind = kind_of(clue)
    points = clue.points if isinstance(clue, Clue) else ()
    if clue.made or clue.common or points or known.is_broken(kind, clue.name):
        return
    ways = "`made`, `common` or `points`" if isinstance(clue, Clue) else "`common` or `made`"
    known.note("empty-clue", f'{kind} "{clue.name}" says nothing: give it {ways}', clue.span)


def _spreads(known: KnownNames) -> Iterator[Spread]:
    """All spreads; a year read off the piece has a meaning only in clues and types."""
    for clue in _speaking(known):
        if clue.common is not None:
            yield clue.common
    others: list[Prior | PieceException | Misleading] = [
        *known.each(Prior),
        *known.each(PieceException),
        *known.each(Misleading),
    ]
    said = [other.common for other in others] + [maker.pieces for maker in known.each(Maker)]
    for spread in said:
        if spread is None:
            continue
        if any(year.relative for year in _years_of(spread)):
            message = "`year` has a meaning only in clues; write the year itself"
            known.note("relative-year", message, spread.span)
        yield spread


def _years_of(spread: Spread) -> Iterator[Year]:
    for wave in spread.waves:
        yield from (year for year in (wave.early, wave.middle, wave.late) if year is not None)


def _rising(known: KnownNames, spread: Spread) -> None:
    """The years of each wave rise, and shares leave something to the first."""
    for wave in spread.waves:
        years = [year for year in (wave.early, wave.middle, wave.late) if year is not None]
        if any(_crossed(earlier, later) or earlier == later for earlier, later in pairwise(years)):
            words = " ".join(map(_year, years))
            message = f"the years of a wave rise, and those of {words} do not"
            known.note("order", message, spread.span)
    _likely(known, spread.span, _years_of(spread))
    if spread.background is not None and spread.background > 1:
        known.note("share-too-large", "a background is a share of at most 100%", spread.span)
    if sum(wave.share or 0.0 for wave in spread.waves) >= 1:
        message = "the waves after `again` leave nothing to the first: their shares reach 100%"
        known.note("share-too-large", message, spread.span)


def _overlapping(known: KnownNames, window: Window, spread: Spread, said: str, beside: str) -> None:
    """Some of a spread must lie within the hard limits beside it."""
    early = min((wave.early for wave in spread.waves), key=_number)
    last = max((wave.late for wave in spread.waves), key=_number)
    if (window.last is not None and _crossed(early, window.last)) or (
        window.first is not None and _crossed(window.first, last)
    ):
        message = f"{said} lies wholly outside the hard limits of {beside}"
        known.note("window-crossed", message, spread.span)


def _number(year: Year) -> float:
    return float("inf") if year.now else year.number


def _plain_windows(known: KnownNames) -> Iterator[Window]:
    """Windows in which no year is read off the piece: those of claims, makers, marks and what
    misleads.
    """
    yield from (claim.made for claim in known.each(Claim) if claim.made is not None)
    yield from (each.made for each in known.each(Misleading) if each.made is not None)
    for maker in known.each(Maker):
        if maker.works is not None:
            yield maker.works
        yield from (mark.used for mark in maker.marks if mark.used is not None)


def _counts_from_what_was_told(known: KnownNames, entry: Misleading, window: Window) -> None:
    """Where `dated` counts from a year, `told` must ask for one."""
    if not any(year.relative for year in _years(window)):
        return
    asked = [] if entry.told is None else [name.name for name in features_in(entry.told)]
    if not any(known.features[name].kind == "year" for name in asked if name in known.features):
        message = "`year` stands for a year that was told, and `told` names no feature of kind year"
        known.note("relative-year", message, window.span)


def _years(window: Window) -> Iterator[Year]:
    ends = (window.first, window.mostly_first, window.mostly_last, window.last)
    yield from (year for year in ends if year is not None)
    for gap in window.gaps:
        yield from gap


def _in_order(known: KnownNames, window: Window) -> None:
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
    _likely(known, window.span, _years(window))


def _likely(known: KnownNames, span: Span, years: Iterable[Year]) -> None:
    for year in years:
        plain = not year.relative and not year.now
        if plain and not OLDEST_YEAR <= year.number <= NEWEST_YEAR:
            message = (
                f"{year.number} is no likely year; years lie from {OLDEST_YEAR} to {NEWEST_YEAR}"
            )
            known.note("odd-year", message, span)


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


def _relative(known: KnownNames, clue: Clue | Type, span: Span, years: Iterable[Year]) -> None:
    if not any(year.relative for year in years):
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
        known.note("relative-year", message, span)


def _hard(known: KnownNames, clue: Clue | Type, window: Window) -> None:
    if clue.trust.name == "hard" and window.first is None and window.last is None:
        message = "a clue with hard trust has a hard limit: give `from` or `until`"
        known.warn("hard-without-limit", message, clue.trust.span)
