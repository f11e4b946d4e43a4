"""The exact posterior over (maker's mark or unknown maker, year)."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import repeat
from math import exp, log
from operator import add, mul

from markrules.frozen import dataclass
from markrules.inference.curves import Curve, Spell, curve_of
from markrules.inference.fired import SharedFate
from markrules.inference.year_tables import PieceKind
from markrules.inference.years import Table
from markrules.knowledge.observation import ImportedMark

SAFE_LOG = -500.0
"""Above this, exp is far from the least number that a float can hold (about e to the -745)."""

NEGLIGIBLE = 1e-12
"""Hypotheses that cannot reach this share of the unknown maker's are not carried along."""


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One mark of one maker (both empty: an unknown maker) that may stand behind the piece.

    `log_weight` is ln of P(h) P(what was read | h), up to a constant shared by all.
    `years` is P(year | h) over the prior of the year, or None where they are the same. `imported`
    tells of a mark of a person's own list what the rules do not know.
    """

    maker: str
    mark: str
    log_weight: float
    years: Spell | None
    imported: ImportedMark | None = None


@dataclass(frozen=True, slots=True)
class Posterior:
    """The joint posterior, and its margins.

    `curve` is the probability of each year. `construction` is what it would be if the maker
    were unknown. `hypotheses` with their `probabilities` come in descending order; the
    joint of hypothesis h is construction × years(h) × `scales`(h). `by_kind` holds the joint
    of each kind of piece and the year, in the order of the kinds given; they sum to `curve`.
    """

    curve: Curve
    construction: Curve
    hypotheses: tuple[Hypothesis, ...]
    probabilities: tuple[float, ...]
    scales: tuple[float, ...]
    by_kind: tuple[Table, ...]

    def share(self, which: Sequence[int]) -> list[float]:
        """The part of `curve` that belongs to these hypotheses, given by position."""
        hypotheses = [self.hypotheses[at] for at in which]
        scales = [self.scales[at] for at in which]
        return _mixed(self.construction, hypotheses, scales)


def said_by(parts: Sequence[SharedFate], kinds: int) -> tuple[Table | None, ...]:
    """ln of what all parts together say of the years, on each of so many kinds of piece.

    None where there is no part. It depends on no prior, and serves several.
    """
    if not parts:
        return (None,) * kinds
    logs = ([part.factors[at].log for part in parts] for at in range(kinds))
    return tuple([tuple(map(sum, zip(*tables, strict=True))) for tables in logs])


def posterior(
    kinds: Sequence[PieceKind], said: Sequence[Table | None], hypotheses: Sequence[Hypothesis]
) -> Posterior:
    """Bayes' rule, summed over every kind of piece, hypothesis and year.

    P(k, h, y | all) ∝ P(k) P(h) P(read | h) prior_k(y) years(h, y) Π_parts L_k(y), where
    years(h, y) is P(y | h) over the prior of the year: whose mark a piece bears and whether it
    is sound are taken to be independent but for the years. `said` is ln of the product over the
    parts, as `said_by` gives it. The unknown maker must be among the hypotheses, with a finite
    weight.
    """
    by_year, whole = _weighed(kinds, said)
    construction = curve_of(whole)
    if len(hypotheses) == 1:  # the unknown maker alone, as without a mark
        by_kind = _split(construction.table, by_year, whole)
        return Posterior(construction, construction, tuple(hypotheses), (1.0,), (1.0,), by_kind)
    kept = _not_negligible(hypotheses)
    top = max(each.log_weight for each in kept)  # against it, no weight is too great for exp
    raw = [exp(each.log_weight - top) for each in kept]
    # Over the years as the parts tell them, not over the prior: what is seen of the years speaks
    # for and against a maker, too.
    suits = [1.0 if each.years is None else each.years.mean(construction) for each in kept]
    total = sum(map(mul, raw, suits))
    weighed = sorted(
        (
            (weight * suit / total, weight / total, each)
            for each, weight, suit in zip(kept, raw, suits, strict=True)
        ),
        # Equals go by name, so that the order of the rules' files moves no answer.
        key=lambda item: (-item[0], item[2].maker, item[2].mark),
    )
    probabilities, scales, ordered = zip(*weighed, strict=True)
    curve = curve_of(_mixed(construction, ordered, scales))
    by_kind = _split(curve.table, by_year, whole)
    return Posterior(curve, construction, ordered, probabilities, scales, by_kind)


def years_alone(
    kinds: Sequence[PieceKind], said: Sequence[Table | None], hypotheses: Sequence[Hypothesis]
) -> Curve:
    """The curve of `posterior`, where nothing else of it is asked for."""
    construction = curve_of(_weighed(kinds, said)[1])
    if len(hypotheses) == 1:
        return construction
    return curve_of(by_marks(construction, _not_negligible(hypotheses)))


def _weighed(
    kinds: Sequence[PieceKind], said: Sequence[Table | None]
) -> tuple[list[list[float]], list[float]]:
    """The weight of each year given everything but the maker: for each kind, and of all."""
    logs: list[Sequence[float]] = [
        kind.prior if told is None else list(map(add, kind.prior, told))
        for kind, told in zip(kinds, said, strict=True)
    ]
    top = max(max(own) + kind.log_share for kind, own in zip(kinds, logs, strict=True))
    # Left out where it can be: it changes nothing but the last digits.
    by = top if top < SAFE_LOG else 0.0
    raw = [
        list(map(exp, map(add, own, repeat(kind.log_share - by))))
        for kind, own in zip(kinds, logs, strict=True)
    ]
    return raw, raw[0] if len(raw) == 1 else list(map(sum, zip(*raw, strict=True)))


def _split(
    curve: Table, raw: Sequence[Sequence[float]], whole: Sequence[float]
) -> tuple[Table, ...]:
    """A curve by kind of piece, as the weights of each year are of each kind."""
    if len(raw) == 1:
        return (curve,)
    by = [a / b if b > 0 else 0.0 for a, b in zip(curve, whole, strict=True)]
    return tuple([tuple(map(mul, by, each)) for each in raw])


def _not_negligible(hypotheses: Sequence[Hypothesis]) -> list[Hypothesis]:
    """Leave out what cannot matter.

    The unknown maker's joint sums to its weight exactly; a hypothesis whose weight times the
    greatest value of its years stays below NEGLIGIBLE of that changes no answer.
    """
    unknown = max(each.log_weight for each in hypotheses if each.years is None)
    least = unknown + log(NEGLIGIBLE)
    return [
        each
        for each in hypotheses
        if each.years is None or each.log_weight + log(each.years.peak()) > least
    ]


def by_marks(years: Curve, hypotheses: Sequence[Hypothesis]) -> list[float]:
    """These years weighed by the hypotheses alone, each as likely as it was before the years."""
    top = max(each.log_weight for each in hypotheses)
    return _mixed(years, hypotheses, [exp(each.log_weight - top) for each in hypotheses])


def _mixed(
    construction: Curve, hypotheses: Sequence[Hypothesis], scales: Sequence[float]
) -> list[float]:
    """Σ scale × years(h) over these hypotheses, times the construction, for each year."""
    total = [0.0] * len(construction.table)
    level = 0.0
    for each, scale in zip(hypotheses, scales, strict=True):
        own = each.years
        if own is None:
            level += scale
            continue
        level += scale * own.level
        # A mark is in use for a few dozen of some 280 years: only that stretch is added, and what
        # lies outside of it is one level for all years.
        stop = own.start + len(own.values)
        by = scale * own.by
        total[own.start : stop] = [
            a + by * b for a, b in zip(total[own.start : stop], own.values, strict=True)
        ]
    return [(more + level) * built for more, built in zip(total, construction.table, strict=True)]
