"""Windows, curves and priors drawn as small SVG pictures, one unit of width to a year."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from html import escape
from math import inf

from markrules.inference.clues import is_relative
from markrules.inference.settings import Settings
from markrules.inference.spreads import humps, humps_table
from markrules.inference.years import resolve, window_table
from markrules.language.tree import Prior
from markrules.language.windows import Spread, Window
from markrules.telling.conditions import spread_words, window_words

HEIGHT = 22
BASE = 20
JUMP = 0.2
"""A step this high from one year to the next is drawn upright."""

NEAR = 0.02
"""How far, as a share of its height, a drawn curve may lie from the one that is meant."""

LABELLED = (1800, 1850, 1900, 1950, 2000)


def window_drawing(window: Window | None, years: range, settings: Settings) -> str:
    """The window over the grid of years; empty where it counts from a year read off the piece."""
    if window is None or is_relative(window) or not years:
        return ""
    ends = resolve(window, years, settings)
    shape = f'<path class="bulk" d="{_outline(window_table(ends, years))}"/>'
    limits = _limits(ends.first, ends.last, years)
    return _framed(years, escape(window_words(window)), shape + limits)


def spread_drawing(spread: Spread, window: Window | None, years: range, settings: Settings) -> str:
    """How the surviving pieces lie over the years, between the hard limits of their window.

    The share that strays lies evenly under the curve. Empty where the years count from one read
    off the piece, or none is left.
    """
    bounds = window or Window()
    if not years or is_relative(bounds) or _counts_from_a_year(spread):
        return ""
    ends = resolve(bounds, years, settings)
    waves = humps(spread, years[-1], (0, 0))
    table = humps_table(waves, years, ends.first, ends.last, settings.wave_seam)
    if table is None:
        return ""
    given = settings.background if spread.background is None else spread.background
    allowed = [
        (ends.first is None or year >= ends.first)
        and (ends.last is None or year <= ends.last)
        and not any(low <= year <= high for low, high in ends.gaps)
        for year in years
    ]
    stray = given / sum(allowed) if any(allowed) else 0.0
    curve = [((1 - given) * p + stray) * may for p, may in zip(table, allowed, strict=True)]
    peak = max(curve)
    if peak <= 0:
        return ""
    line = _path(_thinned([value / peak for value in curve]), len(years))
    shape = f'<path class="bulk" d="{line}"/>'
    limits = _limits(ends.first, ends.last, years)
    return _framed(years, escape(spread_words(spread)), shape + limits)


def prior_drawing(prior: Prior, years: range) -> str:
    """The weights of a prior over the grid of years."""
    peak = max((weight for _, weight in prior.points), default=0.0)
    inside = [(year, weight) for year, weight in sorted(prior.points) if year in years]
    if peak <= 0 or not inside:
        return ""
    line = "L".join(f"{year - years[0]} {BASE - 17 * weight / peak:.1f}" for year, weight in inside)
    first, last = inside[0][0] - years[0], inside[-1][0] - years[0]
    shape = f'<path class="bulk" d="M{first} {BASE}L{line}L{last} {BASE}Z"/>'
    return _framed(years, "how common pieces of each year are", shape)


def axis(years: range) -> str:
    """The scale under every window, kept once on a page."""
    width, labelled = len(years), [year for year in LABELLED if year in years]
    ticks = "".join(f"M{year - years[0]} {BASE}v3" for year in labelled)
    texts = "".join(
        f'<text class="year" x="{year - years[0]}" y="32">{year}</text>' for year in labelled
    )
    return (
        '<svg class="hidden" width="0" height="0" aria-hidden="true">'
        f'<symbol id="axis" viewBox="0 0 {width} 34" overflow="visible">'
        f'<path class="axis" d="M0 {BASE}H{width}{ticks}"/>{texts}</symbol></svg>'
    )


def _framed(years: range, label: str, inside: str) -> str:
    width = len(years)
    return (
        f'<svg class="window" viewBox="0 0 {width} 34" role="img" aria-label="{label}">'
        f'{inside}<use href="#axis" width="{width}" height="34"/></svg>'
    )


def _counts_from_a_year(spread: Spread) -> bool:
    return any(
        year is not None and year.relative
        for wave in spread.waves
        for year in (wave.early, wave.middle, wave.late)
    )


def _limits(first: int | None, last: int | None, years: range) -> str:
    hard = [
        f"M{year - years[0] + side}.5 2V{BASE}"
        for year, side in ((first, -1), (last, 0))
        if year is not None and year in years
    ]
    return f'<path class="limit" d="{"".join(hard)}"/>' if hard else ""


def _outline(table: Sequence[float]) -> str:
    return _path(_corners(table), len(table))


def _path(corners: Iterable[tuple[float, float]], width: int) -> str:
    points = [f"{x:g} {BASE - 16 * value:.1f}".replace(".0", "") for x, value in corners]
    return f"M0 {BASE}L{'L'.join(points)}L{width} {BASE}Z"


def _thinned(table: Sequence[float]) -> Iterator[tuple[float, float]]:
    """So few of a curve's points that straight lines between them lie NEAR it everywhere.

    Each line is drawn as far as it goes; a steep rise from nothing is drawn upright.
    """
    at, last = 0, len(table) - 1
    yield 0, table[0]
    while at < last:
        end = _farthest(table, at)
        if end == at + 1 and min(table[at], table[end]) == 0.0 < JUMP < table[at] + table[end]:
            yield at + 0.5, table[at]
            yield at + 0.5, table[end]
        yield end, table[end]
        at = end


def _farthest(table: Sequence[float], start: int) -> int:
    """The farthest point to which a straight line passes NEAR every point between.

    Each point that is passed narrows the slopes that a line may have.
    """
    least, most, origin = -inf, inf, table[start]
    for end in range(start + 1, len(table)):
        rise, run = table[end] - origin, end - start
        if not least <= rise / run <= most:
            return end - 1
        least, most = max(least, (rise - NEAR) / run), min(most, (rise + NEAR) / run)
    return len(table) - 1


def _corners(table: Sequence[float]) -> Iterator[tuple[float, float]]:
    """The points where the line through the table turns."""
    last = len(table) - 1
    for at, value in enumerate(table):
        before, after = table[max(at - 1, 0)], table[min(at + 1, last)]
        if abs(value - before) > JUMP:
            yield at - 0.5, before
            yield at - 0.5, value
        turns = abs((value - before) - (after - value)) > 1e-9
        if turns or at in (0, last):
            yield at, value
