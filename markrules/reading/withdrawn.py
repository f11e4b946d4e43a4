"""What a reading says of entries that a person's own rules withdraw or replace."""

from __future__ import annotations

from collections.abc import Iterator

from markrules.inference.reading import Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.conditions import Facts, evaluate
from markrules.language.tree import Withdraw

EVERYWHERE = ("setting", "prior")
"""Kinds that bear on every reading."""


def withdrawn_notes(base: KnowledgeBase, reading: Reading) -> tuple[str, ...]:
    """A sentence for each withdrawal that bears on this reading.

    One of a clue, finding and the like bears on it where its condition holds; where another
    stands in its place, that is said where the other speaks. One of a setting or of prior years
    bears on all.
    """
    if not base.withdrawals:
        return ()
    spoke = frozenset(_speaking(reading))
    seen = tuple(each for each in reading.observations if not each.heard)
    facts = Facts(seen, base, reading.piece_type)
    return tuple(
        _said(each)
        for each in base.withdrawals.values()
        if each.kind in EVERYWHERE
        or (each.kind, each.name) in spoke
        or (each.when is not None and evaluate(each.when, facts, reading.findings) is True)
    )


def _said(each: Withdraw) -> str:
    name = each.name.replace("-", " ")
    if each.replaced:
        return f"The {each.kind} {name} is that of your own rules: {each.why}"
    return f"Your own rules withdraw the {each.kind} {name}: {each.why}"


def _speaking(reading: Reading) -> Iterator[tuple[str, str]]:
    """Kind and name of what a reading rests on."""
    yield from (("clue", each.clue) for each in reading.clues)
    yield from (("finding", each) for each in reading.findings)
    yield from (("sign", each.sign) for each in reading.signs)
    yield from (("fault", each.fault) for each in reading.faults)
    yield from (("caution", each.caution) for each in reading.cautions)
    yield from (("maker", each.maker) for each in reading.makers if each.maker)
