"""The owner's own figures: fees, postage, minutes, what an hour is worth, metal prices.

None has a value until the owner gives one: what cannot be counted is not guessed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Literal

from markrules.catalogue.records import Sale
from markrules.frozen import dataclass

Kind = Literal["money", "share", "minutes", "count", "metal", "currency"]
CURRENCY = "currency"
METALS = ("gold", "silver", "platinum", "palladium")
SALE, LOT, MEND, TEST, MELT = "every sale", "lots", "mending", "testing", "the metal itself"
"""What figures are wanted for."""


@dataclass(frozen=True, slots=True)
class FigureKind:
    """A figure by name: what kind of number it is, what it means, and what it is wanted for."""

    name: str
    kind: Kind
    means: str
    wanted_for: str


KINDS: tuple[FigureKind, ...] = (
    FigureKind(
        CURRENCY, "currency", "the money all figures are in, as EUR, GBP or USD (ISO 4217)", SALE
    ),
    FigureKind("fee", "share", "share of the price that a sale costs, as 13%", SALE),
    FigureKind("fee-fixed", "money", "fixed fee of each sale", SALE),
    FigureKind("postage", "money", "postage and packing stuff that you pay for each parcel", SALE),
    FigureKind("listing-minutes", "minutes", "minutes to photograph and describe one sale", SALE),
    FigureKind("packing-minutes", "minutes", "minutes to pack and post one parcel", SALE),
    FigureKind("hour", "money", "what an hour of your time is worth", SALE),
    FigureKind("lot-price", "money", "what one piece brings as part of a lot", LOT),
    FigureKind("lot-pieces", "count", "how many pieces you put in a lot", LOT),
    FigureKind("stone-cost", "money", "what one matching stone costs", MEND),
    FigureKind("mend-cost", "money", "what the stuff for any other mend costs", MEND),
    FigureKind("mend-minutes", "minutes", "minutes for one mend, or one stone", MEND),
    FigureKind("mend-chance", "share", "share of mends that succeed, as 90%", MEND),
    FigureKind(
        "stones-worth", "money", "what stones and findings of one broken piece save you", MEND
    ),
    FigureKind("strip-minutes", "minutes", "minutes to take a broken piece apart", MEND),
    FigureKind(
        "test-cost", "money", "what a test costs for one piece, or a specialist's look", TEST
    ),
    FigureKind(
        "test-minutes", "minutes", "minutes for each piece that is tested, the trip apart", TEST
    ),
    FigureKind("trip-cost", "money", "what one trip to a tester or specialist costs", TEST),
    FigureKind(
        "trip-minutes", "minutes", "minutes of that trip, shared by all pieces that go", TEST
    ),
    FigureKind("trip-pieces", "count", "how many pieces you collect before you go", TEST),
    FigureKind("refiner-share", "share", "share of the melt value that a refiner keeps", MELT),
    *(
        FigureKind(f"{metal}-price", "metal", f"price of fine {metal}, as 60/g or 1900/ozt", MELT)
        for metal in METALS
    ),
)
_BY_NAME = {each.name: each for each in KINDS}

NEEDED = ("fee", "postage", "listing-minutes", "packing-minutes", "hour")
"""Without these nothing that is sold can be counted."""


class FigureProblem(ValueError):
    """A figure that is not known, or a value that does not suit it, in plain words."""


@dataclass(frozen=True, slots=True)
class Figures:
    """Figures that were given, by name; money in `currency`, metal prices per gram."""

    currency: str
    values: Mapping[str, Fraction]

    def get(self, name: str) -> Fraction | None:
        """The figure, or None where the owner has not given it."""
        return self.values.get(name)

    def or_zero(self, name: str) -> Fraction:
        """The figure, or zero where the owner has not given it."""
        return self.values.get(name, Fraction(0))

    def missing(self, *names: str) -> tuple[str, ...]:
        """Those of the names that were not given."""
        return tuple(name for name in names if name not in self.values)


def figure_kind(name: str) -> FigureKind:
    """The figure of that name. Raises FigureProblem, with the nearest name, where none is."""
    found = _BY_NAME.get("-".join(name.casefold().replace("_", " ").replace("-", " ").split()))
    if found is None:
        from markrules.reading.observing import nearest

        near = nearest(name, _BY_NAME)
        hint = f'; nearest: "{near}"' if near else ""
        raise FigureProblem(f'no figure is called "{name}"{hint}. `markrules figures` lists all')
    return found


def figure_text(name: str, text: str) -> str:
    """The value as it is kept, checked. Raises FigureProblem where it does not suit."""
    kind = figure_kind(name)
    clean = text.strip()
    if kind.kind == "currency":
        if not re.fullmatch(r"[A-Za-z]{3}", clean):
            raise FigureProblem(f'"{text}": write three letters, such as EUR, GBP or USD')
        return clean.upper()
    _number(kind, clean)
    return clean


def figures_from(kept: Mapping[str, str]) -> Figures:
    """The figures from their kept texts; a text that no longer suits is left out."""
    values: dict[str, Fraction] = {}
    for name, text in kept.items():
        kind = _BY_NAME.get(name)
        if kind is None or kind.kind == "currency":
            continue
        try:
            values[name] = _number(kind, text.strip())
        except FigureProblem:
            continue
    return Figures(kept.get(CURRENCY, "").upper(), values)


def _number(kind: FigureKind, text: str) -> Fraction:
    match = re.fullmatch(r"([0-9]{1,9}(?:[.,][0-9]{1,6})?)\s*(%|/\s*(?:g|kg|ozt|dwt))?", text)
    if match is None:
        raise FigureProblem(f'{kind.name}: "{text}" is not {_wanted(kind)}')
    number, unit = Fraction(match[1].replace(",", ".")), (match[2] or "").replace(" ", "")
    if kind.kind == "metal":
        if unit == "%":
            raise FigureProblem(f'{kind.name}: "{text}" is not {_wanted(kind)}')
        from markrules.marks.metal_value import price_per_gram

        return Fraction(price_per_gram(float(number), unit.lstrip("/") or "g"))
    if unit.startswith("/") or (unit == "%" and kind.kind != "share"):
        raise FigureProblem(f'{kind.name}: "{text}" is not {_wanted(kind)}')
    if kind.kind == "share":
        number = number / 100 if unit == "%" else number
        if number > 1:
            raise FigureProblem(f'{kind.name}: "{text}" is over 100%; write a share such as 13%')
    return number


def _wanted(kind: FigureKind) -> str:
    wanted = {
        "money": "an amount such as 3.50",
        "minutes": "a number of minutes such as 10",
        "count": "a number such as 8",
        "share": "a share such as 13%",
        "metal": "a price such as 60/g or 1900/ozt",
        "currency": "three letters such as EUR",
    }
    return wanted[kind.kind]


def currency_of(figures: Figures, sales: Sequence[Sale]) -> str:
    """The currency to count in: that of the figures, else the one that most sales are in."""
    if figures.currency:
        return figures.currency
    counts: dict[str, int] = {}
    for sale in sales:
        counts[sale.currency.upper()] = counts.get(sale.currency.upper(), 0) + 1
    return max(sorted(counts), key=lambda each: counts[each]) if counts else ""
