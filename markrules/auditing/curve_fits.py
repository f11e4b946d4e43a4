"""The written curves of clues beside the dated pieces that show them, and drawn towards these.

A written curve counts as so many pieces (setting `curve-weight`), and each dated piece as one: the
posterior mean of a distribution whose prior is a Dirichlet process with the written curve as its
base measure (T. S. Ferguson, A Bayesian Analysis of Some Nonparametric Problems, The Annals of
Statistics 1(2), 1973). A piece stands for its stated years, blurred (setting `curve-blur`), as in
a kernel estimate (E. Parzen, On Estimation of a Probability Density Function and Mode, The Annals
of Mathematical Statistics 33(3), 1962). What one publisher says of its pieces is of one hand, so
whether it pays is told of pieces whose publisher took no part in the fit.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from itertools import accumulate
from math import exp

from markrules.auditing.calibration import DatedPiece, log_score
from markrules.auditing.preparing import Curve, Prepared
from markrules.frozen import dataclass
from markrules.inference.spreads import humps, humps_table
from markrules.knowledge.base import KnowledgeBase
from markrules.language.windows import Spread

WEIGHT = "curve-weight"
BLUR = "curve-blur"

LEAST_PIECES, LEAST_SOURCES = 3, 2
"""Fewer pieces, or those of one publisher alone, say nothing of a curve."""

SHARES = (0.1, 0.5, 0.9)

Quantiles = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class CurveFit:
    """The curve of one clue or named type, as written and as drawn towards dated pieces.

    `written` and `shrunk` are the years by which 10, 50 and 90% of the pieces had been made.
    `gained` is what the log score of a piece gains, in bits, where its publisher's pieces took
    no part in the fit; below 0 the written curve was the better.
    """

    clue: str
    pieces: int
    sources: int
    written: Quantiles
    shrunk: Quantiles
    gained: float


def curve_fits(base: KnowledgeBase, pieces: Sequence[Prepared]) -> list[CurveFit]:
    """The curves on which enough of these pieces speak, that with most pieces first.

    All pieces must state years. Those whose years were read off them take no part: they show what
    was read, and not what else is of its time.
    """
    told = [each for each in pieces if not each.case.year_known]
    shown: defaultdict[str, list[Prepared]] = defaultdict(list)
    for piece in told:
        for clue in dict.fromkeys(each.clue for each in piece.reading.clues):
            shown[clue].append(piece)
    blur = base.setting(BLUR)
    densities = {each.case.name: _density(each, blur) for each in told}
    found = (_fit(base, clue, each, densities) for clue, each in shown.items())
    fits = [fit for fit in found if fit is not None]
    return sorted(fits, key=lambda fit: (-fit.pieces, fit.clue))


def shrunk(written: Sequence[float], seen: Iterable[Sequence[float]], weight: float) -> Curve:
    """The written curve, counted as `weight` pieces, with a curve for each piece seen."""
    total, count = [weight * share for share in written], weight
    for each in seen:
        total = [a + b for a, b in zip(total, each, strict=True)]
        count += 1
    return tuple([share / count for share in total])


def _fit(
    base: KnowledgeBase, clue: str, pieces: Sequence[Prepared], densities: Mapping[str, Curve]
) -> CurveFit | None:
    sources = {_source(each) for each in pieces}
    spread = _spread(base, clue)
    if len(pieces) < LEAST_PIECES or len(sources) < LEAST_SOURCES or spread is None:
        return None
    first_year, size = pieces[0].reading.date.first_year, len(pieces[0].reading.date.curve)
    years = range(first_year, first_year + size)
    written = humps_table(humps(spread, years[-1], (0, 0)), years, seam=base.setting("wave-seam"))
    if written is None:
        return None
    weight, gained = base.setting(WEIGHT), 0.0
    for source in sources:
        rest = [densities[each.case.name] for each in pieces if _source(each) != source]
        # Without the publisher's own pieces, or the gain would be of a curve that has seen them.
        fitted = shrunk(written, rest, weight)
        for piece in (each for each in pieces if _source(each) == source):
            before, after = (
                log_score(DatedPiece(curve, first_year, *piece.case.years))
                for curve in (written, fitted)
            )
            gained += after - before
    fitted = shrunk(written, [densities[each.case.name] for each in pieces], weight)
    return CurveFit(
        clue,
        len(pieces),
        len(sources),
        _quantiles(written, first_year),
        _quantiles(fitted, first_year),
        gained / len(pieces),
    )


def _spread(base: KnowledgeBase, clue: str) -> Spread | None:
    """The curve written for a clue or type; None where it has none or counts from a year read."""
    entry = base.clues.get(clue) or base.types.get(clue)
    spread = entry.common if entry is not None else None
    if spread is None or any(wave.early.relative or wave.late.relative for wave in spread.waves):
        return None
    return spread


def _source(piece: Prepared) -> str:
    return piece.case.source or piece.case.name


def _density(piece: Prepared, blur: float) -> Curve:
    """The stated years of a piece under a Gaussian, over the grid; it sums to 1."""
    first, last = piece.case.years
    start, size = piece.reading.date.first_year, len(piece.reading.date.curve)
    near = [
        sum(exp(-0.5 * ((year - each) / blur) ** 2) for each in range(first, last + 1))
        for year in range(start, start + size)
    ]
    whole = sum(near)
    # Stated years far off the grid say nothing of where in it a piece lies.
    return tuple([each / whole for each in near]) if whole > 0 else (1.0 / size,) * size


def _quantiles(curve: Sequence[float], first_year: int) -> Quantiles:
    sums = list(accumulate(curve))
    early, middle, late = (first_year + bisect_left(sums, share * sums[-1]) for share in SHARES)
    return early, middle, late
