"""Sums of products of one table with many others, through distances.

The mean of a table over a curve is Σ p q. Of two points at the distance d, 2 Σ p q is
Σ p² + Σ q² − d². `math.dist` runs through tuples of numbers in one go and rounds once at the end
(Python 3.10 and later), so that each sum costs a tenth of one that multiplies number by number.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import accumulate
from math import dist, hypot
from operator import mul

from markrules.inference.years import Table
from markrules.named_tuple import NamedTuple

SCALE = 16.0
"""A curve over years is multiplied by this first, for it is far shorter than a table of chances:
Σ p² and Σ q² are then alike, and what rounding does to them is least. A power of two is exact."""

HALF = 0.5 / SCALE

LEAST = 1e-7
"""A sum below this is made product by product: as a difference it would be rounded too much."""


class Squared(NamedTuple):
    """A table of chances, none far above 1, with the sum of its squares."""

    values: Table
    square: float


def squared(values: Iterable[float]) -> Squared:
    """The table with the sum of its squares."""
    table = tuple(values)
    return Squared(table, hypot(*table) ** 2)


class Over:
    """A curve, whose values are chances that sum to 1 at most, to be multiplied with others.

    What is lost by rounding is some 1e-15 in a table of chances, and rises with its squares.
    """

    __slots__ = ("_scaled", "_square", "table")

    def __init__(self, curve: Sequence[float]) -> None:
        """The curve p of all the sums."""
        self.table: Table = tuple(curve)
        self._scaled = tuple([SCALE * value for value in self.table])
        self._square = hypot(*self._scaled) ** 2

    def sum_with(self, other: Squared) -> float:
        """Σ p q."""
        return self.sums_of((other,))[0]

    def sums_of(self, others: Sequence[Squared]) -> list[float]:
        """Σ p q of each."""
        scaled, own = self._scaled, self._square
        found = [(own + square - dist(scaled, values) ** 2) * HALF for values, square in others]
        if min(found, default=1.0) < LEAST:
            for at, other in enumerate(others):
                if found[at] < LEAST:
                    found[at] = sum(map(mul, self.table, other.values))
        return found

    def sums_within(self, others: Sequence[tuple[int, int, Squared]]) -> list[float]:
        """The same for short tables, each with the positions of the curve where it begins and ends.

        There are well over a thousand, so each costs as little as can be.
        """
        scaled = self._scaled
        squares = list(accumulate(map(mul, scaled, scaled), initial=0.0))
        found = [
            (squares[stop] - squares[start] + square - dist(scaled[start:stop], values) ** 2) * HALF
            for start, stop, (values, square) in others
        ]
        if min(found, default=1.0) < LEAST:
            for at, (start, stop, other) in enumerate(others):
                if found[at] < LEAST:
                    found[at] = sum(map(mul, self.table[start:stop], other.values))
        return found
