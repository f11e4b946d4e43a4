"""How well stated confidence holds, over pieces whose years are known from elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate
from math import log2, sqrt
from statistics import mean, median

from markrules.frozen import dataclass
from markrules.inference import ranges
from markrules.inference.reading import ClueReading, Dating, Reading

MASSES = (0.5, 0.8, 0.9, 0.95)
NOMINAL = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95)
"""Masses at which the reliability of ranges is drawn."""

PIT_BINS = 10
"""Bins of equal width in the histogram of the probability integral transform."""

SCORE_MARGIN = 5
"""Years on each side of the stated midpoint that the log score always takes in."""

PIT_LEAST = 1e-9
"""A year with less probability, in bins, is a point of the histogram."""

SCORE_FLOOR = 2.0**-20
"""Least mass that the log score tells apart, so that one impossible year does not rule it."""

LEAST_MISREAD = 1e-6
"""No clue is taken for surer than this, so that its logarithm can be told."""

Z95 = 1.959963984540054
"""The 97.5 % point of the standard normal distribution."""


@dataclass(frozen=True, slots=True)
class DatedPiece:
    """A curve of years that starts at `first_year`, and the years that a source states."""

    curve: tuple[float, ...]
    first_year: int
    stated_from: int
    stated_to: int

    @property
    def midpoint(self) -> float:
        """The middle of the stated years."""
        return (self.stated_from + self.stated_to) / 2


@dataclass(frozen=True, slots=True)
class Share:
    """`held` of `count`, with the ends of its 95 % confidence interval (Wilson)."""

    held: int
    count: int
    low: float
    high: float

    @property
    def share(self) -> float:
        """The share itself; 0 where nothing was counted."""
        return self.held / self.count if self.count else 0.0


@dataclass(frozen=True, slots=True)
class Coverage:
    """Ranges of one mass: how many held the stated midpoint, and how wide they were in years."""

    mass: float
    midpoints: Share
    median_width: float


@dataclass(frozen=True, slots=True)
class ReliabilityBin:
    """What was said with probabilities around `said`, and the share that was true."""

    said: float
    true: Share


@dataclass(frozen=True, slots=True)
class Calibration:
    """How the curves of a set of pieces fit the stated years.

    `median_error` is the median distance, in years, of the curve's median from the stated
    midpoint. `log_score` is the mean of `log_score` over the pieces, in bits (0 is best).
    `reliability` compares the mass of ranges with the share that hold the midpoint.
    """

    count: int
    coverage: tuple[Coverage, ...]
    median_error: float
    log_score: float
    reliability: tuple[ReliabilityBin, ...]


def dated(dating: Dating, stated_from: int, stated_to: int) -> DatedPiece:
    """A reading's dating beside the stated years."""
    return DatedPiece(dating.curve, dating.first_year, stated_from, stated_to)


def calibration(pieces: Sequence[DatedPiece], masses: Sequence[float] = MASSES) -> Calibration:
    """The calibration of a set of pieces. Raises ValueError when there are none."""
    if not pieces:
        raise ValueError("no dated pieces to compare with")
    return Calibration(
        count=len(pieces),
        coverage=tuple(coverage(pieces, mass) for mass in masses),
        median_error=median(map(midpoint_error, pieces)),
        log_score=mean(map(log_score, pieces)),
        reliability=tuple(
            ReliabilityBin(mass, coverage(pieces, mass).midpoints) for mass in NOMINAL
        ),
    )


def coverage(pieces: Sequence[DatedPiece], mass: float) -> Coverage:
    """How often the shortest range of this mass holds the stated midpoint, and its width."""
    found = [year_range(each, mass) for each in pieces]
    held = sum(
        first <= piece.midpoint <= last for piece, (first, last) in zip(pieces, found, strict=True)
    )
    return Coverage(
        mass, wilson(held, len(pieces)), median(last - first + 1 for first, last in found)
    )


def year_range(piece: DatedPiece, mass: float) -> tuple[int, int]:
    """The shortest range of years holding the mass, first and last."""
    run = ranges.shortest_run(_sums(piece), mass)
    return piece.first_year + run.first, piece.first_year + run.last


def midpoint_error(piece: DatedPiece) -> float:
    """The distance in years from the curve's median to the stated midpoint."""
    return abs(piece.first_year + ranges.median(_sums(piece)) - piece.midpoint)


