"""Parts that a piece has not got by nature: a long rope of beads with no clasp lacks none."""

from __future__ import annotations

from dataclasses import replace

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.conditions import Facts, evaluate
from markrules.knowledge.observation import BY_NATURE, Observation
from markrules.language.conditions import Condition, features_in
from markrules.notes.pieces_named import PIECE
from markrules.notes.tokens import tokens_of
from markrules.notes.understanding import Understanding
from markrules.notes.vocabulary import Vocabulary

FAULT = "fault"


def without_by_nature(
    base: KnowledgeBase, vocabulary: Vocabulary, found: Understanding
) -> Understanding:
    """What a note says, in which a part that such a piece has not got by nature is not missing.

    A fault may say in its `unless` of which pieces that is so. It holds only for words that deny
    the part (`no clasp`); `clasp missing` tells that there was one.
    """
    denied = [
        each
        for each in found.observations
        if each.feature == FAULT and each.state == "seen" and _may_be_so(base, each)
    ]
    denied = [each for each in denied if _begins_denying(vocabulary, each.words)]
    if not denied:
        return found
    none_by_nature = {
        each: replace(each, state="ruled-out", assumed=BY_NATURE)
        for each in denied
        if _holds(base, base.faults[each.value].unless, found)
    }

    def told(seen: tuple[Observation, ...]) -> tuple[Observation, ...]:
        return tuple(none_by_nature.get(each, each) for each in seen)

    return replace(
        found,
        observations=told(found.observations),
        account=tuple(
            replace(each, observations=told(each.observations)) for each in found.account
        ),
    )


def _holds(base: KnowledgeBase, asked: Condition | None, found: Understanding) -> bool:
    """Whether a condition holds, where what a note does not tell of counts as not being so."""
    if asked is None:
        return False
    told = {each.feature for each in found.observations}
    untold = {each.name for each in features_in(asked)} - {*told, PIECE}
    silent = tuple(Observation(each, state="absent") for each in sorted(untold))
    facts = Facts((*found.observations, *silent), base, found.piece_type)
    return evaluate(asked, facts) is True


def _may_be_so(base: KnowledgeBase, seen: Observation) -> bool:
    fault = base.faults.get(seen.value)
    return fault is not None and fault.unless is not None


def _begins_denying(vocabulary: Vocabulary, words: str) -> bool:
    """Whether words begin with a denial by itself: `no clasp`, `without a clasp`."""
    folded = tokens_of(words, vocabulary.folding).folded
    first = vocabulary.words.longest(folded[:1], [False], 0) if folded else None
    return first is not None and any(
        sense.kind == "role" and sense.name == "negation" for sense in first[1].senses
    )
