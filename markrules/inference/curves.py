"""Curves over the years, and tables that are level in all years but some."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import accumulate
from operator import mul

from markrules.frozen import dataclass
from markrules.inference.years import Table


@dataclass(frozen=True, slots=True)
class Curve:
    """A probability for each year, and their running sums.

    `sums` holds the sum of all before each position, and the total at the end.
    """

    table: Table
    sums: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Spell:
    """A table that is `level` in all years but some: from position `start` on, `values` more.

    Marks were used for a few decades of the grid, so sums over a spell are short.
    """

    level: float
    start: int
    values: Table

    def mean(self, over: Curve) -> float:
        """The mean of the table over a curve."""
        stop = self.start + len(self.values)
        more: float = sum(map(mul, over.table[self.start : stop], self.values))
        return self.level + more

    def peak(self) -> float:
        """The greatest value of the table."""
        return self.level + max(self.values, default=0.0)


def means(spells: Iterable[Spell], over: Curve) -> list[float]:
    """The mean of each spell over a curve, as `Spell.mean` has it, for very many of them."""
    table = over.table
    return [
        each.level + sum(map(mul, table[each.start : each.start + len(each.values)], each.values))
        for each in spells
    ]


def curve_of(weights: Sequence[float]) -> Curve:
    """The weights scaled to sum to 1; their sum must be positive."""
    by = 1.0 / sum(weights)
    table = tuple([value * by for value in weights])
    return Curve(table, tuple(accumulate(table, initial=0.0)))
