"""Years as rules tell them: windows with their ends and gaps, and curves over the years."""

from __future__ import annotations

from markrules.frozen import dataclass
from markrules.language.spans import Span, its_span


@dataclass(frozen=True, slots=True)
class Year:
    """A year in a window: absolute (`1911`), or relative to the year read off the piece.

    `year + 5` has `relative=True` and `number=5`; `now` is the last year of the grid and
    has `now=True`.
    """

    number: int
    relative: bool = False
    now: bool = False


@dataclass(frozen=True, slots=True)
class Window:
    """`from 1911, mostly 1925 to 1960, until 1990, except 1938 to 1945, fade 20`.

    `first` and `last` are hard termini. `mostly_first` and `mostly_last` bound the bulk;
    `mostly_last` is None for `onward` and `mostly_first` None for `mostly until`. `fade` is
    the length in years of a soft slope where no hard terminus stands. All are optional.
    """

    first: Year | None = None
    mostly_first: Year | None = None
    mostly_last: Year | None = None
    last: Year | None = None
    gaps: tuple[tuple[Year, Year], ...] = ()
    fade: int | None = None
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Wave:
    """One wave of a spread: `1938 1943 1950`, or `1970 to 2005`, level from end to end.

    `early`, `middle` and `late` are the years by which 10, 50 and 90% of its surviving pieces
    had been made; of a level wave (`middle` is None) they are its first and last year.
    `share` is its part of all waves; the first wave has what the others leave over.
    """

    early: Year
    middle: Year | None
    late: Year
    share: float | None = None


@dataclass(frozen=True, slots=True)
class Spread:
    """How the surviving pieces that show something lie over the years.

    `background` is the share that strays over all years, None where it is not said.
    """

    waves: tuple[Wave, ...]
    background: float | None = None
    span: Span = its_span()
