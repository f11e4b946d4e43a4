"""What stands beside the letters, and how the mark looks: its share of the likelihood."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property, lru_cache
from math import log
from typing import TYPE_CHECKING

from markrules.frozen import dataclass
from markrules.knowledge.base import Chance, KnowledgeBase, Several
from markrules.marks.divisions import DivisionRates
from markrules.marks.entries import MarkEntry
from markrules.marks.letters import letter_case
from markrules.marks.reading_variants import ReadingVariant
from markrules.marks.vocabulary import MarkWords

if TYPE_CHECKING:
    from markrules.marks.description import Descriptions


@dataclass(frozen=True, slots=True)
class ContextRates:
    """Chances that what stands on a piece is read and written down, each the setting `mark-NAME`,
    with hyphens, of the rules.

    `beside_read`: a phrase recorded with this mark, when it stands there; `beside_unread`: it is
    not in the reading; `beside_other`, times its general share: a phrase not recorded with it.
    `beside_initials`: a phrase stands so many times as often beside two or three letters of a maker
    in no list as beside its longer marks. `words_alone`: a maker's piece bears only words that
    anyone's may bear. `lines_agree`: as many
    lines were read as the mark has; `case_agrees`: capitals and small letters stand as they were
    written down; `unlisted_agrees`: the same of a mark in no list. `described_right`: a word of the
    description is in the mark's record; times its general share `described_wrong`: the record says
    otherwise, and `described_open`: it is silent. `described_least`: no word is rarer than this.
    """

    beside_read: Chance
    beside_unread: Chance
    beside_other: Chance
    beside_initials: Several
    words_alone: Chance
    lines_agree: Chance
    case_agrees: Chance
    unlisted_agrees: Chance
    described_right: Chance
    described_wrong: Chance
    described_open: Chance
    described_least: Chance


@lru_cache(maxsize=8)
def context_rates(base: KnowledgeBase) -> ContextRates:
    """The chances of a knowledge base. Raises UnfitSetting."""
    return base.settings_as(ContextRates, "mark-")


@lru_cache(maxsize=8)
def division_rates(base: KnowledgeBase) -> DivisionRates:
    """How words that part are read. Raises UnfitSetting."""
    return base.settings_as(DivisionRates, "words-")


@dataclass(frozen=True, eq=False)
class ContextModel:
    """Scores what was seen beside the letters."""

    words: MarkWords
    describe: Callable[[], Descriptions]
    rates: ContextRates
    divisions: DivisionRates

    @cached_property
    def descriptions(self) -> Descriptions:
        """How marks are described: made by `describe` when a reading first describes one."""
        return self.describe()

    def log_likelihood(self, variant: ReadingVariant, entry: MarkEntry, own: bool) -> float:
        """The natural log of P(phrases beside, where words part, lines, case, description | mark).

        `own` tells that the mark's own letters were compared, and not all of them.
        """
        rates = self.rates
        total = self._beside(variant, entry) if own and not entry.words_only else 0.0
        if entry.words_only:
            total += log(rates.words_alone)
        if entry.divided and not variant.turned:
            struck = entry.divided[0 if own else 1]
            total += self.divisions.log_likelihood(variant.divided, struck, variant.has_gap)
        if variant.lines > 1:
            agree = entry.lines == variant.lines
            total += log(rates.lines_agree if agree else 1 - rates.lines_agree)
        if variant.case:
            agree = letter_case(entry.text) == variant.case
            total += log(rates.case_agrees if agree else 1 - rates.case_agrees)
        return total + sum(self._described(word, entry) for word in self.described(variant))

    def unknown(self, variant: ReadingVariant) -> float:
        """The same for a mark that is in no list."""
        often = self.rates.beside_initials if variant.initials else 1.0
        usual = self.rates.beside_read  # no word is likelier than where it is on record
        total = sum(log(min(often * self.words.share(each), usual)) for each in variant.beside)
        seen = (variant.lines > 1) + bool(variant.case)
        total += seen * log(self.rates.unlisted_agrees)
        return total + sum(log(self._unlisted(variant, word)) for word in self.described(variant))

    def _unlisted(self, variant: ReadingVariant, word: str) -> float:
        """P(the word describes a mark in no list). Of two or three letters it may tell nothing more
        than they do (`initials`): it is as common as it is among the listed marks of so many.
        """
        known = self.descriptions.of_initials if variant.initials else {}
        return max(self._share(word), known.get(word, 0.0))

    def words_of_anyone(self, phrases: frozenset[str]) -> float:
        """The natural log of P(these words and no maker's letters | a mark in no list)."""
        return sum(log(self.words.share(phrase)) for phrase in phrases)

    def described(self, variant: ReadingVariant) -> list[str]:
        """The words of the description by which marks are described."""
        if not variant.described:
            return []
        words = (
            word
            for phrase in variant.described
            for word in sorted(self.descriptions.words_in(phrase))
        )
        return [word for word in words if self.descriptions.knows(word)]

    def not_used(self, described: tuple[str, ...]) -> tuple[str, ...]:
        """The phrases of a description of which no word describes any mark."""
        if not described:
            return ()
        known = self.descriptions
        return tuple(
            phrase for phrase in described if not any(map(known.knows, known.words_in(phrase)))
        )

    def _beside(self, variant: ReadingVariant, entry: MarkEntry) -> float:
        rates = self.rates
        total = log(rates.beside_unread) * len(entry.beside - variant.beside)
        for phrase in variant.beside:
            if phrase in entry.beside:
                total += log(rates.beside_read)
            else:
                total += log(rates.beside_other * self.words.share(phrase))
        return total

    def _described(self, word: str, entry: MarkEntry) -> float:
        agrees = self.descriptions.agrees(word, entry)
        if agrees:
            return log(self.rates.described_right)
        other = self.rates.described_open if agrees is None else self.rates.described_wrong
        return log(other * self._share(word))

    def _share(self, word: str) -> float:
        return max(self.descriptions.shares[word], self.rates.described_least)
