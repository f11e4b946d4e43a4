"""How often marks of a kind are met, and marks are read in odd ways: numbers of the rules."""

from __future__ import annotations

from functools import lru_cache

from markrules.frozen import dataclass
from markrules.knowledge.base import Chance, KnowledgeBase, Several


@dataclass(frozen=True, slots=True)
class MarkShares:
    """Shares and chances, each the setting `mark-NAME`, with hyphens, of the rules.

    `turned_about`: a mark is read from right to left; `turned_in_full`: the same of one legible in
    full. `order_of_monogram`, `order_unsaid`, `order_of_block`: two or three letters are read in
    another order, of a monogram or ligature, of a mark of a form not told, and of any other.
    `word_of_many`: of the marks in no list, those that are one word of many names. `not_listed`:
    the least share of marks that no list holds. `own_lists`: the most that all marks of a person's
    own lists weigh together, beside the weights of makers. `number_beside`: of pieces with a mark,
    those that show a number beside it; `code_alone`: of marks in no list, those that are a code of
    letters and figures. `name_as_mark`: a maker's piece bears its name in a form that no mark of
    it has. `first_words`, `last_words`: of a mark of several words only these are written down.
    `near`: a mark is the nearest where of so many letters read at most one is wrong.
    `resembles_least`: with fewer letters marks are alike by chance alone. `shortest_part`: fewer
    letters of a name tell no maker; `common_word`: nor does a word in the names of so many makers.
    """

    turned_about: Chance
    turned_in_full: Chance
    order_of_monogram: Chance
    order_unsaid: Chance
    order_of_block: Chance
    word_of_many: Chance
    not_listed: Chance
    own_lists: Several
    number_beside: Chance
    code_alone: Chance
    name_as_mark: Chance
    first_words: Chance
    last_words: Chance
    near: Several
    resembles_least: int
    shortest_part: int
    common_word: int

    def out_of_order(self, form: str) -> float:
        """The chance that two or three letters of a mark of that form are read in another order."""
        if form in LETTERS_ENTWINED:
            return self.order_of_monogram
        return self.order_of_block if form else self.order_unsaid


LETTERS_ENTWINED = ("monogram", "ligature")
"""Forms of a mark whose letters have no order."""


@dataclass(frozen=True, slots=True)
class MetalShares:
    """How marks of metal are taken, each the setting `metal-NAME`, with hyphens.

    `rounding`: thousandths by which a fineness in karats and one in figures may differ and still be
    the same. `beside_qualifies`, `beside_unknown`: the most that a reading weighs where a word
    beside it may take back that all is of the metal, and where the word is not known. From the
    weight `sure` on a reading is sure, and below `fair` it is a guess.
    """

    rounding: float
    beside_qualifies: Chance
    beside_unknown: Chance
    sure: Chance
    fair: Chance


@dataclass(frozen=True, slots=True)
class NumberShares:
    """How sure readings of numbers are, each the setting `number-NAME`, with hyphens.

    `sure`, `fair`: from which weight on the reading of a number of a register is so. `old_figures`:
    how often a day in figures, with two for its year, is one of before 1900.
    """

    sure: Chance
    fair: Chance
    old_figures: Chance


@dataclass(frozen=True, slots=True)
class LetterShares:
    """How date letters are weighed, each the setting `letter-NAME`, with hyphens.

    `row_doubt`: the doubt about a row of a table that does not say how far it is trusted.
    `office_untold`: the share of an office whose share is not told. `off_by_one`: a row that is
    wrong is so many times as likely wrong by one year as by two.
    """

    row_doubt: Chance
    office_untold: Chance
    off_by_one: Several


@lru_cache(maxsize=8)
def mark_shares(base: KnowledgeBase) -> MarkShares:
    """The shares of a knowledge base. Raises UnfitSetting, as do the others."""
    return base.settings_as(MarkShares, "mark-")


@lru_cache(maxsize=8)
def metal_shares(base: KnowledgeBase) -> MetalShares:
    """How marks of metal are taken."""
    return base.settings_as(MetalShares, "metal-")


@lru_cache(maxsize=8)
def number_shares(base: KnowledgeBase) -> NumberShares:
    """How sure readings of numbers are."""
    return base.settings_as(NumberShares, "number-")


@lru_cache(maxsize=8)
def letter_shares(base: KnowledgeBase) -> LetterShares:
    """How date letters are weighed."""
    return base.settings_as(LetterShares, "letter-")
