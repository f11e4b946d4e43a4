"""The metal in a piece as a floor under its value, if its mark is true or it was tested."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from markrules.appraisal.figures import Figures
from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.marks.metal import MetalReading, find_metal_marks
from markrules.marks.metal_value import Range, fine_grams, is_coat, melt_value, whole_piece

WEIGHT = "weight"
METAL = "metal"
"""The feature: what the metal is seen, or said by the owner, to be."""

COAT_PAID = "melt-of-a-coat"
"""The setting: what part of its gold one filled, rolled or plated piece brings as scrap."""

TESTED, TESTED_AS = "tested", "tested-as"
"""Features: that a piece was tested, and the mark of metal content whose fineness was found."""
PROVED_PRECIOUS = "metal-proved-precious"
"""The finding that the metal was tested and is what it was taken for."""
PROVED_BASE = "metal-proved-base"
"""The finding that the metal was tested and is no precious metal."""


METAL_OF_A_PART = "metal-of-a-part"
"""The finding that metal is but a part of it: the weight of all tells nothing of its metal."""


@dataclass(frozen=True, slots=True)
class Melt:
    """What a mark claims or a test found: `grams` of fine metal and their `value`, as ranges.

    Either is None where it cannot be told; `words` say what is wanting, and that a mark is a
    claim. `test` is what a professional would test, empty where one did: then `tested` is True.
    `marked` is False where the metal is only said to be so. `paid` is the part of its value that a
    refiner pays for one such piece, before his share: metal that lies on another is no scrap alone.
    """

    metal: str
    mark: str
    grams: Range | None
    value: Range | None
    words: tuple[str, ...]
    test: str
    tested: bool = False
    marked: bool = True
    paid: Fraction = Fraction(1)

    @property
    def how(self) -> str:
        """By what the metal is known: a test, a mark, or a word."""
        return "tested" if self.tested else "marked" if self.marked else "said to be"


def melt_of(
    base: KnowledgeBase,
    readings: Sequence[MetalReading],
    observations: Sequence[Observation],
    figures: Figures,
    stones_g: float = 0.0,
    *,
    proved: bool = False,
    of_a_part: bool = False,
) -> Melt | None:
    """The metal that a test found, the marks claim, or, without a mark, the owner's words for it
    (`18K ring`); None where none of them tells a fineness.

    What was tested stands before what is marked; `proved` tells that a test found the marks
    true. The weight is that observed on the piece; `stones_g` is what of it is not metal. With
    `of_a_part` nothing is counted: the metal is a clasp, say, and the weight that of beads.
    Raises ValueError where stones weigh more than the piece.
    """
    found = _tested_as(base, observations)
    marked = found or readings
    counted = whole_piece(marked or _said_to_be(base, observations))
    if counted is None or counted.fine_share is None or not any(counted.fine_share):
        return None
    tested = proved or bool(found)
    weight, words = _weight(observations), [_how_sure(observations, tested, bool(marked))]
    known = weight if not of_a_part else None
    grams = fine_grams(counted, known, stones_g) if known is not None else None
    if of_a_part:
        words.append("Metal is but a part of it: what that part weighs alone would tell.")
    elif grams is None:
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
    paid = Fraction(1)
    if is_coat(counted):
        paid = Fraction(round(base.setting(COAT_PAID) * 100), 100)
        why = base.settings[COAT_PAID].why if COAT_PAID in base.settings else ""
        words += [why] if why else []
    test = "" if tested else counted.test
    return Melt(
        counted.metal, counted.words, grams, value, tuple(words), test, tested, bool(marked), paid
    )


def _tested_as(
    base: KnowledgeBase, observations: Sequence[Observation]
) -> tuple[MetalReading, ...]:
    """The marks of metal content whose fineness a test found: at that, with no allowance."""
    found = [base.metal_marks.get(each.value) for each in _said(observations, TESTED_AS)]
    return tuple(
        replace(reading, fine_share=(reading.fineness[0] / 1000, reading.fineness[1] / 1000))
        for mark in found
        if mark is not None
        for reading in find_metal_marks(mark.reads[0], base)[:1]
        if reading.fineness is not None
    )


def _said_to_be(
    base: KnowledgeBase, observations: Sequence[Observation]
) -> tuple[MetalReading, ...]:
    """What the words by which the metal was named claim, read as a mark is."""
    said = _said(observations, METAL)
    return tuple(each for one in said for each in find_metal_marks(one.words, base))


def _how_sure(observations: Sequence[Observation], tested: bool, marked: bool) -> str:
    if not tested and marked:
        return "A mark is a claim: the metal is not tested."
    if not tested:
        return "What its metal is said to be is a claim: no mark was noted, and it is not tested."
    said = [each.words for name in (TESTED_AS, TESTED) for each in _said(observations, name)]
    quoted = ", ".join(f'"{words}"' for words in dict.fromkeys(said) if words)
    return f"Tested{': ' + quoted if quoted else ''}. Keep the report or receipt with the piece."


def _said(observations: Sequence[Observation], feature: str) -> list[Observation]:
    return [e for e in observations if e.feature == feature and e.state == "seen" and not e.heard]


def melt_net(melt: Melt | None, figures: Figures) -> Fraction | None:
    """What a refiner would pay at least, in the figures' money; None where it is not known."""
    if melt is None or melt.value is None or not melt.paid:
        return None
    return Fraction(melt.value.low) * melt.paid * (1 - figures.or_zero("refiner-share"))


def melt_most(melt: Melt | None, figures: Figures) -> Fraction | None:
    """What a refiner would pay at most; None where it is not known."""
    if melt is None or melt.value is None or not melt.paid:
        return None
    return Fraction(melt.value.high) * melt.paid * (1 - figures.or_zero("refiner-share"))


def _weight(observations: Sequence[Observation]) -> float | None:
    weights = [each.number for each in _said(observations, WEIGHT) if each.number is not None]
    return weights[-1] if weights else None
