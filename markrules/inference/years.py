"""Windows and priors as tables over a grid of years."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import accumulate
from math import exp
from operator import mul, truediv

from markrules.frozen import dataclass
from markrules.inference.settings import Settings
from markrules.language.windows import Window, Year

Table = tuple[float, ...]
"""One number for each year of the grid, in order."""

PRIOR_FLOOR = 1e-6
"""Least prior weight of a year, as a share of the greatest: rare, but never impossible."""


@dataclass(frozen=True, slots=True)
class Ends:
    """A window with all its years worked out: see `Window` for the meaning of each.

    `gaps` are pairs of years, both included. `fade` is the length of a slope without a hard
    limit, in years.
    """

    first: int | None
    mostly_first: int | None
    mostly_last: int | None
    last: int | None
    gaps: tuple[tuple[int, int], ...]
    fade: int


def resolve(
    window: Window, years: range, settings: Settings, bracket: tuple[int, int] | None = None
) -> Ends:
    """The years of a window, for a piece whose register or year feature gave `bracket`.

    `year` stands for the first year of the bracket in `from` and before `to`, and for the
    last after `to` and `until`; without a bracket it stands for the ends of the grid.
    """
    low, high = bracket if bracket is not None else (years[0], years[-1])

    def at(year: Year, relative_to: int) -> int:
        if year.now:
            return years[-1]
        return relative_to + year.number if year.relative else year.number

    def end(year: Year | None, relative_to: int) -> int | None:
        return None if year is None else at(year, relative_to)

    first, last = end(window.first, low), end(window.last, high)
    bulk = end(window.mostly_first, low), end(window.mostly_last, high)
    gaps = tuple((at(a, low), at(b, high)) for a, b in window.gaps)
    fade = window.fade
    if fade is None:
        start, stop = _first_known(bulk[0], first, years[0]), _first_known(bulk[1], last, years[-1])
        fade = _fade_years(stop - start + 1, settings)
    return Ends(first, *bulk, last, gaps, max(fade, 0))


def window_table(ends: Ends, years: range) -> Table:
    """How well each year suits the window, from 0 to 1.

    It is 1 in the bulk. Towards a hard limit it falls in a straight line that would reach 0
    one year beyond the limit, so that the limit's own year is still possible; without a hard
    limit it falls over `fade` years in the same way. It is 0 beyond hard limits and in gaps.
    """
    table = [1.0] * len(years)
    if ends.mostly_first is not None:
        length = ends.fade if ends.first is None else ends.mostly_first - ends.first
        _lower(table, years, ends.mostly_first, -1, length)
    if ends.mostly_last is not None:
        length = ends.fade if ends.last is None else ends.last - ends.mostly_last
        _lower(table, years, ends.mostly_last, 1, length)
    if ends.first is not None:
        _clear(table, years, years[0], ends.first - 1)
    if ends.last is not None:
        _clear(table, years, ends.last + 1, years[-1])
    for first, last in ends.gaps:
        _clear(table, years, first, last)
    return tuple(table)


def softened_table(ends: Ends, years: range) -> Table:
    """The window, also open softly beyond its hard limits.

    Serves a maker's working years when they stand in for the years of one mark: old stock and
    blurred records reach past them. It is the larger, year by year, of the window itself and
    of the window whose hard limits are taken for the ends of its bulk.
    """
    soft = Ends(
        None,
        ends.mostly_first if ends.mostly_first is not None else ends.first,
        ends.mostly_last if ends.mostly_last is not None else ends.last,
        None,
        (),
        ends.fade,
    )
    if ends.first is None and ends.last is None and not ends.gaps:
        return window_table(soft, years)
    return tuple(map(max, window_table(ends, years), window_table(soft, years)))


def fading(years: range, life: float) -> Table:
    """What is left of a mark's use after 0, 1, 2 ... years, where its end is not recorded.

    It falls by the factor e in `life` years; 0 stands for never.
    """
    if life <= 0:
        return (1.0,) * len(years)
    return tuple(exp(-age / life) for age in range(len(years)))


def mark_table(used: Ends, works: Table | None, years: range, faded: Table) -> Table:
    """The window of one mark variant, from 0 to 1.

    It is its years of use times `works`, the softened working years of its maker, where both
    leave a year over. Where no end of its use is recorded, it fades from the start of the
    bulk as `faded` says: marks are changed now and then.
    """
    table = window_table(used, years)
    if used.last is None and used.mostly_last is None:
        start = _first_known(used.mostly_first, used.first, years[-1]) - years[0]
        at = min(max(start, 0), len(table))
        table = table[:at] + tuple(map(mul, table[at:], faded))
    both = table if works is None else tuple(map(mul, table, works))
    # Years of use wholly outside the maker's are a fault of the records: the mark's own are kept.
    return both if any(both) else table


def mixed_table(tables: Sequence[tuple[float, Table]]) -> Table:
    """The weighted sum of tables, scaled so that its peak is 1 (or all 0)."""
    total = tuple(
        sum(w * x for (w, _), x in zip(tables, column, strict=True))
        for column in zip(*(table for _, table in tables), strict=True)
    )
    peak = max(total)
    return tuple(x / peak for x in total) if peak > 0 else total


def prior_table(points: Sequence[tuple[int, float]], years: range) -> Table:
    """Prior probability of each year: straight lines between the points, level beyond them.

    Weights are relative; the table sums to 1. No points give the flat prior.
    """
    if not points:
        return flat_table(years)
    points = sorted(points)
    return floored([max(between(points, year), 0.0) for year in years])


def floored(weights: Sequence[float]) -> Table:
    """The weights of years as probabilities, none of them quite 0; all alike where all are 0."""
    peak = max(weights)
    if peak <= 0:
        return (1.0 / len(weights),) * len(weights)
    weights = [max(weight, peak * PRIOR_FLOOR) for weight in weights]
    total = sum(weights)
    return tuple([weight / total for weight in weights])


def mixture(tables: Sequence[tuple[float, Table]]) -> Table:
    """The sum of curves, each times its share."""
    if len(tables) == 1:
        return tables[0][1]
    return tuple(
        [
            sum(share * value for (share, _), value in zip(tables, column, strict=True))
            for column in zip(*[table for _, table in tables], strict=True)
        ]
    )


def flat_table(years: range) -> Table:
    """The prior that makes every year of the grid alike."""
    return (1.0 / len(years),) * len(years)


def later_means(table: Table) -> Table:
    """For each year, the mean of the table over that year and all later ones."""
    return tuple(earlier_means(table[::-1])[::-1])


def earlier_means(table: Table) -> Table:
    """For each year, the mean of the table over that year and all earlier ones."""
    return tuple(map(truediv, accumulate(table), range(1, len(table) + 1)))


def _fade_years(bulk: int, settings: Settings) -> int:
    wanted = round(settings.fade_share * max(bulk, 1))
    return max(settings.fade_least, min(wanted, settings.fade_most))


def _first_known(*years: int | None) -> int:
    return next(year for year in years if year is not None)


def _lower(table: list[float], years: range, bulk: int, way: int, length: int) -> None:
    """Lower the table on one side (-1 before, 1 after) of the year `bulk` where its slope starts.

    At a distance d the slope stands at 1 - d / (length + 1), and at 0 from there on.
    """
    edge = bulk + way * (max(length, 0) + 1)
    slope = range(edge + 1, bulk) if way < 0 else range(bulk + 1, edge)
    on_grid = range(max(slope.start, years.start), min(slope.stop, years.stop))
    if on_grid:
        heights = [1.0 - abs(year - bulk) / (length + 1) for year in on_grid]
        start, stop = on_grid.start - years.start, on_grid.stop - years.start
        table[start:stop] = map(min, table[start:stop], heights)
    if way < 0:
        _clear(table, years, years[0], edge)
    else:
        _clear(table, years, edge, years[-1])


def _clear(table: list[float], years: range, first: int, last: int) -> None:
    """Put 0 from the year `first` to the year `last`, as far as they lie on the grid."""
    start, stop = max(first - years[0], 0), min(last - years[0] + 1, len(table))
    if start < stop:
        table[start:stop] = [0.0] * (stop - start)


def between(points: Sequence[tuple[int, float]], year: int) -> float:
    """The weight of a year: straight lines between the points in order, level beyond them."""
    if year <= points[0][0]:
        return points[0][1]
    if year >= points[-1][0]:
        return points[-1][1]
    at = bisect_right(points, year, key=lambda point: point[0])
    (left, low), (right, high) = points[at - 1], points[at]
    return low + (high - low) * (year - left) / (right - left)
