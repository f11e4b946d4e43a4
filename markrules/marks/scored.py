"""A mark with its score, before it is made into a result."""

from __future__ import annotations

from dataclasses import dataclass

from markrules.marks.entries import MarkEntry
from markrules.marks.reading_variants import ReadingVariant
from markrules.marks.wear import Compiled


@dataclass(frozen=True, slots=True)
class Scored:
    """A mark with the natural log of P(reading | mark), and the variant of the reading that
    gave it; `reading` is the same ready for scoring, None where no letter was read.
    `stands_for` is how many marks it represents (see `candidates.Candidate`).
    """

    entry: MarkEntry
    score: float
    variant: ReadingVariant
    reading: Compiled | None = None
    stands_for: float = 1.0
