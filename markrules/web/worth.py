"""What a piece is worth and what to do with it, as the appraisal says: for one piece or a box."""

from __future__ import annotations

from fractions import Fraction

from markrules.appraisal.appraisal import Appraisal
from markrules.appraisal.options import WORDS
from markrules.appraisal.stones import StoneAdvice
from markrules.appraisal.value import OF_ONE_SALE
from markrules.catalogue.records import Piece
from markrules.frozen import dataclass
from markrules.tasks.appraising import AppraisalDesk, appraise_piece, desk_of, stones_for
from markrules.web.desk import Visit


@dataclass(frozen=True, slots=True)
class Worth:
    """An appraisal with what a page needs to show it: names of choices, and amounts.

    `stones` is what the tin holds for a piece that lacks some.
    """

    appraisal: Appraisal
    stones: StoneAdvice | None = None

    @property
    def currency(self) -> str:
        """The money that the estimate is in; empty without one."""
        found = self.appraisal.valuation.estimate
        return found.currency if found is not None else ""

    @property
    def price_words(self) -> tuple[str, ...]:
        """What is said of the value, less that there is no price where a reason says so."""
        found = self.appraisal
        said = any("sold price" in each for each in found.decision.reasons)
        return found.valuation.words[1:] if self.currency == "" and said else found.valuation.words

    @property
    def few_are_told(self) -> bool:
        """Whether the words already tell for how much the sales count."""
        return any(OF_ONE_SALE in each for each in self.price_words)

    @property
    def wanting(self) -> tuple[str, ...]:
        """Figures that would let it be counted, less those that a reason names already."""
        decision = self.appraisal.decision
        said = " ".join(decision.reasons)
        return tuple(each for each in decision.wanting if each.replace("-", " ") not in said)

    def words(self, choice: str) -> str:
        """A choice as a person says it."""
        return choice_words(choice)

    def cash(self, amount: Fraction | float | None) -> str:
        """An amount as a person writes it; `not counted` where it is not known."""
        return cash(amount)


def cash(amount: Fraction | float | None) -> str:
    """An amount with two decimals; `not counted` where it is not known."""
    return "not counted" if amount is None else f"{float(amount):,.2f}"


def choice_words(choice: str) -> str:
    """A choice as a person says it; one that was written by hand stays as it is."""
    return next((words for name, words in WORDS.items() if name == choice), choice)


def choices() -> tuple[tuple[str, str], ...]:
    """Every choice that is weighed, with its words."""
    return tuple(WORDS.items())


def desk_at(visit: Visit) -> AppraisalDesk:
    """What an appraisal needs, as it stands in the catalogue now."""
    return desk_of(visit.desk.readings, visit.catalogue)


def worth_of(visit: Visit, piece: Piece) -> Worth:
    """The appraisal of one piece, and what the tin holds for it."""
    at = desk_at(visit)
    found = appraise_piece(at, visit.catalogue, piece)
    return Worth(found, stones_for(at, visit.catalogue, found, piece.note))
