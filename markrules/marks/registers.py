"""What a register says of a number or a letter: the years between which it was issued.

In a number register the row `K in A to B` means: numbers from K on are of the year A or
later, those before K of a year before B (A = B where K is the first number of a year).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping
from functools import lru_cache

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Register, Row


@dataclass(frozen=True, slots=True)
class Bracket:
    """Years `first` to `last`, both included; `last` is None beyond the end of the table.

    `rows` are the rows that set the two ends.
    """

    first: int
    last: int | None
    rows: tuple[Row, ...]

    def joined(self, other: Bracket) -> Bracket:
        """The years of both, from the first of one to the last of the other."""
        last = None if self.last is None or other.last is None else max(self.last, other.last)
        rows = tuple(dict.fromkeys(self.rows + other.rows))
        return Bracket(min(self.first, other.first), last, rows)


class NumberTable:
    """A number register ready for look-up: its keys in order, each with its years."""

    def __init__(self, register: Register, farthest: float) -> None:
        """Sort the rows by number; rows without a plain number are left out.

        A number more than `farthest` times the last one listed is none of the series.
        """
        rows = [row for row in register.rows if row.key.isdecimal() and row.first is not None]
        self._rows = tuple(sorted(rows, key=lambda row: int(row.key)))
        self._keys = tuple(int(row.key) for row in self._rows)
        self._limit = self._keys[-1] * farthest if self._keys else 0.0

    def bracket(self, number: int) -> Bracket | None:
        """The years in which a number was issued; None below the first or far beyond the last.

        A year that the table lacks gives a wider bracket, never a guess.
        """
        place = bisect_right(self._keys, number)
        if place == 0 or number > self._limit:
            return None
        row = self._rows[place - 1]
        first = row.first if row.first is not None else 0
        if place == len(self._rows):
            return Bracket(first, None, (row,))
        after = self._rows[place]
        end = after.last if after.last is not None else after.first
        return Bracket(first, max(first, (end or first) - 1), (row, after))

    def years(self, low: int, high: int) -> Bracket | None:
        """The years of all numbers from `low` to `high`; None where none of them was issued."""
        if not self._keys or high < self._keys[0] or low > self._limit:
            return None
        ends = (self.bracket(max(low, self._keys[0])), self.bracket(min(high, int(self._limit))))
        return ends[0].joined(ends[1]) if ends[0] and ends[1] else ends[0] or ends[1]


@lru_cache(maxsize=8)
def number_tables(base: KnowledgeBase) -> Mapping[str, NumberTable]:
    """The number registers of a base by name, made once for each base."""
    farthest = base.setting("farthest-number")
    return {
        name: NumberTable(register, farthest)
        for name, register in base.registers.items()
        if register.kind == "number"
    }


def years_of_number(
    base: KnowledgeBase, register: str, low: int, high: int | None = None
) -> Bracket | None:
    """The years of a number, or of all numbers from `low` to `high` where digits are unread.

    Raises KeyError where there is no number register of that name.
    """
    return number_tables(base)[register].years(low, low if high is None else high)


def letter_rows(register: Register, letter: str) -> tuple[Row, ...]:
    """The rows of a letter register for this letter, in either case, in the order of the table."""
    wanted = letter.strip().casefold()
    return tuple(row for row in register.rows if row.key.casefold() == wanted)


def spread(rows: Iterable[tuple[Row, float]]) -> tuple[tuple[int, float], ...]:
    """Years with relative likelihoods, from rows with weights, adding to 1; empty for no row.

    A row's weight is shared evenly among its years.
    """
    years: dict[int, float] = {}
    for row, weight in rows:
        if row.first is None or weight <= 0:
            continue
        last = row.last if row.last is not None else row.first
        for year in range(row.first, last + 1):
            years[year] = years.get(year, 0.0) + weight / (last - row.first + 1)
    total = sum(years.values())
    return tuple((year, share / total) for year, share in sorted(years.items()))
