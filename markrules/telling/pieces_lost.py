"""Which pieces the note of a set names only to say that they are not there: `tiara missing`."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Accounted

_MOST_BETWEEN = 4
"""Words between a piece and what tells of it, at most: `the ring of the set is gone`."""


def pieces_lost(base: KnowledgeBase, account: Sequence[Accounted]) -> frozenset[int]:
    """The places in an account whose words name what is not there, or no more: behind a denial,
    `without the bracelet`, or before a fault that says so of no other thing, `tiara is missing`.
    """
    denials, gone = _words(base, "negation"), _words(base, "no-claim-after")
    little = _words(base, "little") | _words(base, "opening")
    kinds = _names(base)
    said = [" ".join(each.words.casefold().split()) for each in account]
    lost = set()
    for at, each in enumerate(account):
        if not said[at]:
            continue
        before = said[at - 1].split() if at and not account[at - 1].observations else []
        if before[:1] and before[0] in denials and little.issuperset(before[1:]):
            lost.add(at)
            continue
        if any(one.feature == "fault" for one in each.observations):
            # `bracelet is missing` may be one fault whole.
            name, _, told = said[at].partition(" ")
            if name in kinds and told in gone:
                lost.add(at)
            continue
        after = at + 1
        # `is` and `of the set is` say nothing; another piece is told of for itself.
        while (
            after < len(account)
            and account[after].fate == "neutral"
            and len(said[after].split()) <= _MOST_BETWEEN
            and kinds.isdisjoint(said[after].split())
        ):
            after += 1
        if after == len(account) or said[after] not in gone or account[after].fate == "neutral":
            continue
        # The brooch of `brooch lost its pin` is there: what it lost stands behind.
        then = said[after + 1].split()[:1] if after + 1 < len(account) else []
        if after > at + 1 or little.isdisjoint(then):
            lost.add(at)
    return frozenset(lost)


@lru_cache(maxsize=4)
def _names(base: KnowledgeBase) -> frozenset[str]:
    return frozenset(
        words.casefold() for piece in base.pieces.values() for words in (piece.name, *piece.also)
    )


@lru_cache(maxsize=8)
def _words(base: KnowledgeBase, role: str) -> frozenset[str]:
    return frozenset(map(str.casefold, base.words_of(role)))