def log_score(piece: DatedPiece) -> float:
    """log2 of the mass that the curve puts on the stated years: 0 is best.

    The stated years are widened to SCORE_MARGIN years on each side of their midpoint, so
    that a source that states one year does not ask for more than circa dates can give. A
    mass below SCORE_FLOOR counts as that, -20 bits. The logarithmic score is proper: no
    curve does better on average than the true one (I. J. Good, Rational Decisions, Journal
    of the Royal Statistical Society B 14, 1952).
    """
    low = min(piece.stated_from, int(piece.midpoint) - SCORE_MARGIN) - piece.first_year
    high = max(piece.stated_to, -int(-piece.midpoint // 1) + SCORE_MARGIN) - piece.first_year
    return log2(max(sum(piece.curve[max(low, 0) : max(high + 1, 0)]), SCORE_FLOOR))


def crps(piece: DatedPiece) -> float:
    """The continuous ranked probability score against the stated midpoint x, in years: 0 is best.

    ∫ (F(t) − [t ≥ x])² dt = E|Y − x| − Σ F(y) (1 − F(y)), with Y drawn from the curve and F its
    running sums, years one apart. For a curve that names one year it is the distance (T.
    Gneiting and A. E. Raftery, Strictly Proper Scoring Rules, Prediction, and Estimation,
    Journal of the American Statistical Association 102, 2007, section 4.2).
    """
    far = piece.first_year - piece.midpoint
    distance = sum(p * abs(at + far) for at, p in enumerate(piece.curve))
    return max(distance - sum(below * (1.0 - below) for below in _sums(piece)[1:]), 0.0)


def pit(pieces: Sequence[DatedPiece], bins: int = PIT_BINS) -> tuple[float, ...]:
    """The histogram of where stated midpoints lie in their curves, as shares that sum to 1.

    Level where the curves say what is true; raised in the middle where they are too wide, at
    the ends where they are too narrow, at one end where they lie too early or too late. Each
    piece is spread evenly from the sum before its midpoint's year to the sum with it, not
    drawn at random (C. Czado, T. Gneiting and L. Held, Predictive Model Assessment for Count
    Data, Biometrics 65, 2009, section 2.1).
    """
    held = [0.0] * bins
    for piece in pieces:
        sums = _sums(piece)
        last = len(sums) - 1
        low = sums[min(max(int(piece.midpoint // 1) - piece.first_year, 0), last)] * bins
        high = sums[min(max(-int(-piece.midpoint // 1) - piece.first_year + 1, 0), last)] * bins
        if high - low < PIT_LEAST:
            held[min(int(low), bins - 1)] += 1.0
            continue
        for at in range(bins):
            held[at] += max(min(high, at + 1) - max(low, at), 0.0) / (high - low)
    return tuple(each / max(sum(held), PIT_LEAST) for each in held)


def reliability(
    said: Sequence[float], true: Sequence[bool], bins: int = 10
) -> tuple[ReliabilityBin, ...]:
    """Probabilities put in bins of equal width, with the share that came true in each.

    `said` holds probabilities, of a maker or a branch; `said` of a bin is their mean. Empty
    bins are left out. Raises ValueError when the two are not equally long.
    """
    gathered: list[list[tuple[float, bool]]] = [[] for _ in range(bins)]
    for chance, came in zip(said, true, strict=True):
        gathered[min(int(chance * bins), bins - 1)].append((chance, came))
    return tuple(
        ReliabilityBin(
            mean(chance for chance, _ in each), wilson(sum(t for _, t in each), len(each))
        )
        for each in gathered
        if each
    )


def misleading_clue(reading: Reading, stated_from: int, stated_to: int) -> ClueReading | None:
    """The clue that pulled a reading farthest from the stated years, or None.

    A clue pulls by as many bits as it favours the years of the reading, on average, over the
    best of the stated years: Σ p(y) log2 L(y) − max log2 L(stated), times its weight.
    """
    pulls = [(_pull(each, reading.date, stated_from, stated_to), each) for each in reading.clues]
    strength, clue = max(pulls, key=lambda pull: pull[0], default=(0.0, None))
    return clue if strength > 0 else None


def wilson(held: int, count: int) -> Share:
    """A share with its 95 % score interval.

    E. B. Wilson, Probable inference, the law of succession, and statistical inference,
    Journal of the American Statistical Association 22, 1927.
    """
    if count == 0:
        return Share(0, 0, 0.0, 1.0)
    share, z2 = held / count, Z95**2
    centre = (share + z2 / (2 * count)) / (1 + z2 / count)
    spread = share * (1 - share) / count + z2 / (4 * count**2)
    half = Z95 * sqrt(spread) / (1 + z2 / count)
    return Share(held, count, max(0.0, centre - half), min(1.0, centre + half))


def _pull(clue: ClueReading, date: Dating, stated_from: int, stated_to: int) -> float:
    first, last = stated_from - date.first_year, stated_to - date.first_year
    wrong = max(clue.misread, LEAST_MISREAD)
    likely = [(1.0 - wrong) * value + wrong for value in clue.suits]
    stated = likely[max(first, 0) : max(last + 1, 0)]
    if not stated:
        return 0.0
    own = sum(p * log2(value) for p, value in zip(date.curve, likely, strict=True))
    return clue.weight * (own - log2(max(stated)))


def _sums(piece: DatedPiece) -> tuple[float, ...]:
    return tuple(accumulate(piece.curve, initial=0.0))
