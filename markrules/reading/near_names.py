"""Makers' names that a note spells as they are heard: Castelmark for Castlemark."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from markrules.knowledge.observation import (
    ASKED,
    MARK,
    MAYBE_MAKER,
    TOLD_MAKER,
    Accounted,
    Observation,
)
from markrules.late import late
from markrules.notes.matching import matched
from markrules.notes.others_names import is_owners, likening
from markrules.notes.tokens import Tokens, tokens_of
from markrules.notes.understanding import Understanding, Vocabulary
from markrules.reading.mark_states import by_ear

if TYPE_CHECKING:
    from markrules.marks.search import MarkSearch

_ENDS = late(r"[.;!?]\s|\n")
"""What ends a sentence."""

LEAST_LETTERS, LEAST_SMALL, MOST_TRIED = 4, 7, 3
"""Letters of a name with a capital, and of one in small letters, that is looked for among listed
ones; and how many stretches of words of one note are."""


def may_hold_a_name(told: Understanding) -> bool:
    """Whether anything in a note may be a maker's name: else no marks need be loaded."""
    return bool(told.not_understood) or any(
        each.feature == MAYBE_MAKER for each in told.observations
    )


def with_near_names(
    vocabulary: Vocabulary, marks: MarkSearch, told: Understanding, note: str
) -> Understanding:
    """What a note says where words that may be a maker's name, or were not understood, are most
    likely a listed one: then they are probably the mark, and it is asked.

    In small letters they must be so likelier than in capitals (setting `small-name-sure`): any word
    may stand there.
    """
    marks_told = [each for each in told.observations if each.feature == MARK]
    bare = any(each.state == "absent" for each in marks_told)
    if any(each.state != "absent" and each.assumed != ASKED for each in marks_told):
        return told  # a mark was told of: other words are not taken for one
    named: dict[int, Observation] = {}
    tokens = tokens_of(note, vocabulary.folding)
    tried = 0
    for at, each in enumerate(told.account):
        maybe = any(one.feature == MAYBE_MAKER for one in each.observations)
        if not maybe and each.fate != "not-understood":
            continue
        name = _name_in(vocabulary, each.words)
        if not name or tried == MOST_TRIED:
            continue
        start = note.find(name)
        places = [at for at in range(len(tokens)) if start <= tokens.starts[at] < start + len(name)]
        if start < 0 or not places or _is_no_maker(vocabulary, tokens, places[0], places[-1] + 1):
            continue
        tried += 1
        beside = _Beside(vocabulary, tokens, places[0], places[-1] + 1)
        if bare and not (beside.heard or maybe):
            continue  # what bears no name is a listed maker's only where somebody said so
        least = 0.5 if name[0].isupper() else vocabulary.base.setting("small-name-sure")
        if marks.listed_chance(name, by_ear(vocabulary.base, beside.certainty)) > least:
            named[at] = beside.told(vocabulary, name, each.words, bare)
    return _with_marks(told, named) if named else told


def _name_in(vocabulary: Vocabulary, words: str) -> str:
    """The part of a stretch of words that may be a name, from its first capital on where there is
    one; empty where it is too short, or holds figures.
    """
    tokens = tokens_of(words, vocabulary.folding)
    first = next((at for at in range(len(tokens)) if tokens.raw(at)[0].isupper()), 0)
    if not len(tokens) or any(tokens.numeric):
        return ""
    name = tokens.slice(first, len(tokens))
    letters = sum(map(str.isalpha, name))
    common = any(fold in vocabulary.no_slips for fold in tokens.folded)
    least = LEAST_LETTERS if name[0].isupper() else LEAST_SMALL
    return name if letters >= least and not (common and name[0].islower()) else ""


class _Beside:
    """What stands beside a name in its sentence: how sure the writer was of how it is spelt, and
    whether somebody told it.
    """

    def __init__(self, vocabulary: Vocabulary, tokens: Tokens, first: int, end: int) -> None:
        before, after = _sentence(tokens, first, end)
        items = matched(vocabulary, tokens).items
        inside = [item for item in items if before <= item.first and item.end <= after]
        ears = [
            sense.name
            for item in inside
            for sense in item.senses
            if sense.kind == "certainty" and by_ear(vocabulary.base, sense.name)
        ]
        self.certainty = ears[0] if ears else vocabulary.fairly_sure
        # Between two commas: `I was told it is old, Novak brooch` tells of age and not of Novak.
        near = [item for item in inside if item.end <= first and item.role("told")]
        self.heard = any(
            "," not in tokens.text[tokens.ends[each.end - 1] : tokens.starts[first]]
            for each in near
        )

    def told(self, vocabulary: Vocabulary, name: str, words: str, bare: bool) -> Observation:
        """The name: as told where somebody told it, or the piece is `bare` of marks, else as
        probably the mark.
        """
        if (self.heard or bare) and TOLD_MAKER in vocabulary.base.features:
            return Observation(TOLD_MAKER, name, heard=True, certainty=self.certainty, words=words)
        return Observation(MARK, name, certainty=self.certainty, words=words, assumed=ASKED)


def _sentence(tokens: Tokens, first: int, end: int) -> tuple[int, int]:
    """The tokens of the sentence that holds these."""
    before, after = first, end
    while before and not _ENDS.search(tokens.text[tokens.ends[before - 1] : tokens.starts[before]]):
        before -= 1
    while after < len(tokens) and not _ENDS.search(
        tokens.text[tokens.ends[after - 1] : tokens.starts[after]]
    ):
        after += 1
    return before, after


def _is_no_maker(vocabulary: Vocabulary, tokens: Tokens, first: int, end: int) -> bool:
    """Whether a note tells of the manner of a name, denies it, or tells whose it was."""
    return bool(likening(vocabulary, tokens, first, end)) or is_owners(
        vocabulary, tokens, matched(vocabulary, tokens), first, end
    )


def _without(part: Accounted, gone: list[Observation]) -> Accounted:
    """A part of the account without what was taken for something else in the end."""
    kept = tuple(each for each in part.observations if each not in gone)
    if kept == part.observations:
        return part
    return replace(part, observations=kept, fate=part.fate if kept else "neutral")


def _with_marks(told: Understanding, named: dict[int, Observation]) -> Understanding:
    """What a note says with some parts of its account told as marks."""
    gone = [one for at in named for one in told.account[at].observations]
    account = [
        Accounted(each.words, "understood", (named[at],)) if at in named else _without(each, gone)
        for at, each in enumerate(told.account)
    ]
    kept = [each for each in told.observations if each not in gone]
    return replace(
        told,
        observations=(*kept, *named.values()),
        not_understood=tuple(each.words for each in account if each.fate == "not-understood"),
        account=tuple(account),
    )
