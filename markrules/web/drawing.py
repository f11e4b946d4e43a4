"""The date curve and the windows of clues, worked out as lines and places for an SVG.

Places across are percentages of the whole width, so that a drawing fits any screen and its
letters keep their size; heights run from 0 (top) to 100.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from math import cos, pi, sin
from typing import TYPE_CHECKING

from markrules.frozen import dataclass
from markrules.inference.reading import ClueReading, DateRange, Dating, Reading
from markrules.telling.drawings import drawing
from markrules.telling.years_shown import runs_drawn, years_shown

if TYPE_CHECKING:
    from markupsafe import Markup


@cache
def drawn(feature: str, value: str, *, named: bool = True) -> Markup | None:
    """The drawing of a value as an SVG element, or None where there is none.

    Where the words beside it say the same (`named` is False), it is kept from screen readers.
    The drawings are files of this package: nothing that a user wrote is in them.
    """
    from markupsafe import Markup

    found = drawing(feature, value)
    if found is None:
        return None
    if not named:
        found = found.replace('role="img"', 'aria-hidden="true" focusable="false"', 1)
    return Markup(found)


TICKS = 6
HEIGHT = 100.0


@dataclass(frozen=True, slots=True)
class YearsDrawn:
    """Years drawn from `first` to `last`, both included."""

    first: int
    last: int

    @property
    def years(self) -> int:
        """How many years are drawn."""
        return self.last - self.first + 1

    def start(self, year: int) -> float:
        """Where a year begins, in percent of the width."""
        return round(100 * min(max(0, year - self.first), self.years) / self.years, 2)

    def middle(self, year: int) -> float:
        """Where the middle of a year lies."""
        return round(100 * (year - self.first + 0.5) / self.years, 2)


@dataclass(frozen=True, slots=True)
class Band:
    """A stretch of years: where it begins and how wide it is, in percent."""

    x: float
    width: float
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class YearTick:
    """A year named under the curve. `anchor` is that of SVG: start, middle or end."""

    year: int
    x: float
    anchor: str


@dataclass(frozen=True, slots=True)
class Strip:
    """The window of a clue: its outline, and what is said beside it."""

    clue: ClueReading
    outline: str


@dataclass(frozen=True, slots=True)
class DrawnCurve:
    """The whole drawing. `ghost` is the outline of another curve to compare with, or empty."""

    span: YearsDrawn
    outline: str
    line: str
    bands: tuple[Band, ...]
    likeliest: float
    ticks: tuple[YearTick, ...]
    strips: tuple[Strip, ...]
    ghost: str
    words: str


def curve_of(reading: Reading, before: Dating | None = None) -> DrawnCurve:
    """The drawing of a reading; `before` is drawn as a line behind it, to the same scale."""
    date = reading.date
    span = YearsDrawn(*years_shown(reading, before))
    top = max([*date.curve, *(before.curve if before is not None else ())]) or 1.0
    line = _line(date, span, top)
    return DrawnCurve(
        span=span,
        outline=f"M0 {HEIGHT:g} L{line} L{span.years} {HEIGHT:g} Z",
        line=f"M{line}",
        bands=tuple(_band(each, span) for each in runs_drawn(date)),
        likeliest=span.middle(date.likeliest),
        ticks=_ticks(span),
        strips=tuple(Strip(each, _window(each, date.first_year, span)) for each in reading.clues),
        ghost="" if before is None else f"M{_line(before, span, top)}",
        words=_words(date),
    )


def strip_of(table: Sequence[float], first_year: int, span: YearsDrawn) -> str:
    """The outline of a table of shares from 0 to 1, drawn over the years of `span`."""
    return _steps([_at(table, year - first_year) for year in _every(span)])


def ticks_of(span: YearsDrawn) -> tuple[YearTick, ...]:
    """The years named under a drawing."""
    return _ticks(span)


def _line(date: Dating, span: YearsDrawn, top: float) -> str:
    """The curve through the middle of each year, 8 units of air above the highest."""
    heights = [_at(date.curve, year - date.first_year) / top for year in _every(span)]
    middles = [f"{place + 0.5:g} {_down(height)}" for place, height in enumerate(heights)]
    ends = f"0 {_down(heights[0])}", f"{span.years} {_down(heights[-1])}"
    return " L".join([ends[0], *middles, ends[1]])


def _window(clue: ClueReading, first_year: int, span: YearsDrawn) -> str:
    return strip_of(clue.window, first_year, span)


def _steps(heights: Sequence[float]) -> str:
    """An area from the ground up; neighbours of one height are drawn as one line."""
    places = [f"M0 {HEIGHT:g}"]
    last = -1.0
    for place, height in enumerate(heights):
        if height != last:
            places.append(f"L{place} {_up(last if place else height)} L{place} {_up(height)}")
            last = height
    return " ".join([*places, f"L{len(heights)} {_up(last)} L{len(heights)} {HEIGHT:g} Z"])


def _down(share: float) -> str:
    return f"{HEIGHT - share * 0.92 * HEIGHT:.1f}"


def _up(share: float) -> str:
    return f"{HEIGHT - max(0.0, share) * HEIGHT:.0f}"


def _band(stretch: DateRange, span: YearsDrawn) -> Band:
    start, end = span.start(stretch.first), span.start(stretch.last + 1)
    return Band(start, round(end - start, 2), stretch.first, stretch.last)


def _ticks(span: YearsDrawn) -> tuple[YearTick, ...]:
    step = next((each for each in (10, 20, 25, 50) if span.years / each <= TICKS), 50)
    found = []
    for year in range(span.first, span.last + 1):
        if year % step == 0:
            x = span.middle(year)
            found.append(YearTick(year, x, "start" if x < 5 else "end" if x > 95 else "middle"))
    return tuple(found)


def _words(date: Dating) -> str:
    """What the drawing shows, for those who do not see it."""
    said = [f"{each.mass:.0%} from {each.first} to {each.last}" for each in date.years]
    if len(said) < 2:
        said = [f"{date.range.mass:.0%} lies from {date.range.first} to {date.range.last}"]
        if date.second is not None:
            second = date.second
            said.append(f"{second.mass:.0%} from {second.first} to {second.last}")
    parts = ", and ".join([", ".join(said[:-1]), said[-1]] if len(said) > 1 else said)
    return f"Years against how likely each is: highest at {date.likeliest}; {parts}."


def _every(span: YearsDrawn) -> range:
    return range(span.first, span.last + 1)


def _at(values: Sequence[float], index: int) -> float:
    return values[index] if 0 <= index < len(values) else 0.0


def lamp_place(hour: float) -> tuple[float, float]:
    """Where a lamp at an hour of the clock face is drawn, on a face of 100 by 100."""
    angle = hour * pi / 6
    return round(50 + 40 * sin(angle), 1), round(50 - 40 * cos(angle), 1)
