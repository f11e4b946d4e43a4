"""The date curve and the windows of its clues as SVG: pure, without scripts or outside parts.

What matters is told by shape, height and words, never by colour alone: windows are filled where
they hold fully and hatched on their slopes, parts thought replaced are drawn as outlines, and
every row has its name and its years written beside it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape

from markrules.frozen import dataclass
from markrules.inference.reading import ClueReading, DateRange, Dating, Reading
from markrules.telling.limits import firm_limits
from markrules.telling.words import (
    bounds,
    likeliest,
    plain,
    shortened,
    visible,
    window_years,
    years,
    years_of,
)
from markrules.telling.years_shown import years_shown

WIDTH = 720
LABELS = 170
RIGHT = 82
CURVE = 96
ROW = 15
MOST_ROWS = 10
MOST_RUNS = 2
"""Runs of years that are written beside their bars; all of them are drawn."""

_STYLE = (
    ".d-t{font:10px Georgia,'Libertinus Serif',serif;fill:#1d1d1b}"
    ".d-small{font:8.5px Georgia,'Libertinus Serif',serif;fill:#4a4843}"
    ".d-axis{stroke:#4a4843;stroke-width:.7}.d-grid{stroke:#d8d4ca;stroke-width:.6}"
    ".d-curve{fill:#e9e3d4;stroke:#1d1d1b;stroke-width:1.1;stroke-linejoin:round}"
    ".d-bar{stroke:#1d1d1b;stroke-width:2.2}"
    ".d-full{fill:#57524a}.d-slope{fill:url(#fine)}"
    ".d-doubt{fill:none;stroke:#57524a;stroke-width:.9;stroke-dasharray:3 2}"
    ".d-limit{stroke:#1d1d1b;stroke-width:1.2;stroke-dasharray:1 2}"
)
"""All class names begin with `d-`: in a page, the style of a drawing reaches everywhere."""
_HATCH = (
    '<pattern id="fine" width="4" height="4" patternUnits="userSpaceOnUse"'
    ' patternTransform="rotate(45)">'
    '<path d="M0 0V4" stroke="#57524a" stroke-width="1.3"/></pattern>'
)


@dataclass(frozen=True, slots=True)
class Scale:
    """Years `first` to `last` over `width` units from `left`."""

    first: int
    last: int
    left: float
    width: float

    def x(self, year: float) -> float:
        """Where a year begins."""
        place = self.left + (year - self.first) * self.width / (self.last - self.first + 1)
        return round(min(self.left + self.width, max(self.left, place)), 1)


def date_drawing(reading: Reading, width: int = WIDTH) -> str:
    """An SVG element: the curve, its range, hard limits, and a row for each clue."""
    first, last = years_shown(reading)
    scale = Scale(first, last, LABELS, width - LABELS - RIGHT)
    clues = strongest(reading.clues)
    rows_top = CURVE + 44
    height = rows_top + ROW * len(clues) + 6
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img"'
        f' aria-labelledby="dt dd"><title id="dt">{_title(reading.date)}</title>'
        f'<desc id="dd">{_described(reading, clues)}</desc>'
        f"<defs>{_HATCH}</defs><style>{_STYLE}</style>",
        *_grid(scale, height),
        *_curve(reading.date, scale),
        *_ranges(reading.date, scale),
        *_axis(scale),
        *_limits(reading, scale),
    ]
    for row, clue in enumerate(clues):
        parts += _clue(clue, reading, scale, rows_top + ROW * row)
    return "".join((*parts, "</svg>"))


def strongest(clues: Sequence[ClueReading]) -> list[ClueReading]:
    """The clues to draw, those that told most first; never more than a sheet has room for."""
    return sorted(clues, key=lambda clue: -clue.bits)[:MOST_ROWS]


def _title(date: Dating) -> str:
    return f"When it was made: {years_of(date)}"


def _described(reading: Reading, clues: Sequence[ClueReading]) -> str:
    words = [f"{plain(clue.clue)}: {window_years(clue)}" for clue in clues]
    return escape(visible("; ".join([likeliest(reading.date), *words])))


def ticks(first: int, last: int) -> list[int]:
    """Round years, at most a dozen of them."""
    step = next((s for s in (5, 10, 20, 25, 50) if (last - first) / s <= 12), 50)
    return [year for year in range(first, last + 1) if year % step == 0]


def _grid(scale: Scale, height: float) -> Iterator[str]:
    for year in ticks(scale.first, scale.last):
        x = scale.x(year)
        yield f'<path class="d-grid" d="M{x} 12V{height - 4}"/>'


def _heights(date: Dating, scale: Scale) -> list[float]:
    shown = [_at(date.curve, year - date.first_year) for year in range(scale.first, scale.last + 1)]
    top = max(shown) or 1.0
    return [round(CURVE - share / top * (CURVE - 16), 1) for share in shown]


def _curve(date: Dating, scale: Scale) -> Iterator[str]:
    heights = _heights(date, scale)
    points = [f"{scale.x(scale.first + at + 0.5)} {height}" for at, height in enumerate(heights)]
    left, right = scale.x(scale.first), scale.x(scale.last + 1)
    line = " L".join(points)
    yield f'<path class="d-curve" d="M{left} {CURVE} L{line} L{right} {CURVE}Z"/>'
    yield f'<text class="d-small" x="{LABELS - 8}" y="22" text-anchor="end">how likely</text>'
    yield f'<text class="d-small" x="{LABELS - 8}" y="33" text-anchor="end">each year is</text>'


def _ranges(date: Dating, scale: Scale) -> Iterator[str]:
    told: Sequence[DateRange] = date.years if len(date.years) > 1 else (date.range,)
    stretches = [*told, *((date.second,) if date.second is not None and len(told) == 1 else ())]
    y = CURVE + 26
    yield f'<text class="d-t" x="{LABELS - 8}" y="{y + 4}" text-anchor="end">range</text>'
    for stretch in stretches:
        left, right = scale.x(stretch.first), scale.x(stretch.last + 1)
        ends = "".join(f"M{x} {y - 5}V{y + 5}" for x in (left, right))
        yield f'<path class="d-bar" d="M{left} {y}H{right}{ends}"/>'
    lines = [bounds(each.first, each.last) for each in told[:MOST_RUNS]]
    if len(told) > MOST_RUNS:
        lines[-1] += " …"
    top = y + 4 - 5.5 * (len(lines) - 1)
    for row, words in enumerate(lines):
        said = f"or {words}" if row else words
        x = scale.left + scale.width + 8
        yield f'<text class="d-t" x="{x}" y="{round(top + 11 * row, 1)}">{said}</text>'


def _axis(scale: Scale) -> Iterator[str]:
    yield f'<path class="d-axis" d="M{scale.left} {CURVE}H{scale.left + scale.width}"/>'
    for year in ticks(scale.first, scale.last):
        x = scale.x(year)
        yield f'<text class="d-small" x="{x}" y="{CURVE + 12}" text-anchor="middle">{year}</text>'


def _limits(reading: Reading, scale: Scale) -> Iterator[str]:
    first, last = firm_limits(reading)
    for year, word, side in ((first, "not before", "start"), (last, "not after", "end")):
        if year is not None and scale.first <= year <= scale.last:
            x = scale.x(year if side == "start" else year + 1)
            shift = 3 if side == "start" else -3
            yield f'<path class="d-limit" d="M{x} 8V{CURVE}"/>'
            yield (
                f'<text class="d-small" x="{x + shift}" y="10" text-anchor="{side}">'
                f"{word} {year}</text>"
            )


def _clue(clue: ClueReading, reading: Reading, scale: Scale, top: float) -> Iterator[str]:
    base = round(top + ROW - 4, 1)
    doubted = clue.branches.original < 0.5
    label = escape(shortened(visible(plain(clue.clue)), 30))
    yield f'<text class="d-small" x="{LABELS - 8}" y="{base}" text-anchor="end">{label}</text>'
    heights = [
        _at(clue.window, year - reading.date.first_year)
        for year in range(scale.first, scale.last + 1)
    ]
    if doubted and clue.last >= scale.first and clue.first <= scale.last:
        yield _block("doubt", scale, clue.first - scale.first, clue.last - scale.first, base)
    for first, last, full in () if doubted else _runs(heights):
        if full:
            yield _block("full", scale, first, last, base)
        else:
            yield _slope(scale, heights, first, last, base)
    # Which years the gaps are shows in the bar, and is told in words elsewhere: here is no room.
    gaps = " (gaps)" if clue.gaps else ""
    words = f"{years(clue.first, clue.last)}{gaps}{' ?' if doubted else ''}"
    yield f'<text class="d-small" x="{scale.left + scale.width + 8}" y="{base}">{words}</text>'


def _block(kind: str, scale: Scale, first: int, last: int, base: float) -> str:
    left, right = scale.x(scale.first + first), scale.x(scale.first + last + 1)
    width = round(right - left, 1)
    return f'<rect class="d-{kind}" x="{left}" y="{base - 8}" width="{width}" height="8"/>'


def _slope(scale: Scale, heights: Sequence[float], first: int, last: int, base: float) -> str:
    points = [f"{scale.x(scale.first + first)} {base}"]
    for at in range(first, last + 1):
        y = round(base - 8 * min(1.0, heights[at]), 1)
        points += [f"{scale.x(scale.first + at)} {y}", f"{scale.x(scale.first + at + 1)} {y}"]
    points.append(f"{scale.x(scale.first + last + 1)} {base}")
    return f'<path class="d-slope" d="M{" L".join(points)}Z"/>'


def _runs(heights: Sequence[float]) -> Iterator[tuple[int, int, bool]]:
    """(first, last, full) for each run of years where a window holds fully, or in part."""
    start, kind = 0, _kind(heights[0]) if heights else 0
    for at in range(1, len(heights) + 1):
        now = _kind(heights[at]) if at < len(heights) else -1
        if now != kind:
            if kind:
                yield start, at - 1, kind == 2
            start, kind = at, now


def _kind(height: float) -> int:
    return 2 if height > 0.97 else 1 if height > 0.03 else 0


def _at(values: Sequence[float], index: int) -> float:
    return values[index] if 0 <= index < len(values) else 0.0
