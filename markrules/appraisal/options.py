"""What could be done with a piece, each with its sums as a straight line in the price.

Sums are exact fractions, so that the price at which two choices change places is exact too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Literal

from markrules.appraisal.figures import NEEDED, Figures
from markrules.frozen import dataclass


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


Choice = Literal["alone", "lot", "pair", "mend", "stones", "test", "specialist", "melt", "keep"]

WORDS: dict[Choice, str] = {
    "alone": "sell alone",
    "lot": "sell as part of a lot",
    "pair": "sell with its pair or set",
    "mend": "mend, then sell",
    "stones": "keep for stones and findings",
    "test": "send for a metal test",
    "specialist": "show it to a specialist",
    "melt": "sell for the metal",
    "keep": "keep",
}

LOT_PIECES = Fraction(8)  # where the owner has not said; shown among the sums


@dataclass(frozen=True, slots=True)
class Sum:
    """One line of the sums: an amount, and `times_price` for a part that goes with the price."""

    what: str
    amount: Fraction
    times_price: Fraction = Fraction(0)

    def at(self, price: Fraction | None) -> Fraction | None:
        """The amount at a price; None where it hangs on a price that is not known."""
        if not self.times_price:
            return self.amount
        return None if price is None else self.amount + self.times_price * price


@dataclass(frozen=True, slots=True)
class Option:
    """A choice with its sums, the minutes it takes, and the figures that are wanting for it.

    `leads_on` is a choice whose sums are what is spent until something is found out: alone they are
    no net.
    """

    choice: Choice
    sums: tuple[Sum, ...]
    minutes: Fraction
    missing: tuple[str, ...] = ()
    leads_on: bool = False

    @property
    def slope(self) -> Fraction:
        """How much the net grows with each unit of the price."""
        return sum((each.times_price for each in self.sums), Fraction(0))

    @property
    def constant(self) -> Fraction:
        """The net at a price of zero."""
        return sum((each.amount for each in self.sums), Fraction(0))

    def net(self, price: Fraction | None) -> Fraction | None:
        """Expected money after costs and time; None where a figure or the price is wanting."""
        if self.missing or self.leads_on or (self.slope and price is None):
            return None
        return self.constant + self.slope * (price or 0)

    def followed(self, *then: Sum) -> Option:
        """A choice that leads on, with what may be expected of what follows."""
        return replace(self, sums=(*self.sums, *then), leads_on=False)


@dataclass(frozen=True, slots=True)
class Work:
    """What a mend would take: how many stones, how many other mends, and what it changes.

    `gain` is the price of the mended piece beside that of the piece as it is.
    """

    stones: int
    mends: int
    gain: Fraction


@dataclass(frozen=True, slots=True)
class SoldTogether:
    """Sold with its mate or its set: how many `pieces`, and the part of the price of them all
    that one of them earns, beside its own price as it is (`gain`). `sold` tells that sales of such
    sets say so.
    """

    pieces: int
    gain: Fraction
    sold: bool = False


def options_for(
    figures: Figures,
    *,
    work: Work | None = None,
    together: SoldTogether | None = None,
    testing: Sequence[Choice] = (),
    going: int = 1,
    melt: Fraction | None = None,
) -> tuple[Option, ...]:
    """Every choice there is for a piece, with its sums from the figures given.

    `going` is how many pieces share one trip to a tester or specialist.
    """
    found = [_alone(figures), _lot(figures), _stones(figures), Option("keep", (), Fraction(0))]
    if work is not None:
        found.append(_mend(figures, work))
    if together is not None:
        found.append(_pair(figures, together))
    found += [_test(figures, choice, going) for choice in testing]
    if melt is not None:
        found.append(Option("melt", (Sum("metal, less the refiner's share", melt),), Fraction(0)))
    return tuple(found)


def _alone(figures: Figures) -> Option:
    minutes = figures.or_zero("listing-minutes") + figures.or_zero("packing-minutes")
    sums = (
        Sum("price", Fraction(0), Fraction(1)),
        Sum("fee", -figures.or_zero("fee-fixed"), -figures.or_zero("fee")),
        Sum("postage", -figures.or_zero("postage")),
        _time(figures, minutes),
    )
    return Option("alone", sums, minutes, figures.missing(*NEEDED))


def _mend(figures: Figures, work: Work) -> Option:
    """Sold mended where the mend succeeds, and as it is where not; its cost is spent either way."""
    alone, chance = _alone(figures), figures.or_zero("mend-chance")
    grows = chance * work.gain + (1 - chance)
    minutes = figures.or_zero("mend-minutes") * (work.stones + work.mends)
    cost = figures.or_zero("stone-cost") * work.stones + figures.or_zero("mend-cost") * work.mends
    sums = (
        Sum("price, mended or not", Fraction(0), grows),
        Sum("fee", -figures.or_zero("fee-fixed"), -figures.or_zero("fee") * grows),
        *alone.sums[2:],
        Sum("stones and stuff", -cost),
        Sum(f"{_whole(minutes)} minutes of mending", -_worth(figures, minutes)),
    )
    wanted = ("mend-chance", "mend-minutes", *(("stone-cost",) if work.stones else ()))
    missing = (*alone.missing, *figures.missing(*wanted))
    return Option("mend", sums, minutes + alone.minutes, missing)


def _pair(figures: Figures, together: SoldTogether) -> Option:
    """One piece's part of what the whole brings and costs: the rest is owed to the others."""
    alone, gain, pieces = _alone(figures), together.gain, together.pieces
    fee = -figures.or_zero("fee-fixed") / pieces
    minutes = alone.minutes / pieces
    by = ", as such sets sold" if together.sold else ""
    sums = (
        Sum(f"its part of the price of {pieces}{by}", Fraction(0), gain),
        Sum("its part of the fee", fee, -figures.or_zero("fee") * gain),
        Sum("its part of the postage", -figures.or_zero("postage") / pieces),
        _time(figures, minutes),
    )
    return Option("pair", sums, minutes, alone.missing)


