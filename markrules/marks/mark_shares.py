"""How often marks of a kind are met, and marks are read in odd ways: numbers of the rules."""

from __future__ import annotations

from functools import lru_cache

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase


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
    """

    turned_about: float
    turned_in_full: float
    order_of_monogram: float
    order_unsaid: float
    order_of_block: float
    word_of_many: float
    not_listed: float
    own_lists: float
    number_beside: float
    code_alone: float
    name_as_mark: float
    first_words: float
    last_words: float

    def out_of_order(self, form: str) -> float:
        """The chance that two or three letters of a mark of that form are read in another order."""
        if form in LETTERS_ENTWINED:
            return self.order_of_monogram
        return self.order_of_block if form else self.order_unsaid


LETTERS_ENTWINED = ("monogram", "ligature")
"""Forms of a mark whose letters have no order."""


@lru_cache(maxsize=8)
def mark_shares(base: KnowledgeBase) -> MarkShares:
    """The shares of a knowledge base. Raises MissingSetting where the rules lack one of them."""
    return base.settings_as(MarkShares, "mark-")
