"""What a search gives: the makers that may stand behind a reading, and why."""

from __future__ import annotations

from markrules.frozen import dataclass
from markrules.language.windows import Window
from markrules.marks.alignment import Alignment
from markrules.marks.entries import MarkEntry
from markrules.marks.reading_syntax import MarkQuery
from markrules.marks.reading_variants import ReadingVariant
from markrules.marks.wear import Compiled


@dataclass(frozen=True, slots=True)
class ScoredMark:
    """A mark with the natural log of P(reading | mark), and the variant of the reading that
    gave it; `reading` is the same ready for scoring, None where no letter was read.
    `stands_for` is how many marks it represents (see `candidates.Candidate`).
    """

    entry: MarkEntry
    score: float
    variant: ReadingVariant
    reading: Compiled | None = None
    stands_for: float = 1.0


@dataclass(frozen=True, slots=True)
class MarkResult:
    """One maker that may stand behind a reading, by its likeliest mark.

    `score` is the natural log of P(what was read | mark); `probability` the posterior of the
    maker, beside all other makers and marks that are in no list. `aligned` shows the letters
    read over those of the mark (None where no letter was read). `assumed` says what must have
    happened to the mark, `tell_apart` what to look at to tell it from the result before (the
    first: from the second). `variants` are other marks of the maker that fit nearly as well.
    `used` are its years. `source` is empty for marks of the rules.
    """

    maker: str
    title: str
    mark: str
    text: str
    score: float
    probability: float
    aligned: Alignment | None
    assumed: tuple[str, ...]
    used: Window | None
    form: str
    method: str
    symbol: str
    tell_apart: str
    variants: tuple[str, ...] = ()
    years: str = ""
    note: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class SearchAnswer:
    """The results, best first.

    `none_of_these` is the probability that the mark is in no list; what is left to 1 lies with
    makers further down. `not_used` are phrases of the description that describe no mark.
    """

    query: MarkQuery
    results: tuple[MarkResult, ...]
    none_of_these: float
    not_used: tuple[str, ...] = ()
