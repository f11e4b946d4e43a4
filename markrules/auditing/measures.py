"""The figures of a set of pieces: how often ranges hold, how wide they are, how far off."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import mean, median

from markrules.auditing.calibration import (
    MASSES,
    NOMINAL,
    DatedPiece,
    ReliabilityBin,
    Share,
    coverage,
    crps,
    log_score,
    midpoint_error,
    pit,
    wilson,
    year_range,
)
from markrules.frozen import dataclass


@dataclass(frozen=True, slots=True)
class ScoredCurve:
    """A curve beside the stated years, with the years that a circa year may be off.

    `clues` is how many clues spoke of the years.
    """

    piece: DatedPiece
    tolerance: int = 0
    clues: int = 0


@dataclass(frozen=True, slots=True)
class Covered:
    """Ranges of one mass: how many held the stated midpoint, and how wide they were.

    `rounded` counts also the single circa years that lie within their tolerance of the range.
    """

    mass: float
    held: Share
    rounded: Share
    median_width: float


@dataclass(frozen=True, slots=True)
class AuditFigures:
    """The figures of a set of pieces.

    `median_error` is the median distance, in years, from the middle of the curve to the
    stated midpoint; `error_of_three` the same over the `with_three` pieces with three dated
    clues or more, None where there is none. `log_score` is the mean, in bits, 0 at best;
    `crps` the mean ranked probability score, in years, 0 at best. `pit` are the shares of
    stated midpoints in each tenth of their curves: alike where the curves are true.
    `reliability` compares the masses of ranges with the shares that hold.
    """

    count: int
    covered: tuple[Covered, ...]
    median_error: float
    error_of_three: float | None
    with_three: int
    log_score: float
    crps: float
    pit: tuple[float, ...]
    reliability: tuple[ReliabilityBin, ...]

    @property
    def gap(self) -> float:
        """The mean distance between what ranges are said to hold and the share that does."""
        return mean(abs(each.true.share - each.said) for each in self.reliability)

    def at(self, mass: float) -> Covered:
        """What was found for ranges of this mass, one of MASSES."""
        return next(each for each in self.covered if each.mass == mass)


def figures(scored: Sequence[ScoredCurve]) -> AuditFigures | None:
    """The figures of these pieces; None where there are none."""
    if not scored:
        return None
    pieces = [each.piece for each in scored]
    three = [each.piece for each in scored if each.clues >= 3]
    return AuditFigures(
        count=len(pieces),
        covered=tuple(_covered(scored, mass) for mass in MASSES),
        median_error=median(map(midpoint_error, pieces)),
        error_of_three=median(map(midpoint_error, three)) if three else None,
        with_three=len(three),
        log_score=mean(map(log_score, pieces)),
        crps=mean(map(crps, pieces)),
        pit=pit(pieces),
        reliability=tuple(
            ReliabilityBin(mass, coverage(pieces, mass).midpoints) for mass in NOMINAL
        ),
    )


def holds(scored: ScoredCurve, mass: float) -> bool:
    """Whether the range of this mass holds the stated midpoint, circa years rounded."""
    first, last = year_range(scored.piece, mass)
    return first - scored.tolerance <= scored.piece.midpoint <= last + scored.tolerance


def _covered(scored: Sequence[ScoredCurve], mass: float) -> Covered:
    strict = coverage([each.piece for each in scored], mass)
    rounded = sum(holds(each, mass) for each in scored)
    return Covered(mass, strict.midpoints, wilson(rounded, len(scored)), strict.median_width)
