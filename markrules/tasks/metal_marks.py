"""What a mark of metal claims, and what the metal of a piece of that weight would fetch."""

from __future__ import annotations

from markrules.catalogue.problems import CatalogueProblem
from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.marks.metal import MetalReading, find_metal_marks
from markrules.marks.metal_value import (
    Range,
    fine_grams,
    melt_value,
    price_per_gram,
    whole_piece,
)

UNITS = {"g": "gram", "kg": "kilogram", "ozt": "troy ounce", "dwt": "pennyweight"}
"""What a price of metal may be for."""


@dataclass(frozen=True, slots=True)
class MetalAsked:
    """The marks found in a text, and for a weight the fine metal in grams and its melt value.

    `grams` is None without a weight, and where the marks do not tell; `worth` without a price.
    """

    marks: tuple[MetalReading, ...]
    weight_g: float | None
    grams: Range | None
    worth: Range | None

    @property
    def words(self) -> tuple[str, ...]:
        """What there is to say of the weight, a sentence each; none where none was given."""
        if self.weight_g is None or not self.marks:
            return ()
        if self.grams is None:
            return ("How much precious metal there is, these marks do not tell.",)
        if self.grams.high == 0:
            return ("There is no precious metal to weigh.",)
        metal = self.marks[0].metal
        said = f"fine {metal}, if the mark is true of all of it: {_ends(self.grams)} g"
        if self.worth is None:
            return (said,)
        return said, f"melt value before a refiner's charge: {_ends(self.worth)}"


def metal_asked(
    base: KnowledgeBase,
    text: str,
    weight_g: float | None = None,
    stones_g: float = 0.0,
    price: float | None = None,
    per: str = "ozt",
) -> MetalAsked:
    """Decode the metal marks of a text; weights in grams, `price` of fine metal for one `per`.

    Raises CatalogueProblem where the stones weigh more than the piece.
    """
    marks = find_metal_marks(text, base)
    if weight_g is None:
        return MetalAsked(marks, None, None, None)
    if stones_g > weight_g:
        raise CatalogueProblem(
            f"what is not metal weighs {stones_g:g} g, more than the whole piece, {weight_g:g} g"
        )
    whole = whole_piece(marks)
    grams = fine_grams(whole, weight_g, stones_g) if whole is not None else None
    worth = melt_value(grams, price_per_gram(price, per)) if grams and price is not None else None
    return MetalAsked(marks, weight_g, grams, worth)


def _ends(ends: Range) -> str:
    low, high = f"{ends.low:.2f}", f"{ends.high:.2f}"
    return low if low == high else f"{low} to {high}"
