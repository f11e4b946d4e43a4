"""Sentences on a firm, a stuff or a fashion in general, of which nothing is seen on the piece."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from markrules.notes.saying import Said
from markrules.notes.segments import Segment
from markrules.notes.vocabulary import Vocabulary


def told_in_general(vocabulary: Vocabulary, segments: Sequence[Segment]) -> frozenset[int]:
    """The places of segments of sentences that tell a history: `The firm was founded in 1904.`

    Such a sentence has words of the role `history` and none of `in-hand` (this, marked). The first
    sentence of a note is of the piece, whatever it tells besides.
    """
    histories, in_hand = vocabulary.histories, vocabulary.in_hand
    if histories is None:
        return frozenset()
    begins = [at for at, each in enumerate(segments) if at and not each.goes_on]
    found: set[int] = set()
    for at, end in pairwise([*begins, len(segments)]):
        sentence = ", ".join(each.text for each in segments[at:end])
        if histories.search(sentence) and not (in_hand and in_hand.search(sentence)):
            found.update(range(at, end))
    return frozenset(found)


def silenced(part: Said) -> Said:
    """A segment of which nothing is taken for the piece; its words are neutral."""
    return replace(
        part,
        order=(),
        marks=(),
        pieces=(),
        not_understood=(),
        assumed=(),
        total=0,
        understood=0,
        ends_in_mark=False,
        mark_absent=False,
        letter="",
        things=(),
        denies=False,
        denies_thing=False,
        account=tuple(
            replace(each, lot="neutral", order=(), pieces=frozenset()) for each in part.account
        ),
        folds=(),
    )
