"""A box at a glance: how many, what was spent, what it may bring, and where to look once more."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from markrules.appraisal.appraisal import Appraisal
from markrules.appraisal.box import BoxAppraisal
from markrules.appraisal.options import Choice
from markrules.appraisal.sums_of_prices import Total, sum_of
from markrules.catalogue.amounts import decimals_of
from markrules.catalogue.records import Acquisition
from markrules.frozen import dataclass


@dataclass(frozen=True, slots=True)
class GlanceLook:
    """One more look that may settle a piece: `worth` is its gain in bits times the money.

    `at_stake` is the width of the piece's range in money, None where it has no estimate.
    """

    piece: int
    feature: str
    ask: str
    gain_bits: float
    at_stake: float | None
    worth: float


@dataclass(frozen=True, slots=True)
class Glance:
    """A box at a glance.

    `spent` is by currency. `net` is the expected net of the choices that could be counted,
    for `net_pieces` of them. `decades` holds (first year, expected number of pieces).
    """

    pieces: int
    types: tuple[tuple[str, int], ...]
    grades: tuple[tuple[str, int], ...]
    spent: tuple[tuple[str, float], ...]
    total: Total | None
    net: float | None
    net_pieces: int
    choices: tuple[tuple[Choice, tuple[int, ...]], ...]
    decades: tuple[tuple[int, float], ...]
    looks: tuple[GlanceLook, ...]


def glance_of(
    box: BoxAppraisal, acquired: Sequence[Acquisition], together: float, most_looks: int = 5
) -> Glance:
    """The box at a glance; `together` is the correlation of prices when they are added."""
    pieces = box.pieces
    nets = [
        each.decision.best.net
        for each in pieces.values()
        if each.decision.by == "money" and each.decision.best.net is not None
    ]
    return Glance(
        pieces=len(pieces),
        types=_counted(each.reading.piece_type or "not said" for each in pieces.values()),
        grades=_grades(pieces),
        spent=_spent(acquired),
        total=_total(pieces, together),
        net=float(sum(nets, Fraction(0))) if nets else None,
        net_pieces=len(nets),
        choices=_choices(pieces),
        decades=_decades(pieces),
        looks=_looks(pieces, most_looks),
    )


def _counted(names: Iterable[str]) -> tuple[tuple[str, int], ...]:
    counts = Counter(names)
    return tuple(sorted(counts.items(), key=lambda pair: (-pair[1], pair[0])))


def _grades(pieces: Mapping[int, Appraisal]) -> tuple[tuple[str, int], ...]:
    conditions = [each.condition for each in pieces.values()]
    counts = Counter(each.words for each in conditions)
    ranks = {each.words: (each.grade.rank, each.words) for each in conditions if each.stated}
    last = (len(ranks) + max((rank for rank, _ in ranks.values()), default=0), "")
    return tuple(sorted(counts.items(), key=lambda pair: ranks.get(pair[0], last)))


def _spent(acquired: Sequence[Acquisition]) -> tuple[tuple[str, float], ...]:
    minor: dict[str, int] = {}
    for each in acquired:
        if each.cost_minor is not None:
            minor[each.currency] = minor.get(each.currency, 0) + each.cost_minor
    return tuple((code, minor[code] / 10 ** decimals_of(code)) for code in sorted(minor))


def _total(pieces: Mapping[int, Appraisal], together: float) -> Total | None:
    known = [each.valuation.estimate for each in pieces.values()]
    estimates = [each for each in known if each is not None]
    return sum_of(estimates, together) if estimates else None


def _choices(pieces: Mapping[int, Appraisal]) -> tuple[tuple[Choice, tuple[int, ...]], ...]:
    found: dict[Choice, list[int]] = {}
    for key, each in pieces.items():
        found.setdefault(each.decision.choice, []).append(key)
    ordered = sorted(found.items(), key=lambda pair: (-len(pair[1]), pair[0]))
    return tuple((choice, tuple(keys)) for choice, keys in ordered)


def _decades(pieces: Mapping[int, Appraisal]) -> tuple[tuple[int, float], ...]:
    """How many pieces each decade is expected to hold: the date curves, added up."""
    held: dict[int, float] = {}
    for each in pieces.values():
        date = each.reading.date
        total = math.fsum(date.curve) or 1.0
        for year, share in enumerate(date.curve, date.first_year):
            decade = year - year % 10
            held[decade] = held.get(decade, 0.0) + share / total
    return tuple((decade, held[decade]) for decade in sorted(held))


def _looks(pieces: Mapping[int, Appraisal], most: int) -> tuple[GlanceLook, ...]:
    """The best look of each piece: expected gain in bits times the money at stake."""
    found = []
    for key, each in pieces.items():
        if not each.reading.next:
            continue
        best = max(each.reading.next, key=lambda look: look.gain_bits)
        estimate = each.valuation.estimate
        stake = estimate.high - estimate.low if estimate is not None else None
        gain = round(best.gain_bits, 6)  # as kept with readings, so that old and new are alike
        found.append(GlanceLook(key, best.feature, best.ask, gain, stake, gain * (stake or 0.0)))
    found.sort(key=lambda look: (-look.worth, -look.gain_bits, look.piece))
    return tuple(found[:most])
