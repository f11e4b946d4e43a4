"""The words that follow the first on makers' marks: CO, & SONS, BROS, JEWELRY.

How often each is met is counted on the names and marks of the rules, whose makers are as good a
sample of how firms call themselves as any: what several of them have stands on the marks of makers
in no list as often.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import pairwise

from markrules.knowledge.base import KnowledgeBase
from markrules.marks.entries import names_of
from markrules.marks.mark_shares import mark_shares
from markrules.marks.vocabulary import MarkWords, words_of

AND = "&"

Further = Mapping[str, Mapping[str, float]]
"""The share of each word among those that follow a word: under AND those behind `&`, under the
empty text those behind any other word. What is left over are words that few makers have."""

NONE_FURTHER: Further = {}
"""No such words."""


def further_words(base: KnowledgeBase, words: MarkWords) -> Further:
    """The words that follow the first in the names and marks of several makers, counted once a
    maker. Single letters are initials, and not among them.
    """
    counted: dict[str, Counter[str]] = {AND: Counter(), "": Counter()}
    for maker in base.makers.values():
        texts = (*(mark.text for mark in maker.marks), *names_of(maker))
        pairs = {pair for text in texts for pair in _pairs(_own(text, words))}
        for behind, word in pairs:
            counted[behind][word] += 1
    least = mark_shares(base).common_word
    return {
        behind: {
            word: count / found.total()
            for word, count in sorted(found.items())
            if count >= least and (len(word) > 1 or word == AND)
        }
        for behind, found in counted.items()
    }


def _own(text: str, words: MarkWords) -> list[str]:
    each = words_of(text)
    return [each[place] for place in words.apart(each)[0]]


def _pairs(own: Sequence[str]) -> set[tuple[str, str]]:
    return {(AND if before == AND else "", word) for before, word in pairwise(own)}
