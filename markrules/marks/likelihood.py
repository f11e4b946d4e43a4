"""P(what was read | mark) by dynamic programming, for many marks in one go."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import exp, log

from markrules.marks.wear import Compiled, WearRates

IMPOSSIBLE = float("-inf")

# One step of the recursion: for each place the chance of all ways, of those in which the last
# letter of the mark went missing, and of those that ended before it with the tail lost.
_Column = tuple[list[float], list[float], float]


def log_likelihood(reading: Compiled, mark: str) -> float:
    """The natural log of P(reading | mark), for a mark in folded letters."""
    return next(log_likelihoods(reading, (mark,)))


def log_likelihoods(reading: Compiled, marks: Sequence[str]) -> Iterator[float]:
    """The natural log of P(reading | mark) for each mark.

    Marks that follow each other and begin alike share the work on their common beginning,
    so sorted marks go faster.
    """
    columns = [_first_column(reading)]
    before = ""
    for mark in marks:
        common = _common_length(before, mark)
        del columns[common + 1 :]
        for place in range(common, len(mark)):
            columns.append(_next_column(reading, columns, mark, place))
        before = mark
        yield _total(reading.model.rates, columns[-1])


def mixed_log_likelihoods(
    readings: Sequence[tuple[float, Compiled]], marks: Sequence[str]
) -> Iterator[float]:
    """The natural log of P(reading | mark) for each mark, where one of several things befell it:
    one reading, made ready under each of them, with its share.
    """
    if len(readings) == 1:
        yield from log_likelihoods(readings[0][1], marks)
        return
    shares = [log(share) for share, _ in readings]
    for each in zip(*(log_likelihoods(reading, marks) for _, reading in readings), strict=True):
        yield added([share + one for share, one in zip(shares, each, strict=True)])


def added(logs: Sequence[float]) -> float:
    """The natural log of the sum of chances, each given by its own."""
    top = max(logs)
    if top == IMPOSSIBLE:
        return top
    return top + log(sum(exp(each - top) for each in logs))


def _common_length(first: str, second: str) -> int:
    if second.startswith(first):
        return len(first)
    length = 0
    for one, other in zip(first, second, strict=False):
        if one != other:
            break
        length += 1
    return length


def _total(rates: WearRates, column: _Column) -> float:
    chances, _, lost = column
    total = chances[-1] * (1 - rates.tail_lost) + lost
    return log(total) if total > 0 else IMPOSSIBLE


def _first_column(reading: Compiled) -> _Column:
    """Before any letter of the mark: only places that stand for nothing can be filled."""
    chances = [1 - reading.model.rates.head_lost]
    for inserted in reading.inserted:
        chances.append(chances[-1] * inserted)
    return chances, [0.0] * len(chances), 0.0


def _next_column(reading: Compiled, columns: list[_Column], mark: str, place: int) -> _Column:
    """After one more letter of the mark, `mark[place]`."""
    rates = reading.model.rates
    old, _, old_lost = columns[-1]
    # The head lost up to here, and nothing read yet: a run of place + 1 letters.
    start = rates.head_lost * (1 - rates.run_on) * rates.run_on**place
    lost = old_lost * rates.run_on + old[-1] * rates.tail_lost * (1 - rates.run_on)
    struck = mark[place]
    places = _places_with_gaps if reading.has_gap else _places
    chances, missing = places(reading, struck, columns[-1], start)
    pair = mark[place - 1 : place + 1]
    if struck in reading.parted or pair in reading.joined or pair in reading.swapped:
        _add_merged(reading, columns, mark, place, chances)
    return chances, missing, lost


def _places(
    reading: Compiled, struck: str, column: _Column, start: float
) -> tuple[list[float], list[float]]:
    """The chances of all places, and of those after a missing letter, without a gap."""
    # The loop is written out here and below: a search spends most of its time in it.
    opened = reading.model.rates.missing
    kept_on = reading.model.rates.missing_on - opened
    old, old_missing, _ = column
    chances, missing = [start], [0.0]
    now, before = start, old[0]
    after = zip(reading.row(struck), reading.inserted, old[1:], old_missing[1:], strict=True)
    for chance, inserted, was, was_missing in after:
        gone = was * opened + was_missing * kept_on
        now = before * chance + gone + now * inserted
        chances.append(now)
        missing.append(gone)
        before = was
    return chances, missing


def _places_with_gaps(
    reading: Compiled, struck: str, column: _Column, start: float
) -> tuple[list[float], list[float]]:
    """The same, where the chance of a missing letter differs from place to place."""
    old, old_missing, _ = column
    chances, missing = [start], [0.0]
    now, before = start, old[0]
    gaps = zip(reading.opened, reading.kept_on, strict=True)
    after = zip(reading.row(struck), reading.inserted, old[1:], old_missing[1:], gaps, strict=True)
    for chance, inserted, was, was_missing, (opened, kept_on) in after:
        gone = was * opened + was_missing * kept_on
        now = before * chance + gone + now * inserted
        chances.append(now)
        missing.append(gone)
        before = was
    return chances, missing


def _add_merged(
    reading: Compiled, columns: list[_Column], mark: str, place: int, chances: list[float]
) -> None:
    """Add the ways in which two letters were read as one, one as two, or two in the other order."""
    for at, share in reading.parted.get(mark[place], ()):
        chances[at + 1] += columns[-1][0][at - 1] * share
    pair = mark[place - 1 : place + 1] if place else ""
    for at, share in reading.joined.get(pair, ()):
        chances[at + 1] += columns[-2][0][at] * share
    for at, share in reading.swapped.get(pair, ()):
        chances[at + 1] += columns[-2][0][at - 1] * share
