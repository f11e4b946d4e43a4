"""What stands beside the letters, and how the mark looks: its share of the likelihood."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from math import log

from markrules.marks.entries import MarkEntry
from markrules.marks.letters import folded
from markrules.marks.reading_variants import ReadingVariant
from markrules.marks.vocabulary import Vocabulary

_WORD = re.compile(r"\w{3,}|[©®™]")


@dataclass(frozen=True, slots=True)
class ContextRates:
    """Chances that what stands on a piece is read and written down. Set by reason."""

    beside_read: float = 0.85  # a phrase recorded with this mark, when it stands there
    beside_unread: float = 0.5  # a phrase recorded with the mark is not in the reading
    beside_other: float = 0.5  # times its general share: a phrase not recorded with the mark
    words_alone: float = 0.1  # a maker's piece bears only words that anyone's may bear
    lines_agree: float = 0.7  # as many lines were read as the mark has
    described_right: float = 0.7  # a word of the description is in the mark's record
    described_wrong: float = 0.04  # it is not, though the record tells of such things
    described_open: float = 0.15  # it is not, and the record is silent


@dataclass(frozen=True, eq=False)
class ContextModel:
    """Scores what was seen beside the letters. `shares` are the words of descriptions and the
    share of marks that each is recorded for.
    """

    words: Vocabulary
    shares: dict[str, float]
    rates: ContextRates

    def log_likelihood(self, variant: ReadingVariant, entry: MarkEntry, own: bool) -> float:
        """The natural log of P(phrases beside, lines and description | mark)."""
        total = self._beside(variant, entry) if own and not entry.words_only else 0.0
        if entry.words_only:
            total += log(self.rates.words_alone)
        if variant.lines > 1:
            agree = self.rates.lines_agree
            total += log(agree if entry.lines == variant.lines else 1 - agree)
        return total + self._described(variant, entry)

    def unknown(self, variant: ReadingVariant) -> float:
        """The same for a mark that is in no list."""
        total = sum(log(self.words.share(phrase)) for phrase in variant.beside)
        if variant.lines > 1:
            total += log(0.5)
        return total + sum(log(self._share(word)) for word in _description(variant.described))

    def words_of_anyone(self, phrases: frozenset[str]) -> float:
        """The natural log of P(these words and no maker's letters | a mark in no list)."""
        return sum(log(self.words.share(phrase)) for phrase in phrases)

    def _beside(self, variant: ReadingVariant, entry: MarkEntry) -> float:
        rates = self.rates
        total = 0.0
        for phrase in variant.beside:
            if phrase in entry.beside:
                total += log(rates.beside_read)
            else:
                total += log(rates.beside_other * self.words.share(phrase))
        return total + log(rates.beside_unread) * len(entry.beside - variant.beside)

    def _described(self, variant: ReadingVariant, entry: MarkEntry) -> float:
        if not variant.described:
            return 0.0
        recorded = _recorded(entry)
        rates = self.rates
        silent = rates.described_wrong if entry.symbol else rates.described_open
        return sum(
            log(rates.described_right if word in recorded else silent)
            for word in _description(variant.described)
        )

    def _share(self, word: str) -> float:
        return max(self.shares.get(word, 0.0), 0.02)


def context_model(entries: Iterable[MarkEntry], words: Vocabulary) -> ContextModel:
    """The model of how the given marks are described."""
    counts: dict[str, int] = {}
    number = 1
    for entry in entries:
        number += 1
        for word in _recorded(entry):
            counts[word] = counts.get(word, 0) + 1
    shares = {word: count / number for word, count in counts.items()}
    return ContextModel(words, shares, ContextRates())


def _recorded(entry: MarkEntry) -> frozenset[str]:
    """The words by which a mark's look is recorded."""
    told = " ".join((entry.symbol, entry.form, entry.method, entry.country, entry.place))
    return frozenset(folded(word) for word in _WORD.findall(told))


def _description(phrases: Iterable[str]) -> tuple[str, ...]:
    return tuple(folded(word) for phrase in phrases for word in _WORD.findall(phrase))
