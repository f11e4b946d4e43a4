"""What a value says of the years where it is known how the values of its feature compete.

A table of shares is P(value | year) itself: as one value rises the others decline, and each speaks
by itself. What it says and what the curve of a clue says are two opinions on the same; they are
pooled by their weighed logarithms, which stays the same whether pieces are seen before or after
pooling (C. Genest and J. V. Zidek, Combining Probability Distributions: A Critique and an Annotated
Bibliography, Statistical Science 1(1), 1986, section 3.2 on external Bayesianity).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from operator import mul

from markrules.inference.years import Table, between
from markrules.language.conditions import Is
from markrules.language.tree import Clue, Feature, Shares, Type

LEAST = 0.001
"""No value is rarer than this among the pieces of a year: what no row tells of is rare, and met."""


def shares_table(
    clue: Clue | Type,
    tables: Iterable[Shares],
    features: Mapping[str, Feature],
    types: tuple[str, ...],
    years: range,
) -> Table | None:
    """The share of each year's pieces that show what a clue asks for; None where no table tells.

    A table tells only of a clue that asks for values of its feature and nothing else, on types
    that it is made for, where some row names one of the values. `types` are those on which the
    clue is met, all where it is empty.
    """
    when = clue.when
    if not isinstance(when, Is):
        return None
    for table in tables:
        of = table.of[0].name if table.of else table.name
        on = {each.name for each in table.on}
        if of != when.feature.name or (on and types and on.isdisjoint(types)):
            continue
        asked = {each.name for each in when.values}
        if any(value.name in asked for row in table.rows for value, _ in row.values):
            return _joined(table, asked, [each.name for each in features[of].values], years)
    return None


def pooled(suits: Table, shares: Table, weight: float, reference: Table) -> Table:
    """An emission and shares pooled, the shares with this weight; its mean over `reference` is 1.

    A year that the emission rules out stays so.
    """
    both = [
        suit ** (1.0 - weight) * share**weight if suit > 0 else 0.0
        for suit, share in zip(suits, shares, strict=True)
    ]
    whole = sum(map(mul, reference, both))
    return tuple([value / whole for value in both])


def _joined(table: Shares, asked: set[str], values: list[str], years: range) -> Table:
    """The shares of the asked values by year: rows joined by straight lines, level beyond them."""
    knots = []
    for row in table.rows:
        named = {value.name: share for value, share in row.values}
        # Values that a row passes over share what it leaves, as evenly as nothing is known of them.
        unnamed = [each for each in values if each not in named]
        rest = max(1.0 - sum(named.values()), 0.0) / len(unnamed) if unnamed else 0.0
        share = sum(named.get(each, rest) for each in asked)
        knots.append((row.year, max(share, LEAST)))
    return tuple([between(knots, year) for year in years])
