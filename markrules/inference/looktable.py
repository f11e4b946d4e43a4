"""How the values of a feature go with the years, and what seeing one of them would tell."""

from __future__ import annotations

from array import array
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from itertools import repeat
from math import log, log2
from operator import mul, truediv

from markrules.frozen import dataclass
from markrules.inference.products import Over, Squared, squared
from markrules.inference.years import Table
from markrules.language.tree import Clue, Feature, Value

LN2 = log(2.0)

LEAST_SHARE = 0.01
"""Share of a value whose share is not given, where the others leave nothing over."""

LEAST_LEFT = 1e-300
"""Least chance of the last outcome, which rounding can bring to nothing: its log stays finite."""

Groups = tuple[tuple[tuple[str, ...], float], ...]
"""Values that speak alike: the names of the clues they fire, and their share together."""


@dataclass(frozen=True, slots=True)
class LookTable:
    """What one look can show.

    `outcomes` holds P(outcome | year) for every outcome but the last, whose chance is what
    is left. `negentropy` is Σ_v P(v | year) ln P(v | year) over all outcomes v.
    """

    outcomes: tuple[Squared, ...]
    negentropy: Squared


def packed(tables: Iterable[Iterable[float]]) -> bytes:
    """Tables as bytes, one after the other: doubles, used as they lie."""
    return b"".join(array("d", table).tobytes() for table in tables)


def unpacked(kept: bytes) -> array[float]:
    """The doubles of such bytes, written on a machine of the same byte order."""
    table = array("d")
    table.frombytes(kept)
    return table


def divided(kept: bytes, length: int) -> Iterator[array[float]]:
    """Tables of that length that lie one after the other."""
    whole = unpacked(kept)
    return (whole[start : start + length] for start in range(0, len(whole), length))


def look_table(outcomes: Sequence[tuple[float, Table | None]], years: int) -> LookTable:
    """The table of a look whose outcomes have these shares b and likelihoods L of each year.

    P(v | y) = b(v) L(v, y) / Σ_u b(u) L(u, y). An outcome without a likelihood says nothing:
    its L is 1 in every year.
    """
    raw = [
        (share,) * years if table is None else tuple(map(mul, repeat(share), table))
        for share, table in outcomes
    ]
    whole = list(map(sum, zip(*raw, strict=True)))
    chances = [tuple(map(truediv, each, whole)) for each in raw]
    # To the base 2 and then to that of e: `log2` takes a third of the time of `log`.
    parts = [map(mul, each, map(log2, each)) for each in chances]
    bits = map(sum, zip(*parts, strict=True))
    return LookTable(tuple(map(squared, chances[:-1])), squared([LN2 * each for each in bits]))


def look_table_of(tables: Iterable[array[float]]) -> LookTable:
    """A look's outcomes and negentropy, as they were packed, as its table."""
    *outcomes, negentropy = map(squared, tables)
    return LookTable(tuple(outcomes), negentropy)


def tables_of(table: LookTable) -> Iterator[Table]:
    """What `look_table_of` takes: to be packed."""
    yield from (each.values for each in table.outcomes)
    yield table.negentropy.values


def information_gain(table: LookTable, curve: Over) -> float:
    """I(V; Y) in bits: Σ_y p(y) Σ_v P(v|y) ln P(v|y) − Σ_v P(v) ln P(v), over ln 2.

    `curve` is p. The maker adds nothing to it, for what a feature shows is taken to depend
    on the year alone. (Mutual information: T. M. Cover and J. A. Thomas, Elements of
    Information Theory, 2nd edition 2006, section 2.3.)
    """
    chances = curve.sums_of(table.outcomes)
    entropy: float = curve.sum_with(table.negentropy) - sum(map(mul, chances, map(log, chances)))
    left = 1.0 - sum(chances)  # the chance of the last outcome, which has no table of its own
    if left > 0:
        entropy -= left * log(left)
    # Information is never below 0; rounding can bring it there.
    return max(0.0, entropy / LN2)


def gain_at_once(outcomes: Sequence[tuple[float, Table | None]], curve: Sequence[float]) -> float:
    """The gain in bits over one curve p, of the outcomes from which `look_table` makes a table.

    With r = b L and w = Σ_v r(v), it is Σ_v Σ_y (p / w) r log2 r − Σ_y p log2 w −
    Σ_v P(v) log2 P(v): the same sum, put in another order. A table would be asked only once.
    """
    raw = [
        (share,) * len(curve) if table is None else tuple(map(mul, repeat(share), table))
        for share, table in outcomes
    ]
    whole = list(map(sum, zip(*raw, strict=True)))
    by_whole = list(map(truediv, curve, whole))
    gain: float = -sum(map(mul, curve, map(log2, whole)))
    for (share, table), each in zip(outcomes, raw, strict=True):
        if table is None:
            chance = share * sum(by_whole)
            gain += chance * (log2(share) - log2(chance))
            continue
        parts = list(map(mul, by_whole, each))
        chance = sum(parts)
        gain += sum(map(mul, parts, map(log2, each))) - chance * log2(chance)
    return max(0.0, gain)


def at_most(table: LookTable, reference: Table, near: range) -> array[float]:
    """A bound of the gain for each year: D(P(V | y) ‖ Q) in bits, Q what is shown in `near` years.

    Its mean over any curve is at least the gain over that curve, and equal where Q is what is
    shown over the curve: I(V; Y) = Σ_y p(y) D(P(V | y) ‖ P(V)) = min over Q of the same with Q
    (Cover and Thomas, as above, theorem 10.8.1). `reference` weighs the years for Q.
    """
    whole = sum(reference[near.start : near.stop])
    weights = [each / whole for each in reference[near.start : near.stop]]
    outcomes = [each.values for each in table.outcomes]
    shown = [sum(map(mul, weights, each[near.start : near.stop])) for each in outcomes]
    last = log(max(1.0 - sum(shown), LEAST_LEFT))
    # What is left for the last outcome is 1 less the others, so that each counts against it.
    beside = [log(chance) - last for chance in shown]
    by_year = zip(*outcomes, strict=True) if shown else repeat(())
    return array(
        "d",
        [
            (told - last - sum(map(mul, beside, chances))) / LN2
            for told, chances in zip(table.negentropy.values, by_year, strict=False)
        ],
    )


def value_groups(
    feature: Feature, clues: Mapping[str, Iterable[Clue]], kinds: Collection[str]
) -> Groups:
    """The feature's values, those put together that fire the same clues on these piece types.

    `clues` holds for each value the clues that hold as soon as it is seen. Values that speak
    alike need not be told apart: the gain is the same.
    """
    shares: dict[tuple[str, ...], float] = {}
    for value, share in zip(feature.values, value_shares(feature.values), strict=True):
        names = tuple(
            clue.name
            for clue in clues.get(value.name, ())
            if not clue.on or any(each.name in kinds for each in clue.on)
        )
        shares[names] = shares.get(names, 0.0) + share
    return tuple(shares.items())


def value_shares(values: Sequence[Value]) -> list[float]:
    """The values' shares; what the given ones leave over is spread evenly on the others."""
    given = sum(value.share for value in values if value.share is not None)
    unstated = sum(value.share is None for value in values)
    rest = max((1.0 - given) / unstated, LEAST_SHARE) if unstated else 0.0
    return [rest if value.share is None else max(value.share, LEAST_SHARE) for value in values]
