"""The metal in a piece as a floor under its value, if its mark is true."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from markrules.appraisal.figures import Figures
from markrules.frozen import dataclass
from markrules.knowledge.observation import Observation
from markrules.marks.metal import MetalReading
from markrules.marks.metal_value import Range, fine_grams, melt_value, whole_piece

WEIGHT = "weight"


@dataclass(frozen=True, slots=True)
class Melt:
    """What the mark claims: `grams` of fine metal and their `value`, as ranges.

    Either is None where it cannot be told; `words` say what is wanting, and that a mark is a
    claim. `test` is what a professional would test.
    """

    metal: str
    mark: str
    grams: Range | None
    value: Range | None
    words: tuple[str, ...]
    test: str


def melt_of(
    readings: Sequence[MetalReading],
    observations: Sequence[Observation],
    figures: Figures,
    stones_g: float = 0.0,
) -> Melt | None:
    """The metal that the marks claim; None where no mark claims any.

    The weight is that observed on the piece; `stones_g` is what of it is not metal. Raises
    ValueError where stones weigh more than the piece.
    """
    counted = whole_piece(readings)
    if counted is None or counted.fine_share is None or not any(counted.fine_share):
        return None
    weight, words = _weight(observations), ["A mark is a claim: the metal is not tested."]
    grams = fine_grams(counted, weight, stones_g) if weight is not None else None
    if grams is None:
        words.append("Weigh the piece to know the grams of metal in it.")
    elif not stones_g:
        words.append("Stones and other stuff in it weigh too: the metal is at most this.")
    price = figures.get(f"{counted.metal}-price")
    value = melt_value(grams, float(price)) if grams is not None and price is not None else None
    if price is None:
        words.append(f"Set the figure {counted.metal}-price to know what it would fetch.")
    words.append(
        "Who buys and melts second-hand metal may need a licence and keep records:"
        " local law decides."
    )
    return Melt(counted.metal, counted.words, grams, value, tuple(words), counted.test)


def melt_net(melt: Melt | None, figures: Figures) -> Fraction | None:
    """What a refiner would pay at least, in the figures' money; None where it is not known."""
    if melt is None or melt.value is None:
        return None
    return Fraction(melt.value.low) * (1 - figures.or_zero("refiner-share"))


def _weight(observations: Sequence[Observation]) -> float | None:
    weights = [
        each.number
        for each in observations
        if each.feature == WEIGHT
        and each.state == "seen"
        and not each.heard
        and each.number is not None
    ]
    return weights[-1] if weights else None
