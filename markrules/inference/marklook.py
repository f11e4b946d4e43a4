"""What looking for a maker's mark is worth, in bits."""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Mapping, Sequence
from functools import cache
from math import exp, log
from operator import add, mul
from sys import byteorder
from typing import Any, TypeAlias

from markrules.frozen import dataclass
from markrules.inference.curve_sources import CurveSources
from markrules.inference.fired import Fired
from markrules.inference.looktable import packed, unpacked
from markrules.inference.makers import log_points_ratio, variant_weights
from markrules.inference.priors import PriorYears
from markrules.inference.products import Over, Squared, squared
from markrules.inference.year_tables import YearTables
from markrules.inference.years import Table

Placed: TypeAlias = tuple[int, int, Squared]
"""A table over part of the grid, after the positions where it begins and ends."""


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
    """All mark variants of the rules, those alike put together.

    `windows` have the positions where they begin and end, and tables for other priors share them.
    `years` holds P(year | variant) over the prior of the year, each as a level, and the position
    of a window with what it is multiplied by. `weights` and `weight_logs` sum those of the
    variants of each such years, and `by_maker` has the variants of each maker.
    """

    windows: tuple[Placed, ...]
    years: tuple[tuple[float, float, int], ...]
    weights: tuple[float, ...]
    weight_logs: tuple[float, ...]
    by_maker: Mapping[str, tuple[Variants, ...]]


def mark_table(tables: YearTables, prior: PriorYears, windows: tuple[Placed, ...]) -> MarkTable:
    """The variants of all makers over a prior; `windows` is what `mark_windows` gives. Kept."""
    years = tables.years
    of = prior.name.replace("/", "+")
    name = f"mark-table-{of}-{years[0]}-{years[-1]}-{byteorder}"
    kept = tables.base.workings.parts(name, lambda: _worked_out(tables, prior))
    weights, weight_logs = [0.0] * len(kept["years"]), [0.0] * len(kept["years"])
    by_maker: defaultdict[str, list[Variants]] = defaultdict(list)
    for each in itertools.starmap(Variants, kept["variants"]):
        weights[each.years] += each.weight
        weight_logs[each.years] += each.weight_log
        by_maker[each.maker].append(each)
    return MarkTable(
        windows,
        tuple([(level, by, at) for level, by, at in kept["years"]]),
        tuple(weights),
        tuple(weight_logs),
        {maker: tuple(variants) for maker, variants in by_maker.items()},
    )


def mark_windows(tables: YearTables) -> tuple[Placed, ...]:
    """The windows of all marks of the rules, each once; kept."""
    years = tables.years
    name = f"mark-windows-{years[0]}-{years[-1]}-{byteorder}"

    def make() -> dict[str, Any]:
        # Most rules that are added tell of no maker: then all windows are as they were.
        digest = CurveSources(tables.base, tables.settings).of_marks()
        packed_windows = cache(lambda: _packed_windows(list(_windows(tables))))
        return tables.base.workings.made_again(
            name, dict.fromkeys(("places", "values"), digest), lambda part: packed_windows()[part]
        )

    kept = tables.base.workings.parts(name, make)
    values, windows, at = unpacked(kept["values"]), [], 0
    for start, length in kept["places"]:
        windows.append((start, start + length, squared(values[at : at + length])))
        at += length
    return tuple(windows)


def _packed_windows(windows: Sequence[tuple[int, Table]]) -> dict[str, Any]:
    return {
        "places": [(start, len(values)) for start, values in windows],
        "values": packed(values for _, values in windows),
    }


def _windows(tables: YearTables) -> dict[tuple[int, Table], int]:
    """Each window by its first position and its values, with its place among them."""
    places: dict[tuple[int, Table], int] = {(0, ()): 0}  # for marks whose years tell nothing
    for maker in tables.base.makers.values():
        for mark in maker.marks:
            window = tables.marks.window(maker.name, mark.name)
            places.setdefault((window.start, window.values), len(places))
    return places


def _worked_out(tables: YearTables, prior: PriorYears) -> dict[str, Any]:
    windows = _windows(tables)
    places: dict[tuple[float, float, int], int] = {}
    weights: defaultdict[tuple[str, int], list[float]] = defaultdict(list)
    for maker in tables.base.makers.values():
        weights_of = variant_weights(tables, maker.name, prior)
        for mark in maker.marks:
            weight = weights_of[mark.name]
            if weight <= 0:
                continue
            spell = tables.marks.spell(maker.name, mark.name, prior)
            years = spell.level, spell.by, windows[spell.start, spell.values]
            weights[maker.name, places.setdefault(years, len(places))].append(weight)
    return {
        "years": list(places),
        "variants": [
            (maker, at, sum(each), sum(w * log(w) for w in each))
            for (maker, at), each in weights.items()
        ],
    }


def mark_gain(
    tables: YearTables, table: MarkTable, construction: Over, fired: Sequence[Fired]
) -> float:
    """The mutual information, in bits, between the mark found and (maker's variant, year).

    The hypotheses are every variant in the rules and the unknown maker, each with its weight,
    its years, and what the construction says of them. A piece of a known variant shows it
    with the chance a, the setting `marked-share`; otherwise, and for an unknown maker, no
    known mark is found. So V is a variant or `none`, and with p(h) the probability of h,

        I(V; H, Y) = H(V) − H(V | H) = H(V) − (1 − p(unknown)) h(a),

    where h is the entropy of a yes-or-no answer.
    """
    sums = construction.sums_within(table.windows)
    suits = [level + by * sums[at] for level, by, at in table.years]
    logs = list(map(log, suits))
    pointed: defaultdict[str, float] = defaultdict(float)
    for clue in fired:
        for maker in clue.voice.facts.points:
            pointed[maker] += log_points_ratio(tables, clue)
    known: float = sum(map(mul, suits, table.weights))
    said = map(add, table.weight_logs, map(mul, table.weights, logs))
    spread: float = sum(map(mul, suits, said))
    for maker, more in pointed.items():
        for each in table.by_maker.get(maker, ()):
            plain, plain_log = suits[each.years], logs[each.years]
            raised, raised_log = plain * exp(more), plain_log + more
            known += (raised - plain) * each.weight
            spread += raised * (each.weight_log + each.weight * raised_log)
            spread -= plain * (each.weight_log + each.weight * plain_log)
    if known <= 0:
        return 0.0
    total, shown = known + tables.settings.unknown_maker, tables.settings.marked_share
    none = 1.0 - shown * known / total
    entropy = -shown / total * (spread + known * log(shown / total)) - _x_log_x(none)
    answer = -_x_log_x(shown) - _x_log_x(1.0 - shown)
    return max(0.0, (entropy - known / total * answer) / log(2.0))


def _x_log_x(value: float) -> float:
    return value * log(value) if value > 0 else 0.0
