"""Selling: a sale copies what is known of the piece, closes it, and feeds later estimates.

Also returns, listings, where things are stored, and sold prices that are checked before they
are recorded. Both faces sell through here.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal

from markrules.appraisal.condition import condition_of
from markrules.appraisal.known_at_sale import known_of
from markrules.appraisal.likeness import LikenessSettings, measure, signed, unlisted_signature
from markrules.catalogue.amounts import parse_price
from markrules.catalogue.brought_tables import TableRow
from markrules.catalogue.days import DayReading, Order
from markrules.catalogue.pricelist import day_reading, numbered_sales_of
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Piece, Sale
from markrules.catalogue.store import Catalogue
from markrules.frozen import dataclass
from markrules.inference.reading import Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.language.nearest import nearest
from markrules.tasks.reading_pieces import ReadPieces


@dataclass(frozen=True, slots=True)
class Terms:
    """What a sale was agreed at: amounts in minor units of `currency`, None where not known.

    `condition` is what the buyer was told; empty: as it stands in the piece's own record.
    """

    day: str
    price_minor: int
    currency: str
    venue: str = ""
    fees_minor: int | None = None
    postage_minor: int | None = None
    paid_postage_minor: int | None = None
    condition: str = ""
    note: str = ""
    link: str = ""


def terms_said(
    price: str,
    *,
    currency: str = "",
    day: str = "",
    fees: str = "",
    postage: str = "",
    paid_postage: str = "",
    venue: str = "",
    condition: str = "",
    note: str = "",
    link: str = "",
) -> Terms:
    """Terms as a person writes them: `34.50 EUR`, fees without a currency in that of the price.

    Fees may be told as a share of the price, `13%`, to the nearest minor unit, half of one up.
    A price without one is in `currency`. Without a day it is today. Raises
    CatalogueProblem for a price that cannot be read, or fees or postage in another currency.
    """
    minor, own = parse_price(price, currency)

    def amount(text: str, what: str) -> int | None:
        if not text.strip():
            return None
        share = share_of_price(text, minor) if what == "fees" else None
        if share is not None:
            return share
        try:
            part, code = parse_price(text, own)
        except CatalogueProblem as problem:
            raise CatalogueProblem(f"{what}: {problem}") from None
        if code != own:
            raise CatalogueProblem(f"{what} in {code}, but the price in {own}: give one currency")
        return part

    return Terms(
        day or datetime.date.today().isoformat(),
        minor,
        own,
        venue,
        amount(fees, "fees"),
        amount(postage, "postage"),
        amount(paid_postage, "paid postage"),
        condition,
        note,
        link,
    )


_SHARE = re.compile(r"([0-9]{1,3}(?:[.,][0-9]{1,4})?) ?%", re.ASCII)


def share_of_price(text: str, minor: int) -> int | None:
    """What `13%` of a price is, to the nearest minor unit; None for what tells no share.

    Raises CatalogueProblem for more than all of it.
    """
    told = _SHARE.fullmatch(text.strip())
    return None if told is None else _part_of(minor, told[1])


def _part_of(minor: int, percent: str) -> int:
    share = Decimal(percent.replace(",", "."))
    if share > 100:
        raise CatalogueProblem(f"fees: {percent}% is more than the price; 100% at most")
    return int((minor * share / 100).to_integral_value(ROUND_HALF_UP))


def sell(
    readings: ReadPieces, catalogue: Catalogue, pieces: Sequence[Piece], terms: Terms, who: str = ""
) -> tuple[Sale, ...]:
    """Record that pieces were sold together for one price, and close them; the sales recorded.

    The amounts are shared evenly, to the last minor unit. Raises CatalogueProblem where a piece
    is not there any more, or the terms cannot be.
    """
    if not pieces:
        raise CatalogueProblem("no piece was named: say which one was sold")
    read = {
        each.piece: each for each in catalogue.readings.evidence_for([piece.id for piece in pieces])
    }
    base = readings.reader.base
    shares = _shares(terms, len(pieces))
    sales = [
        sale_of(base, readings.read(read[piece.id], 0).reading, piece, share, len(pieces))
        for piece, share in zip(pieces, shares, strict=True)
    ]
    numbers = catalogue.money.record_sold(pieces, sales, who)
    kept = {sale.id: sale for sale in catalogue.money.sales()}
    return tuple(kept[number] for number in numbers)


def sale_of(
    base: KnowledgeBase, reading: Reading, piece: Piece, terms: Terms, pieces: int = 1
) -> Sale:
    """The sale of a piece: its terms, and what is known of the piece. Pure.

    A maker is copied where the reading names it surely enough, or else the signature of one that is
    in no list; a condition where one is stated.
    """
    known = known_of(base, reading)
    condition = condition_of(base, reading)
    dated = bool(reading.evidence)
    return Sale(
        id=0,
        piece=piece.id,
        when=terms.day,
        price_minor=terms.price_minor,
        currency=terms.currency,
        maker=_maker(base, reading),
        piece_type=reading.piece_type,
        first_year=reading.date.span.first if dated else None,
        last_year=reading.date.span.last if dated else None,
        condition=terms.condition or (condition.words if condition.stated else ""),
        signed=signed(base, reading),
        note=terms.note,
        link=terms.link,
        venue=terms.venue,
        fees_minor=terms.fees_minor,
        postage_minor=terms.postage_minor,
        paid_postage_minor=terms.paid_postage_minor,
        material="; ".join(known.materials),
        size_mm=known.size_mm,
        subject="; ".join(known.subjects),
        pieces=pieces,
    )


def _maker(base: KnowledgeBase, reading: Reading) -> str:
    least = base.setting("maker-named")
    for share in reading.makers:
        if share.maker and share.probability >= least:
            entry = base.makers.get(share.maker)
            return (entry.title or entry.name) if entry is not None else share.maker
    return unlisted_signature(base, reading)


def _shares(terms: Terms, parts: int) -> list[Terms]:
    """The terms of each part: amounts in minor units that add up to the whole, none lost."""

    def part(minor: int | None, at: int) -> int | None:
        return None if minor is None else minor // parts + (at < minor % parts)

    return [
        replace(
            terms,
            price_minor=part(terms.price_minor, at) or 0,
            fees_minor=part(terms.fees_minor, at),
            postage_minor=part(terms.postage_minor, at),
            paid_postage_minor=part(terms.paid_postage_minor, at),
        )
        for at in range(parts)
    ]


# --- Sold prices from outside -------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class PriceList:
    """Sold prices out of a table that may be recorded, and by line what is wrong with others.

    `days` is how its days were read.
    """

    sales: tuple[Sale, ...]
    errors: tuple[tuple[int, str], ...]
    days: DayReading


def prices_in(
    base: KnowledgeBase,
    rows: Iterable[TableRow],
    recorded: Sequence[Sale],
    currency: str = "",
    days: Order | None = None,
) -> PriceList:
    """The sold prices of a table; `currency` is that of prices which name none.

    Days are read as their column tells, or in the order of `days`.
    """
    every = list(rows)
    reading = day_reading(every, days)
    numbered, errors = numbered_sales_of(every, currency, reading)
    bad = dict(refused(base, numbered, recorded))
    good = tuple(sale for line, sale in numbered if line not in bad)
    return PriceList(good, tuple(sorted([*errors, *bad.items()])), reading)


def refused(
    base: KnowledgeBase, sales: Iterable[tuple[int, Sale]], recorded: Sequence[Sale]
) -> list[tuple[int, str]]:
    """Of sold prices by line, those that should not be recorded: the line, why, and the remedy.

    Refused are prices of nothing, days to come, types that the rules do not know, and lines that
    are recorded already, word for word.
    """
    compared = measure(base)
    there: dict[Sale, list[int]] = {}
    for each in recorded:
        there.setdefault(replace(each, id=0, piece=None), []).append(each.id)
    latest = datetime.date.today() + datetime.timedelta(days=1)
    checks: tuple[Callable[[Sale], str], ...] = (
        lambda sale: "" if sale.price_minor > 0 else _NOTHING,
        lambda sale: _TO_COME.format(sale.when) if sale.when > latest.isoformat() else "",
        lambda sale: _unknown_type(compared, sale.piece_type),
        lambda sale: _again(there, sale),
    )
    found = []
    for line, sale in sales:
        why = next(filter(None, (check(sale) for check in checks)), "")
        if why:
            found.append((line, why))
    return found


_NOTHING = "a price of nothing is no sale: leave the line out, or put the price in"
_TO_COME = "{} is still to come: put the day it was sold"


def _again(there: dict[Sale, list[int]], sale: Sale) -> str:
    numbers = there.get(replace(sale, id=0, piece=None))
    if not numbers:
        return ""
    number = numbers.pop(0)
    return (
        f"recorded already, as sold price {number}: leave the line out, or tell two alike"
        " sales apart in the note"
    )


def _unknown_type(compared: LikenessSettings, text: str) -> str:
    if not text or compared.type_named(text):
        return ""
    near = nearest(text, compared.types)
    hint = f'; nearest: "{near}"' if near else ""
    return f'the rules know no type "{text}"{hint}. Put a type they know, or leave it empty'
