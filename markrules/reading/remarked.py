"""What became of turns of phrase once a piece was read."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from markrules.inference.reading import Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.facts import Facts
from markrules.knowledge.observation import Accounted
from markrules.knowledge.support import used
from markrules.language.conditions import Condition
from markrules.language.slots import REMARK


def account_after_reading(
    base: KnowledgeBase, reading: Reading, account: tuple[Accounted, ...]
) -> tuple[Accounted, ...]:
    """The account of a note, in which a turn of phrase that nothing rests on changes nothing.

    Words that say nothing but such a turn of phrase are neutral; what else they say stands. So it
    is with words for a piece type that was ruled out, or in whose place another one was told.
    """
    account = tuple(
        _of_another_type(each, reading) if each.piece not in ("", reading.piece_type) else each
        for each in account
    )
    if not any(each.only_remarks for each in account):
        return account
    resting = _rested_on(base, reading)
    return tuple(_told(each, resting) if each.only_remarks else each for each in account)


def _of_another_type(each: Accounted, reading: Reading) -> Accounted:
    """Words that name a piece type which the piece is not taken to be of."""
    out = tuple(
        one
        for one in reading.observations
        if (one.feature, one.value, one.state) == ("piece", each.piece, "ruled-out")
    )
    observations = (*each.observations, *out[:1])
    return replace(
        each, piece="", observations=observations, fate=each.fate if observations else "neutral"
    )


def _told(each: Accounted, resting: frozenset[str]) -> Accounted:
    """What is left of some words without the remarks on which nothing rests."""
    seen = tuple(one for one in each.observations if one.feature != REMARK)
    remarks = [one for one in each.observations if one.feature == REMARK]
    kept = [(one, say) for one, say in zip(remarks, each.remarks, strict=True)]
    kept = [(one, say) for one, say in kept if one.value in resting]
    if not kept:
        return replace(each, fate="neutral", observations=seen, remarks=(), only_remarks=False)
    telling, said = zip(*kept, strict=True)
    return replace(each, observations=(*seen, *telling), remarks=said)


def _rested_on(base: KnowledgeBase, reading: Reading) -> frozenset[str]:
    """The remarks on which something that the reading says rests."""
    seen = reading.observations
    facts = Facts(seen, base, reading.piece_type)
    return frozenset(
        seen[at].value
        for condition in _conditions(base, reading)
        for at in used(condition, facts)
        if seen[at].feature == REMARK
    )


def _conditions(base: KnowledgeBase, reading: Reading) -> Iterator[Condition]:
    """The conditions of what misleads, the findings, the points of care and the clues told of."""
    conditions = (
        *(base.misleading[each.name].when for each in reading.misleading),
        *(base.findings[each].when for each in reading.findings),
        *(base.cautions[each.caution].when for each in reading.cautions),
        *(base.clues[each.clue].when for each in reading.clues if each.clue in base.clues),
    )
    return (each for each in conditions if each is not None)
