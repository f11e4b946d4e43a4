"""What misleads about a piece: the situations of the rules that hold, each with its probability."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from math import log2
from operator import mul

from markrules.inference.clues import citations
from markrules.inference.reading import MisleadingReading
from markrules.inference.tables import YearTables
from markrules.inference.years import resolve, window_table
from markrules.knowledge.facts import Positions
from markrules.language.tree import MISLEADING_KINDS, Misleading

EVEN = 0.5
"""From these odds on a situation is stated, and what it vetoes does not count; below, a note."""

SURE = 0.75
"""At least so likely must the years be that a situation asks for."""


def misleading_readings(
    tables: YearTables,
    held: Sequence[tuple[str, Positions]],
    broader: Collection[str],
    curve: Sequence[float],
    evidence: bool,
) -> tuple[MisleadingReading, ...]:
    """The situations that hold, the likeliest first.

    `held` are their names with the observations they rest on, `broader` the types of the piece,
    `curve` the probability of each year, and `evidence` tells whether anything seen speaks of it.
    Of several that tell the same kind of thing of the same part, the one that rests on most is
    told.
    """
    found: dict[tuple[str, tuple[str, ...]], tuple[int, MisleadingReading]] = {}
    for name, used in held:
        entry = tables.base.misleading[name]
        if entry.dated is not None and (not evidence or _within(tables, entry, curve) < SURE):
            continue
        told = _reading(tables, entry, chance_of(entry, broader))
        key = (entry.kind, told.part)
        weight = len(used)
        if key not in found or _better(weight, told, *found[key]):
            found[key] = (weight, told)
    return tuple(sorted((each for _, each in found.values()), key=lambda each: -each.probability))


def _better(weight: int, told: MisleadingReading, before: int, other: MisleadingReading) -> bool:
    return (weight, told.probability) > (before, other.probability)


def vetoed(
    tables: YearTables, held: Sequence[tuple[str, Positions]], broader: Collection[str]
) -> frozenset[str]:
    """The features and clues that do not count, by the situations that are stated."""
    entries = (tables.base.misleading[name] for name, _ in held)
    return frozenset(
        name.name
        for entry in entries
        if entry.never and entry.dated is None and chance_of(entry, broader) >= EVEN
        for name in entry.never
    )


def settling(found: Sequence[MisleadingReading]) -> Mapping[str, float]:
    """What a look at each feature would settle, in bits: the entropy of whether it is so."""
    bits: dict[str, float] = {}
    for each in found:
        p = each.probability
        doubt = -sum(q * log2(q) for q in (p, 1.0 - p) if q > 0)
        for feature in each.settle:
            bits[feature] = max(bits.get(feature, 0.0), doubt)
    return bits


def chance_of(entry: Misleading, broader: Collection[str]) -> float:
    """How often such pieces are the misleading ones: for the piece's type, else in general.

    Even odds where the rules give no figure.
    """
    general = EVEN
    for each in entry.chances:
        if any(name.name in broader for name in each.on):
            return each.share
        if not each.on:
            general = each.share
    return general


def _within(tables: YearTables, entry: Misleading, curve: Sequence[float]) -> float:
    """The probability that the piece was made within the years that the entry asks for."""
    assert entry.dated is not None
    ends = resolve(entry.dated, tables.years, tables.settings)
    return float(sum(map(mul, curve, window_table(ends, tables.years))))


def _reading(tables: YearTables, entry: Misleading, probability: float) -> MisleadingReading:
    return MisleadingReading(
        name=entry.name,
        kind=entry.kind,
        heading=MISLEADING_KINDS[entry.kind],
        part=tuple(each.name for each in entry.part),
        taken=entry.taken,
        truth=entry.truth,
        look=entry.look,
        probability=probability,
        stated=probability >= EVEN,
        settle=tuple(each.name for each in entry.settle),
        why=entry.why,
        cites=citations(tables.base, entry.cites),
    )
