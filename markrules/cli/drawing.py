"""Drawings for the terminal: the date curve and the clues' windows, in plain characters.

Everything here returns lines of text no wider than asked. Height and darkness carry the
meaning, never colour, so the drawing reads the same when piped to a file.
"""

from __future__ import annotations

from collections.abc import Sequence

from markrules.frozen import dataclass
from markrules.inference.reading import ClueReading, Dating, Reading
from markrules.telling.words import shorten
from markrules.telling.years_shown import runs_drawn, years_shown

LABEL_WIDTH = 24
CURVE_ROWS = 5


@dataclass(frozen=True, slots=True)
class Inks:
    """The characters of a drawing: `steps` fill a cell from below, `shades` darken it."""

    steps: str
    shades: str
    range_left: str
    range_line: str
    range_right: str
    rule: str
    tick: str


UNICODE = Inks(" ▁▂▃▄▅▆▇█", " ░▒▓█", "├", "─", "┤", "─", "┴")
ASCII = Inks(" .:-=+*%#", " .:+#", "[", "=", "]", "-", "+")


def inks_for(encoding: str | None) -> Inks:
    """Block characters where the terminal's encoding has them, ASCII elsewhere."""
    try:
        UNICODE.steps.encode(encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return ASCII
    return UNICODE


def draw(
    reading: Reading, width: int, inks: Inks, *, rows: int = CURVE_ROWS, windows: bool = True
) -> list[str]:
    """The date curve in so many rows, its range, and the window of each clue under it if asked."""
    columns = max(20, width - LABEL_WIDTH)
    first, last = years_shown(reading)
    scale = _Scale(first, last, columns)
    lines = _curve_lines(reading.date, scale, inks, rows)
    lines.append(_label("range") + _range_line(reading.date, scale, inks))
    lines.append(_label("") + _axis(scale, inks))
    lines.append(_label("") + _axis_years(scale))
    for clue in reading.clues if windows else ():
        lines.append(_label(_clue_label(clue)) + _window_line(clue, reading, scale, inks))
    return [line.rstrip() for line in lines]


@dataclass(frozen=True, slots=True)
class _Scale:
    first: int
    last: int
    columns: int

    def column(self, year: int) -> int:
        span = self.last - self.first + 1
        return min(self.columns - 1, max(0, (year - self.first) * self.columns // span))

    def years(self, column: int) -> range:
        span = self.last - self.first + 1
        start = self.first + column * span // self.columns
        end = self.first + (column + 1) * span // self.columns
        return range(start, max(start + 1, end))


def _curve_lines(date: Dating, scale: _Scale, inks: Inks, rows: int) -> list[str]:
    heights = [
        sum(_at(date.curve, year - date.first_year) for year in scale.years(column))
        / len(scale.years(column))
        for column in range(scale.columns)
    ]
    top = max(heights) or 1.0
    full = len(inks.steps) - 1
    eighths = [round(height / top * rows * full) for height in heights]
    lines = []
    for row in reversed(range(rows)):
        cells = "".join(inks.steps[min(full, max(0, e - row * full))] for e in eighths)
        lines.append(_label("how likely" if row == rows - 1 else "") + cells)
    return lines


def _range_line(date: Dating, scale: _Scale, inks: Inks) -> str:
    cells = [" "] * scale.columns
    for years in runs_drawn(date):
        start, end = scale.column(years.first), scale.column(years.last)
        cells[start : end + 1] = inks.range_line * (end - start + 1)
        cells[start], cells[end] = inks.range_left, inks.range_right
    return "".join(cells)


def _axis(scale: _Scale, inks: Inks) -> str:
    cells = [inks.rule] * scale.columns
    for year in _ticks(scale):
        cells[scale.column(year)] = inks.tick
    return "".join(cells)


def _axis_years(scale: _Scale) -> str:
    cells = [" "] * (scale.columns + 4)
    for year in _ticks(scale):
        start = max(0, min(scale.columns - 4, scale.column(year) - 1))
        if all(cell == " " for cell in cells[max(0, start - 1) : start + 5]):
            cells[start : start + 4] = str(year)
    return "".join(cells)[: scale.columns]


def _ticks(scale: _Scale) -> list[int]:
    span = scale.last - scale.first
    step = next((s for s in (10, 20, 25, 50) if span / s * 6 <= scale.columns), 50)
    return [year for year in range(scale.first, scale.last + 1) if year % step == 0]


def _window_line(clue: ClueReading, reading: Reading, scale: _Scale, inks: Inks) -> str:
    first_year = reading.date.first_year
    darkest = len(inks.shades) - 1
    cells = []
    for column in range(scale.columns):
        years = scale.years(column)
        height = max(_at(clue.window, year - first_year) for year in years)
        cells.append(inks.shades[min(darkest, int(height * darkest + 0.5))])
    return "".join(cells)


def _clue_label(clue: ClueReading) -> str:
    return clue.clue.replace("-", " ")


def _at(values: Sequence[float], index: int) -> float:
    return values[index] if 0 <= index < len(values) else 0.0


def _label(text: str) -> str:
    return f"{shorten(text, LABEL_WIDTH - 1):<{LABEL_WIDTH - 1}} "
