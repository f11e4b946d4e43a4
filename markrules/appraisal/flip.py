"""The price at which another choice would become the best, solved exactly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from markrules.appraisal.options import Choice, Option


@dataclass(frozen=True, slots=True)
class Flip:
    """Below (or above) this price the choice becomes another one."""

    price: Fraction
    to: Choice
    above: bool


def flips(best: Option, others: Sequence[Option], price: Fraction) -> tuple[Flip, ...]:
    """The nearest prices on either side at which one of the others overtakes the best.

    Nets are straight lines in the price: a1 p + b1 = a2 p + b2 at p = (b2 - b1) / (a1 - a2).
    Prices below zero do not count. At most one flip below and one above; none where no line
    is ever crossed.
    """
    found: list[Flip] = []
    for other in others:
        steeper = best.slope - other.slope
        if not steeper or other.missing or best.missing:
            continue
        meets = (other.constant - best.constant) / steeper
        # The steeper line wins above the crossing: a less steep rival overtakes below it.
        if meets >= 0 and (meets >= price if steeper < 0 else meets <= price):
            found.append(Flip(meets, other.choice, above=steeper < 0))
    below = max((each for each in found if not each.above), key=_price, default=None)
    above = min((each for each in found if each.above), key=_price, default=None)
    return tuple(each for each in (below, above) if each is not None)


def _price(flip: Flip) -> Fraction:
    return flip.price
