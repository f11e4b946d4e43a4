"""The exact posterior over (maker's mark or unknown maker, year)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log
from operator import mul

from markrules.inference.evidence import Factor
from markrules.inference.tables import PriorYears
from markrules.inference.years import Spell, Table

NEGLIGIBLE = 1e-12
"""Hypotheses that cannot reach this share of the unknown maker's are not carried along."""


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One mark of one maker (both empty: an unknown maker) that may stand behind the piece.

    `log_weight` is ln of P(h) P(what was read | h), up to a constant shared by all.
    `years` is P(year | h) over the prior of the year, or None where they are the same.
    """

    maker: str
    mark: str
    log_weight: float
    years: Spell | None


@dataclass(frozen=True, slots=True)
class Posterior:
    """The joint posterior, and its margins.

    `curve` is the probability of each year. `construction` is what it would be if the maker
    were unknown. `hypotheses` with their `probabilities` come in descending order; the
    joint of hypothesis h is construction × years(h) × `scales`(h).
    """

    curve: Table
    construction: Table
    hypotheses: tuple[Hypothesis, ...]
    probabilities: tuple[float, ...]
    scales: tuple[float, ...]

    def share(self, which: Sequence[int]) -> list[float]:
        """The part of `curve` that belongs to these hypotheses, given by position."""
        hypotheses = [self.hypotheses[at] for at in which]
        return list(
            map(
                mul,
                self.construction,
                _mixture(len(self.curve), hypotheses, [self.scales[at] for at in which]),
            )
        )


def posterior(
    prior: PriorYears, factors: Sequence[Factor], hypotheses: Sequence[Hypothesis]
) -> Posterior:
    """Bayes' rule, summed over every hypothesis and year.

    P(h, y | all) ∝ P(h) P(read | h) P(y | h) Π L(y), with P(y | h) = prior(y) × years(h, y).
    The unknown maker must be among the hypotheses, with a finite weight.
    """
    logs = zip(prior.log, *[each.log for each in factors], strict=True)
    construction = _normalised_exp(list(map(sum, logs)))
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
    if len(ordered) == 1:
        return Posterior(construction, construction, ordered, probabilities, scales)
    mixture = _mixture(len(construction), ordered, scales)
    curve = normalised(list(map(mul, construction, mixture)))
    return Posterior(curve, construction, ordered, probabilities, scales)


def normalised(values: Sequence[float]) -> Table:
    """The values scaled to sum to 1; their sum must be positive."""
    by = 1.0 / sum(values)
    return tuple([value * by for value in values])


def _normalised_exp(logs: list[float]) -> Table:
    top = max(logs)
    return normalised([exp(value - top) for value in logs])


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


def _mixture(years: int, hypotheses: Sequence[Hypothesis], scales: Sequence[float]) -> list[float]:
    """Σ scale × years(h) over these hypotheses, for each year."""
    total = [0.0] * years
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
    return [value + level for value in total]
