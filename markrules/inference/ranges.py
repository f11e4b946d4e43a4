"""Ranges, modes and centres of a curve over years. Positions count from 0 at the first year."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from itertools import accumulate, repeat
from operator import sub

from markrules.frozen import dataclass

USUAL_MASS = 0.8
"""The probability that a range holds where nothing else is asked for."""

_SLACK = 1e-12
"""Masses this close are taken as equal, so that rounding decides nothing."""


@dataclass(frozen=True, slots=True)
class Run:
    """Positions `first` to `last`, both included, and the probability on them."""

    first: int
    last: int
    mass: float


def shortest_run(sums: Sequence[float], mass: float, first: int = 0, last: int = -1) -> Run:
    """The shortest run of years holding at least `mass`: the highest-density interval.

    `sums` are the running sums of a curve. Only positions `first` to `last` are looked at
    (all, when left out); if together they hold less than `mass`, the run is all of them.
    Of several runs of the same length, the one with the greatest probability is chosen; of
    several with the same probability, the middle one.
    """
    stop = len(sums) - 1 if last < 0 else last + 1
    need = min(mass - _SLACK, sums[stop] - sums[first])
    if need <= 0:
        return Run(first, stop - 1, sums[stop] - sums[first])
    # For each end (exclusive) that a run can have, its latest beginning; the shortest wins.
    ends = range(max(bisect_left(sums, sums[first] + need, first, stop), first + 1), stop + 1)
    latest = [sums[end] - need for end in ends]
    begins = [at - 1 for at in map(bisect_right, repeat(sums), latest, repeat(first + 1))]
    lengths = list(map(sub, ends, begins))
    length = min(lengths)
    shortest = [begin for begin, each in zip(begins, lengths, strict=True) if each == length]
    held = [sums[begin + length] - sums[begin] for begin in shortest]
    most = max(held) - _SLACK
    best = [begin for begin, each in zip(shortest, held, strict=True) if each >= most]
    begin = best[len(best) // 2]
    return Run(begin, begin + length - 1, sums[begin + length] - sums[begin])


def densest_runs(curve: Sequence[float], mass: float, gap: int) -> list[Run]:
    """The runs of years that together hold `mass` in the fewest years, in order.

    The highest-density region (R. J. Hyndman, Computing and Graphing Highest Density Regions,
    The American Statistician 50(2), 1996): the likeliest years first, until they hold enough.
    Runs with at most `gap` years between them are told as one.
    """
    held, chosen = 0.0, []
    for at in sorted(range(len(curve)), key=lambda each: (-curve[each], each)):
        chosen.append(at)
        held += curve[at]
        if held >= mass - _SLACK:
            break
    chosen.sort()
    ends = [[chosen[0], chosen[0]]]
    for at in chosen[1:]:
        if at - ends[-1][1] <= gap + 1:
            ends[-1][1] = at
        else:
            ends.append([at, at])
    return [Run(first, last, sum(curve[first : last + 1])) for first, last in ends]


def level_top(curve: Sequence[float], share: float) -> tuple[int, int]:
    """The positions around the peak between which the curve stays above `share` of it."""
    peak = likeliest(curve)
    least = share * max(curve)
    first = last = peak
    while first > 0 and curve[first - 1] >= least:
        first -= 1
    while last + 1 < len(curve) and curve[last + 1] >= least:
        last += 1
    return first, last


def median(sums: Sequence[float]) -> int:
    """The first position up to which half of the probability lies."""
    return min(bisect_left(sums, 0.5 * sums[-1]) - 1, len(sums) - 2) if sums[-1] > 0 else 0


def likeliest(curve: Sequence[float]) -> int:
    """The position of the peak; of a level top, its middle."""
    peak = max(curve)
    first = last = curve.index(peak)
    while last + 1 < len(curve) and curve[last + 1] >= peak * (1.0 - _SLACK):
        last += 1
    return (first + last) // 2


def second_run(
    curve: Sequence[float], sums: Sequence[float], run: Run, mass: float, least: float
) -> Run | None:
    """Another run of years that stands apart from `run`, or None.

    Two modes are apart when some year between their peaks lies below half of the lower peak.
    What lies beyond the lowest year between them is the second mode's ground, and must hold
    `least` or more. The run given is the shortest on that ground holding `mass` of what the
    ground holds, and never less than `least`. The better of the two sides is taken.
    """
    found = []
    for side, outside in ((-1, sums[run.first]), (1, sums[-1] - sums[run.last + 1])):
        ground = _ground(curve, run, side) if outside >= least else None
        if ground is not None:
            first, last = ground
            share = sums[last + 1] - sums[first]
            if share >= least:
                found.append(shortest_run(sums, max(least, mass * share), first, last))
    return max(found, key=lambda each: each.mass, default=None)


def _ground(curve: Sequence[float], run: Run, side: int) -> tuple[int, int] | None:
    """The positions outside `run`, before it (-1) or after it (1), with a mode of their own."""
    outward = range(run.last + 1, len(curve)) if side > 0 else range(run.first - 1, -1, -1)
    centre = max(curve[run.first : run.last + 1])
    beyond = list(accumulate((curve[at] for at in reversed(outward)), max))[::-1]
    lows = [step for step, at in enumerate(outward) if curve[at] < 0.5 * min(beyond[step], centre)]
    if not lows:
        return None
    heights = [curve[each] for each in outward]
    peak = heights.index(beyond[lows[0]], lows[0])
    valley = min(outward[: peak + 1], key=curve.__getitem__)
    return (valley, len(curve) - 1) if side > 0 else (0, valley)
