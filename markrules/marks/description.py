"""How marks are described in words: their form, method, symbols, country and place."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Feature
from markrules.marks.entries import MarkEntry
from markrules.marks.letters import folded
from markrules.marks.reading_variants import INITIALS

_WORD = re.compile(r"[^\W_]{3,}")
KINDS = ("form", "method", "symbol", "country", "place")


@dataclass(frozen=True, eq=False)
class Descriptions:
    """The words by which marks are described.

    `kinds` tells for a word which kinds of record use it, `shares` the share of marks that it
    is recorded for, `of_initials` the share of the marks of two and three letters. `methods` holds,
    for a method or form, the words that the rules use for it.
    """

    kinds: Mapping[str, frozenset[str]]
    shares: Mapping[str, float]
    methods: Mapping[str, frozenset[str]]
    of_initials: Mapping[str, float]

    @staticmethod
    def words_in(text: str) -> frozenset[str]:
        """The words of three letters and more, folded."""
        return frozenset(map(folded, _WORD.findall(text)))

    def knows(self, word: str) -> bool:
        """Whether any mark is described with the word."""
        return word in self.kinds

    def agrees(self, word: str, entry: MarkEntry) -> bool | None:
        """Whether the mark's record has the word; None where the record is silent there."""
        silent = True
        for kind in self.kinds.get(word, ()):
            text = getattr(entry, kind)
            if text:
                if word in self.words_in(text) or word in self.methods.get(text, ()):
                    return True
                silent = False
        return None if silent else False


def descriptions(entries: Iterable[MarkEntry], base: KnowledgeBase | None) -> Descriptions:
    """The words that describe the given marks, with the synonyms that the rules give."""
    listed = tuple(entries)
    recorded = {text for entry in listed for text in (entry.form, entry.method) if text}
    methods = _synonyms(recorded, base.features.values()) if base is not None else {}
    kinds: dict[str, set[str]] = {}
    counts: dict[str, int] = {}
    short: dict[str, int] = {}
    for word in sorted(_never_by_makers(base)) if base is not None else ():
        kinds[word] = {"method"}
        counts[word] = 0
    for entry in listed:
        for kind in KINDS:
            text = getattr(entry, kind)
            if text:
                for word in Descriptions.words_in(text) | methods.get(text, frozenset()):
                    kinds.setdefault(word, set()).add(kind)
                    counts[word] = counts.get(word, 0) + 1
                    if len(entry.own) in INITIALS:
                        short[word] = short.get(word, 0) + 1
    initials = sum(len(entry.own) in INITIALS for entry in listed)
    return Descriptions(
        {word: frozenset(each) for word, each in kinds.items()},
        {word: count / (len(listed) + 1) for word, count in counts.items()},
        methods,
        {word: count / (initials + 1) for word, count in short.items()},
    )


def _never_by_makers(base: KnowledgeBase) -> frozenset[str]:
    """Words for ways of marking that makers seldom used (`scratched`), as the rules have them."""
    return frozenset(
        word for text in base.words_of("no-makers-way") for word in Descriptions.words_in(text)
    )


def _synonyms(recorded: set[str], features: Iterable[Feature]) -> dict[str, frozenset[str]]:
    """For each form or method, the words of the feature values that are named after it.

    Only a feature whose values are named after several of them speaks of marks; and a word
    that would stand for several forms or methods tells none of them apart.
    """
    words: dict[str, set[str]] = {}
    for feature in features:
        named = {
            (text, value)
            for value in feature.values
            for text in recorded
            if text in value.name.split("-")
        }
        if len({text for text, _ in named}) > 2:
            for text, value in named:
                words.setdefault(text, set()).update(*map(Descriptions.words_in, value.also))
    return {
        text: frozenset(
            word
            for word in each
            if not any(word in others for other, others in words.items() if other != text)
        )
        for text, each in words.items()
    }
