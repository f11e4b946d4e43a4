"""A question with its answers: the frequent ones at once, long lists in two steps by groups."""

from __future__ import annotations

from collections.abc import Sequence

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.language.conditions import Is
from markrules.language.tree import Answers, Feature, Piece, Value

FIRST_ANSWERS = 14
"""Answers shown at once; of more, groups come first, or the rarer ones stand apart."""
FEW_ANSWERS = 8
"""Answers of one thing shown where several things are asked for at once."""
OTHERS = "others"
"""The group of those that are not shown at first."""
PIECE = "piece"


@dataclass(frozen=True, slots=True)
class AnswerGroup:
    """Answers that go together, under words that a beginner knows."""

    name: str
    say: str
    values: tuple[Value | Piece, ...]


@dataclass(frozen=True, slots=True)
class Offer:
    """What a question offers: groups first where the rules name some, else the answers themselves.

    `rare` are answers that stand apart: the less frequent ones, or those in no group.
    """

    groups: tuple[AnswerGroup, ...]
    common: tuple[Value | Piece, ...]
    rare: tuple[Value | Piece, ...]


def offer_of(base: KnowledgeBase, feature: Feature, group: str = "") -> Offer:
    """What the question about a feature offers; of one group where one was chosen."""
    return _offer(base, feature.name, feature.values, group)


def few_of(base: KnowledgeBase, feature: Feature) -> Offer:
    """What a feature offers beside others: its groups or its most frequent answers, and the rest
    as one more group.
    """
    groups = _groups(base, feature.name, feature.values)
    shown: tuple[Value, ...] = ()
    if not groups:
        often = sorted(feature.values, key=_share, reverse=True)[:FEW_ANSWERS]
        shown = tuple(each for each in feature.values if each in often)
    held = {value.name for each in groups for value in each.values} | {each.name for each in shown}
    rest = tuple(each for each in feature.values if each.name not in held)
    if len(rest) < 2:
        return Offer(groups, (*shown, *rest), ())
    return Offer((*groups, AnswerGroup(OTHERS, "another kind", rest)), shown, ())


def kinds_offered(base: KnowledgeBase, group: str = "") -> Offer:
    """What the question for the kind of the piece offers."""
    narrow = tuple(each for each in base.pieces.values() if each.under is not None)
    return _offer(base, PIECE, narrow or tuple(base.pieces.values()), group)


def _offer(base: KnowledgeBase, feature: str, values: Sequence[Value | Piece], group: str) -> Offer:
    groups = _groups(base, feature, values)
    chosen = next((each for each in groups if each.name == group), None)
    if chosen is not None:
        return Offer((), chosen.values, ())
    if groups and len(values) > FIRST_ANSWERS:
        held = {value.name for each in groups for value in each.values}
        return Offer(groups, (), tuple(each for each in values if each.name not in held))
    if len(values) <= FIRST_ANSWERS:
        return Offer((), tuple(values), ())
    shares = sorted((_share(each) for each in values), reverse=True)
    least = shares[FIRST_ANSWERS - 1]
    common = [each for each in values if _share(each) >= least][:FIRST_ANSWERS]
    return Offer((), tuple(common), tuple(each for each in values if each not in common))


def _share(value: Value | Piece) -> float:
    return getattr(value, "share", None) or 0.0


def _groups(
    base: KnowledgeBase, feature: str, values: Sequence[Value | Piece]
) -> tuple[AnswerGroup, ...]:
    """The groups that the rules name for a feature, in the order of the rules."""
    known = {each.name: each for each in values}
    found = []
    for entry in base.answers.values():
        names = _names(entry, feature)
        held = tuple(known[name] for name in names if name in known)
        if held:
            found.append(AnswerGroup(entry.name, entry.say, held))
    return tuple(found)


def _names(entry: Answers, feature: str) -> tuple[str, ...]:
    condition = entry.when
    if isinstance(condition, Is) and condition.feature.name == feature:
        return tuple(each.name for each in condition.values)
    return ()
