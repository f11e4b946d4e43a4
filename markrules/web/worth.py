"""What a piece is worth and what to do with it, as the appraisal says: for one piece or a box."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from markrules.appraisal.appraisal import Appraisal
from markrules.appraisal.box import BoxAppraisal, Read, appraise_box
from markrules.appraisal.figures import figures_from
from markrules.appraisal.likeness import measure
from markrules.appraisal.mates import wants_mate
from markrules.appraisal.options import WORDS
from markrules.appraisal.stone import stone_of
from markrules.appraisal.stones import Advice, advise
from markrules.catalogue.records import Box, Piece
from markrules.web.desk import Visit


@dataclass(frozen=True, slots=True)
class Worth:
    """An appraisal with what a page needs to show it: names of choices, and amounts.

    `stones` is what the tin holds for a piece that lacks some.
    """

    appraisal: Appraisal
    stones: Advice | None = None

    @property
    def currency(self) -> str:
        """The money that the estimate is in; empty without one."""
        found = self.appraisal.valuation.estimate
        return found.currency if found is not None else ""

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


def worth_of(visit: Visit, piece: Piece) -> Worth:
    """The appraisal of one piece; its box is looked at too where the piece wants a mate."""
    found = appraise_pieces(visit, [piece]).pieces[piece.id]
    box = visit.catalogue.box_by_id(piece.box)
    if wants_mate(visit.base, found.reading) and not too_many(visit, box):
        others = {each.id: each for each in (piece, *visit.catalogue.pieces(box))}
        found = appraise_pieces(visit, list(others.values())).pieces[piece.id]
    if not found.condition.completeness.stones_wanting:
        return Worth(found)
    wanted = stone_of(found.reading.observations)
    return Worth(found, advise(visit.base, wanted, visit.catalogue.stones()))


def appraise_pieces(visit: Visit, pieces: Sequence[Piece]) -> BoxAppraisal:
    """The appraisal of these pieces together."""
    evidence = visit.catalogue.evidence_for([each.id for each in pieces])
    read = {each.piece: Read(*visit.desk.read_kept(each)) for each in evidence}
    figures = figures_from(visit.catalogue.figures())
    today = datetime.date.today()
    return appraise_box(measure(visit.base), read, visit.catalogue.sales(), figures, today)


def too_many(visit: Visit, box: Box) -> bool:
    """Whether a box is too large to be looked at as a whole at once."""
    held = visit.catalogue.box_counts().get(box.id, 0)
    return held > visit.base.setting("box-at-once", 500)
