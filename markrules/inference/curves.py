"""Curves over the years, and tables that are level in all years but some."""

from __future__ import annotations

from collections.abc import Sequence
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
    """A table that is `level` in all years but some: from `start` on, `values` times `by` more.

    Marks were used for a few decades of the grid, so sums over a spell are short; and many spells
    share their values.
    """

    level: float
    start: int
    values: Table
    by: float = 1.0

    def mean(self, over: Curve) -> float:
        """The mean of the table over a curve."""
        stop = self.start + len(self.values)
        more: float = sum(map(mul, over.table[self.start : stop], self.values))
        return self.level + self.by * more

    def peak(self) -> float:
        """The greatest value of the table."""
        return self.level + self.by * max(self.values, default=0.0)


def curve_of(weights: Sequence[float]) -> Curve:
    """The weights scaled to sum to 1; their sum must be positive."""
    by = 1.0 / sum(weights)
    table = tuple([value * by for value in weights])
    return Curve(table, tuple(accumulate(table, initial=0.0)))