def _lot(figures: Figures) -> Option:
    pieces = max(Fraction(1), figures.get("lot-pieces") or LOT_PIECES)
    both = figures.or_zero("listing-minutes") + figures.or_zero("packing-minutes")
    price = figures.or_zero("lot-price")
    of_lot = f", one of {_whole(pieces)} in the lot"
    sums = (
        Sum("price in a lot", price),
        Sum("fee", -price * figures.or_zero("fee") - figures.or_zero("fee-fixed") / pieces),
        Sum("postage" + of_lot, -figures.or_zero("postage") / pieces),
        _time(figures, both / pieces),
    )
    return Option("lot", sums, both / pieces, figures.missing(*NEEDED, "lot-price"))


def _stones(figures: Figures) -> Option:
    minutes = figures.or_zero("strip-minutes")
    sums = (Sum("stones and findings", figures.or_zero("stones-worth")), _time(figures, minutes))
    return Option("stones", sums, minutes, figures.missing("stones-worth", "hour"))


def _test(figures: Figures, choice: Choice, going: int) -> Option:
    """The test of one piece, and its part of the trip that it shares with others."""
    share = max(Fraction(going), figures.or_zero("trip-pieces"), Fraction(1))
    minutes = figures.or_zero("test-minutes") + figures.or_zero("trip-minutes") / share
    sums = [Sum("test", -figures.or_zero("test-cost"))]
    if "trip-cost" in figures.values:
        shared = f", shared by {_whole(share)}" if share > 1 else ""
        sums.append(Sum("trip" + shared, -figures.or_zero("trip-cost") / share))
    sums.append(_time(figures, minutes))
    return Option(choice, tuple(sums), minutes, figures.missing("test-cost"), leads_on=True)


def _time(figures: Figures, minutes: Fraction) -> Sum:
    return Sum(f"{_whole(minutes)} minutes", -_worth(figures, minutes))


def _worth(figures: Figures, minutes: Fraction) -> Fraction:
    return figures.or_zero("hour") * minutes / 60


def _whole(number: Fraction) -> str:
    return f"{float(number):.4g}"
