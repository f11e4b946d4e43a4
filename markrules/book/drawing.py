"""Windows and priors drawn as small SVG pictures, one unit of width to a year."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape

from markrules.inference.clues import is_relative
from markrules.inference.settings import Settings
from markrules.inference.years import resolve, window_table
from markrules.language.tree import Prior, Window
from markrules.telling.conditions import window_words

HEIGHT = 22
BASE = 20
JUMP = 0.2
"""A step this high from one year to the next is drawn upright."""

LABELLED = (1800, 1850, 1900, 1950, 2000)


def window_drawing(window: Window | None, years: range, settings: Settings) -> str:
    """The window over the grid of years; empty where it counts from a year read off the piece."""
    if window is None or is_relative(window) or not years:
        return ""
    ends = resolve(window, years, settings)
    table = window_table(ends, years)
    hard = [
        f"M{year - years[0] + side}.5 2V{BASE}"
        for year, side in ((ends.first, -1), (ends.last, 0))
        if year is not None and year in years
    ]
    limits = f'<path class="limit" d="{"".join(hard)}"/>' if hard else ""
    shape = f'<path class="bulk" d="{_outline(table)}"/>'
    return _framed(years, escape(window_words(window)), shape + limits)


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


def _outline(table: Sequence[float]) -> str:
    points = [f"{x:g} {BASE - 16 * value:.1f}".replace(".0", "") for x, value in _corners(table)]
    return f"M0 {BASE}L{'L'.join(points)}L{len(table)} {BASE}Z"


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
