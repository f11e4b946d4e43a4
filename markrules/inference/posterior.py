"""The exact posterior over (maker's mark or unknown maker, year)."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log
from operator import mul

from markrules.frozen import dataclass
from markrules.inference.curves import Curve, Spell, curve_of
from markrules.inference.evidence import Factor
from markrules.inference.tables import PriorYears
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
    joint of hypothesis h is construction × years(h) × `scales`(h).
    """

    curve: Curve
    construction: Curve
    hypotheses: tuple[Hypothesis, ...]
    probabilities: tuple[float, ...]
    scales: tuple[float, ...]

    def share(self, which: Sequence[int]) -> list[float]:
        """The part of `curve` that belongs to these hypotheses, given by position."""
        hypotheses = [self.hypotheses[at] for at in which]
        scales = [self.scales[at] for at in which]
        return _mixed(self.construction, hypotheses, scales)


def posterior(
    prior: PriorYears, factors: Sequence[Factor], hypotheses: Sequence[Hypothesis]
) -> Posterior:
    """Bayes' rule, summed over every hypothesis and year.

    P(h, y | all) ∝ P(h) P(read | h) P(y | h) Π L(y), with P(y | h) = prior(y) × years(h, y).
    The unknown maker must be among the hypotheses, with a finite weight.
    """
    logs = zip(prior.log, *[each.logs() for each in factors], strict=True)
    construction = _curve_of_logs(list(map(sum, logs)))
    if len(hypotheses) == 1:
        return Posterior(construction, construction, tuple(hypotheses), (1.0,), (1.0,))
    kept = _not_negligible(hypotheses)
    top = max(each.log_weight for each in kept)
    raw = [exp(each.log_weight - top) for each in kept]
    suits = [1.0 if each.years is None else each.years.mean(construction) for each in kept]
    total = sum(map(mul, raw, suits))
    found = sorted(
        (
            (weight * suit / total, weight / total, each)
            for each, weight, suit in zip(kept, raw, suits, strict=True)
        ),
        key=lambda item: (-item[0], item[2].maker, item[2].mark),
    )
    probabilities, scales, ordered = zip(*found, strict=True)
    curve = curve_of(_mixed(construction, ordered, scales))
    return Posterior(curve, construction, ordered, probabilities, scales)


def _curve_of_logs(logs: list[float]) -> Curve:
    top = max(logs)
    if top > SAFE_LOG:
        return curve_of(list(map(exp, logs)))
    return curve_of([exp(value - top) for value in logs])


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
        stop = own.start + len(own.values)
        total[own.start : stop] = [
            a + scale * b for a, b in zip(total[own.start : stop], own.values, strict=True)
        ]
    return [(more + level) * built for more, built in zip(total, construction.table, strict=True)]
