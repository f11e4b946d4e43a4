"""Grams of fine metal and their melt value, from a mark and the weight of the piece."""

from __future__ import annotations

from collections.abc import Sequence

from markrules.marks.metal import MetalReading
from markrules.named_tuple import NamedTuple

TROY_OUNCE_G = 31.1034768
"""Grams in a troy ounce, exact by the international pound of 1959 (NIST Handbook 44, App. C)."""

_UNITS_G = {"g": 1.0, "kg": 1000.0, "ozt": TROY_OUNCE_G, "dwt": TROY_OUNCE_G / 20}


class Range(NamedTuple):
    """The least and the most that a quantity can be."""

    low: float
    high: float


def fine_grams(reading: MetalReading, gross_g: float, stones_g: float = 0.0) -> Range | None:
    """Grams of fine metal in a piece of this weight, if the mark is true of all of it.

    `gross_g` is the weight of the piece and `stones_g` that of everything in it that is not
    metal. None where the mark does not tell how much precious metal there is.
    Raises ValueError for a weight below zero, or stones heavier than the piece.
    """
    if gross_g < 0 or stones_g < 0 or stones_g > gross_g:
        raise ValueError("weights are zero or more, and stones weigh no more than the piece")
    if reading.fine_share is None:
        return None
    metal_g = gross_g - stones_g
    return Range(metal_g * reading.fine_share[0], metal_g * reading.fine_share[1])


def price_per_gram(price: float, unit: str = "ozt") -> float:
    """A price of fine metal per gram; `unit` is what it was quoted for: g, kg, ozt or dwt.

    Raises ValueError for another unit or a price below zero.
    """
    if unit not in _UNITS_G:
        raise ValueError(f'unknown unit "{unit}": use one of {", ".join(_UNITS_G)}')
    if not price >= 0:
        raise ValueError("a price is zero or more")
    return price / _UNITS_G[unit]


def melt_value(grams: Range, per_gram: float) -> Range:
    """What the fine metal would fetch before any refiner's charge, in the price's own money."""
    return Range(grams.low * per_gram, grams.high * per_gram)


def is_coat(reading: MetalReading) -> bool:
    """Whether a mark tells of precious metal that lies on another: filled, rolled, plated."""
    return reading.how not in {"solid", "none"}


def whole_piece(readings: Sequence[MetalReading]) -> MetalReading | None:
    """The one mark to count a piece by, so that no hope is weighed; None where none serves.

    A mark of a coat counts before a solid one beside it. Marks of different metals, or a
    name that holds none, leave open how much there is of each.
    """
    telling = [each for each in readings if each.how != "wording"]
    coats = [each for each in telling if is_coat(each)]
    counted = coats or telling
    if not counted or len({each.metal for each in counted}) > 1:
        return None
    known = [each for each in counted if each.fine_share is not None]
    return min(known, key=lambda each: each.fine_share or (0.0, 0.0), default=None)
