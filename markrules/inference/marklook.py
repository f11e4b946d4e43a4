"""What looking for a maker's mark is worth, in bits."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from math import exp, log
from sys import byteorder
from typing import Any

from markrules.frozen import dataclass
from markrules.inference.curves import Curve, Spell, means
from markrules.inference.fired import Fired
from markrules.inference.looktable import packed, unpacked
from markrules.inference.makers import log_points_ratio, variant_weights
from markrules.inference.priors import PriorYears
from markrules.inference.year_tables import YearTables


@dataclass(frozen=True, slots=True)
class Variants:
    """Mark variants of one maker that share their years.

    `years` is a position in `MarkTable.years`. `weight` is Σ w and `weight_log` Σ w ln w over
    the variants' weights w.
    """

    maker: str
    years: int
    weight: float
    weight_log: float


@dataclass(frozen=True, slots=True)
class MarkTable:
    """All mark variants of the rules, those alike put together."""

    years: tuple[Spell, ...]
    variants: tuple[Variants, ...]


def mark_table(tables: YearTables, prior: PriorYears) -> MarkTable:
    """The variants of all makers, with P(year | variant) over the prior of the year; kept."""
    years = tables.years
    of = prior.name.replace("/", "+")
    name = f"mark-table-{of}-{years[0]}-{years[-1]}-{byteorder}"
    kept = tables.base.workings.parts(name, lambda: _packed_table(_worked_out(tables, prior)))
    values = unpacked(kept["values"])
    spells, at = [], 0
    for level, start, length in kept["years"]:
        spells.append(Spell(level, start, tuple(values[at : at + length])))
        at += length
    return MarkTable(tuple(spells), tuple([Variants(*each) for each in kept["variants"]]))


def _packed_table(table: MarkTable) -> dict[str, Any]:
    return {
        "years": [(each.level, each.start, len(each.values)) for each in table.years],
        "values": packed(each.values for each in table.years),
        "variants": [
            (each.maker, each.years, each.weight, each.weight_log) for each in table.variants
        ],
    }


def _worked_out(tables: YearTables, prior: PriorYears) -> MarkTable:
    places: dict[Spell, int] = {}
    weights: defaultdict[tuple[str, int], list[float]] = defaultdict(list)
    for maker in tables.base.makers.values():
        weights_of = variant_weights(tables, maker.name, prior)
        for mark in maker.marks:
            weight = weights_of[mark.name]
            if weight <= 0:
                continue
            years = tables.marks.spell(maker.name, mark.name, prior)
            weights[maker.name, places.setdefault(years, len(places))].append(weight)
    return MarkTable(
        tuple(places),
        tuple(
            Variants(maker, at, sum(each), sum(w * log(w) for w in each))
            for (maker, at), each in weights.items()
        ),
    )


def mark_gain(
    tables: YearTables, table: MarkTable, construction: Curve, fired: Sequence[Fired]
) -> float:
    """The mutual information, in bits, between the mark found and (maker's variant, year).

    The hypotheses are every variant in the rules and the unknown maker, each with its weight,
    its years, and what the construction says of them. A piece of a known variant shows it
    with the chance a, the setting `marked-share`; otherwise, and for an unknown maker, no
    known mark is found. So V is a variant or `none`, and with p(h) the probability of h,

        I(V; H, Y) = H(V) − H(V | H) = H(V) − (1 − p(unknown)) h(a),

    where h is the entropy of a yes-or-no answer.
    """
    suits = means(table.years, construction)
    logs = list(map(log, suits))
    pointed: defaultdict[str, float] = defaultdict(float)
    for clue in fired:
        for maker in clue.voice.facts.points:
            pointed[maker] += log_points_ratio(tables, clue)
    known = spread = 0.0
    for each in table.variants:
        by, by_log = suits[each.years], logs[each.years]
        if each.maker in pointed:
            by, by_log = by * exp(pointed[each.maker]), by_log + pointed[each.maker]
        known += by * each.weight
        spread += by * (each.weight_log + each.weight * by_log)
    if known <= 0:
        return 0.0
    total, shown = known + tables.settings.unknown_maker, tables.settings.marked_share
    none = 1.0 - shown * known / total
    entropy = -shown / total * (spread + known * log(shown / total)) - _x_log_x(none)
    answer = -_x_log_x(shown) - _x_log_x(1.0 - shown)
    return max(0.0, (entropy - known / total * answer) / log(2.0))


def _x_log_x(value: float) -> float:
    return value * log(value) if value > 0 else 0.0
