"""P(what was read | mark) by dynamic programming, for many marks in one go."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import log

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
    struck = mark[place]
    old, old_missing, old_lost = columns[-1]
    # The head lost up to here, and nothing read yet.
    start = rates.head_lost * (1 - rates.run_on) * rates.run_on**place
    lost = old_lost * rates.run_on + old[-1] * rates.tail_lost * (1 - rates.run_on)
    extra = _merges(reading, columns, mark, place)
    chances, missing = [start], [0.0]
    now, before = start, old[0]
    for chance, inserted, opened, kept_on, was, was_missing, more in zip(
        reading.row(struck),
        reading.inserted,
        reading.opened,
        reading.kept_on,
        old[1:],
        old_missing[1:],
        extra,
        strict=True,
    ):
        gone = (was - was_missing) * opened + was_missing * kept_on
        now = before * chance + gone + more + now * inserted
        chances.append(now)
        missing.append(gone)
        before = was
    return chances, missing, lost


def _merges(reading: Compiled, columns: list[_Column], mark: str, place: int) -> list[float]:
    """The chance, for each place, that two letters were read as one there, or one as two."""
    extra = [0.0] * len(reading.cells)
    parted = reading.parted.get(mark[place])
    if parted:
        old = columns[-1][0]
        for at, share in parted:
            extra[at] += old[at - 1] * share
    joined = reading.joined.get(mark[place - 1 : place + 1]) if place else None
    if joined:
        older = columns[-2][0]
        for at, share in joined:
            extra[at] += older[at] * share
    return extra
