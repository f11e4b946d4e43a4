"""Curves over the years, and tables whose mean over a curve is soon found."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import accumulate, chain, groupby
from operator import mul

from markrules.frozen import dataclass
from markrules.inference.years import Table

LEVEL_LEAST = 12
"""A level stretch at least this long is worth the few steps that its running sums cost."""


@dataclass(frozen=True, slots=True)
class Curve:
    """A probability for each year, and their running sums.

    `sums` holds the sum of all before each position, and the total at the end.
    """

    table: Table
    sums: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Stepped:
    """A table with its level stretches set apart.

    Windows are level over most years, and so is much of what is made from them. `levels`
    holds (start, stop, value) and `slopes` (start, stop, values), positions with the stop
    excluded; together they are the whole of `table`.
    """

    table: Table
    levels: tuple[tuple[int, int, float], ...]
    slopes: tuple[tuple[int, int, Table], ...]

    def mean(self, over: Curve) -> float:
        """The mean of the table over a curve."""
        curve, sums = over.table, over.sums
        total = 0.0
        for start, stop, value in self.levels:
            total += value * (sums[stop] - sums[start])
        for start, stop, values in self.slopes:
            total += sum(map(mul, curve[start:stop], values))
        return total

    def each(self, function: Callable[[float], float]) -> Stepped:
        """The table with a function applied to each value; a level is worked out once."""
        return _stepped(
            tuple([(start, stop, function(value)) for start, stop, value in self.levels]),
            tuple(
                [(start, stop, tuple(map(function, values))) for start, stop, values in self.slopes]
            ),
        )


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


def curve_of(weights: Sequence[float]) -> Curve:
    """The weights scaled to sum to 1; their sum must be positive."""
    by = 1.0 / sum(weights)
    table = tuple([value * by for value in weights])
    return Curve(table, tuple(accumulate(table, initial=0.0)))


def stepped(table: Sequence[float]) -> Stepped:
    """The table, cut where level stretches begin and end."""
    levels, slopes = [], []
    for start, stop, is_level in _stretches(table):
        if is_level:
            levels.append((start, stop, table[start]))
        else:
            slopes.append((start, stop, tuple(table[start:stop])))
    return _stepped(tuple(levels), tuple(slopes))


def _stepped(
    levels: tuple[tuple[int, int, float], ...], slopes: tuple[tuple[int, int, Table], ...]
) -> Stepped:
    """Put the stretches together; a level's value is kept once, however long it is."""
    parts: list[tuple[int, Table]] = [(start, values) for start, _, values in slopes]
    parts += [(start, (value,) * (stop - start)) for start, stop, value in levels]
    table = tuple(chain.from_iterable([values for _, values in sorted(parts)]))
    return Stepped(table, levels, slopes)


def spell(level: float, table: Table) -> Spell:
    """`level` and the table added to it, without the zeros at the table's ends."""
    some = [at for at, value in enumerate(table) if value]
    if not some:
        return Spell(level, 0, ())
    return Spell(level, some[0], table[some[0] : some[-1] + 1])


def _stretches(table: Sequence[float]) -> Iterator[tuple[int, int, bool]]:
    """Stretches that are level for long enough, and what lies between them."""
    start = at = 0
    for _, equal in groupby(table):
        stop = at + sum(1 for _ in equal)
        if stop - at >= LEVEL_LEAST:
            if start < at:
                yield start, at, False
            yield at, stop, True
            start = stop
        at = stop
    if start < at:
        yield start, at, False
