"""What was bought and sold, and what is left of it: sums of the owner's own records.

Money stays in whole minor units and in its own currency: nothing is converted or mixed.
"""

from __future__ import annotations

import datetime
import statistics
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Literal

from markrules.appraisal.likeness import day_of
from markrules.catalogue.records import Acquisition, Event, Piece, Sale
from markrules.frozen import dataclass

By = Literal["box", "month", "year", "venue"]
AGES = (90, 365)
"""Days that part what is unsold by age: up to a quarter, up to a year, and longer."""
UNDONE = " undone "
"""Stands in `gone` of a piece whose entry was taken back: it was never there."""

CAUTION = (
    "These are sums of what you recorded, and no tax advice: what counts as income, cost or stock"
    " hangs on local law. Ask somebody who knows it."
)
AS_IT_HAPPENED = (
    "Each sum stands where it happened: a sale on the day it was sold, the money given back on the"
    " day it came back, when its cost returns to the stock. Fees and postage stay spent."
)


@dataclass(frozen=True, slots=True)
class Cost:
    """What a piece cost, in minor units; `shared` where it is its part of a bought lot."""

    minor: int
    currency: str
    day: str
    shared: bool


@dataclass(frozen=True, slots=True)
class PieceStanding:
    """How a piece stands: cost, where it is listed and at what, where it is stored, what it made.

    `listed` and `stored` are the events that hold now; `offered` is how it was listed last, where
    it is not now; `sold` the sale that was not returned.
    `net_minor` is what came in less fees, postage and cost, None where it is not sold, or cost
    and price are in two currencies.
    """

    cost: Cost | None
    listed: Event | None
    stored: Event | None
    sold: Sale | None
    returned: tuple[Sale, ...]
    offered: Event | None = None

    @property
    def net_minor(self) -> int | None:
        """What it left, as far as is known; without a cost, before any."""
        if self.sold is None or (self.cost and self.cost.currency != self.sold.currency):
            return None
        came = self.sold.received_minor + sum(each.received_minor for each in self.returned)
        return came - (self.cost.minor if self.cost else 0)


def costs_of(pieces: Iterable[Piece], acquisitions: Sequence[Acquisition]) -> Mapping[int, Cost]:
    """The cost of each piece by row number: its own purchases, else its even part of its box's.

    The parts of a box add up to what it cost, to the last minor unit. Pieces with a cost of
    their own take no part; what a box cost in a second currency is not shared.
    """
    there = [piece for piece in pieces if UNDONE not in piece.gone]
    found: dict[int, Cost] = {}
    for each in acquisitions:
        if each.piece is None or each.cost_minor is None:
            continue
        before = found.get(each.piece)
        if before is None:
            found[each.piece] = Cost(each.cost_minor, each.currency, each.when, shared=False)
        elif before.currency == each.currency:
            minor = before.minor + each.cost_minor
            found[each.piece] = Cost(minor, each.currency, before.day or each.when, shared=False)
    for box in {each.box for each in acquisitions if each.box is not None}:
        sharing = [piece for piece in there if piece.box == box and piece.id not in found]
        bought = [e for e in acquisitions if e.box == box and e.cost_minor is not None]
        bought = [each for each in bought if each.currency == bought[0].currency]
        total = sum(each.cost_minor or 0 for each in bought)
        for at, piece in enumerate(sharing if bought else ()):
            part = total // len(sharing) + (at < total % len(sharing))
            found[piece.id] = Cost(part, bought[0].currency, bought[0].when, shared=True)
    return found


def standing_of(
    piece: Piece, cost: Cost | None, events: Iterable[Event], sales: Iterable[Sale]
) -> PieceStanding:
    """How one piece stands, from what was recorded of it, in the order it was recorded."""
    listed = stored = offered = None
    for each in events:
        if each.piece != piece.id:
            continue
        if each.kind == "stored":
            stored = each if each.place else None
        else:
            listed = each if each.kind == "listed" else None
            offered = listed or offered
    own = [each for each in sales if each.piece == piece.id]
    sold = next((each for each in reversed(own) if not each.returned), None)
    back = tuple(each for each in own if each.returned)
    listed = None if sold else listed
    return PieceStanding(cost, listed, stored, sold, back, None if listed else offered)


@dataclass(frozen=True, slots=True)
class AccountLine:
    """One line of a report, in one currency, amounts in minor units.

    Everything counts when it happened: a sale in the month or year of the sale, the money given
    back for it in that of its return, so that a year once told stays as it was. `bought` is money
    spent in it, `sold` counts the sales, `taken` is what buyers paid with their postage, `returned`
    counts what came back, `refunded` is what was given back for it (all that was paid), `cost` what
    the pieces sold had cost in it, whatever currency they were sold for, less that of what came
    back to the stock; `net` is what is left. `days` is the median number of days from buying to
    selling of what did not come back in the same line, None where not known. `without_cost` counts
    pieces sold, and not back in the same line, of which no cost in that currency is known.
    """

    group: str
    currency: str
    bought: int
    sold: int
    taken: int
    fees: int
    postage: int
    cost: int
    returned: int
    refunded: int
    days: float | None
    without_cost: int

    @property
    def net(self) -> int:
        """What buyers paid less what they got back, fees, postage and the cost of what was sold."""
        return self.taken - self.refunded - self.fees - self.postage - self.cost


@dataclass(frozen=True, slots=True)
class UnsoldStock:
    """What is unsold, by currency: pieces and their cost, and both by age in days.

    `ages` are (up to so many days or None for longer, pieces, cost); pieces without a day stand
    in `undated`.
    """

    currency: str
    pieces: int
    cost: int
    ages: tuple[tuple[int | None, int, int], ...]
    undated: int


@dataclass(frozen=True, slots=True)
class Report:
    """The lines of a report, what is in stock, and how many pieces more without a known cost."""

    by: By
    lines: tuple[AccountLine, ...]
    stock: tuple[UnsoldStock, ...]
    unpriced: int = 0


@dataclass(frozen=True, slots=True)
class Books:
    """All records that a report rests on; `boxes` are names by row number."""

    pieces: tuple[Piece, ...]
    boxes: Mapping[int, str]
    acquisitions: tuple[Acquisition, ...]
    sales: tuple[Sale, ...]

    @property
    def own_sales(self) -> tuple[Sale, ...]:
        """Sales of pieces of this catalogue."""
        return tuple(each for each in self.sales if each.piece is not None)


def report(
    books: Books, by: By, today: datetime.date, year_starts: tuple[int, int] = (1, 1)
) -> Report:
    """The report by box, month, year (from the month and day it starts on) or venue."""
    costs = costs_of(books.pieces, books.acquisitions)
    box_of = {piece.id: books.boxes.get(piece.box, "") for piece in books.pieces}

    def dated(text: str) -> str:
        return _period(text, by, year_starts)

    def group_of(sale: Sale, day: str) -> str:
        named = {"box": box_of.get(sale.piece or 0, ""), "venue": sale.venue or "no venue said"}
        return named.get(by) or dated(day)

    sold: dict[tuple[str, str], list[Sale]] = {}
    back: dict[tuple[str, str], list[Sale]] = {}
    for sale in books.own_sales:
        sold.setdefault((group_of(sale, sale.when), sale.currency), []).append(sale)
        if sale.returned:
            back.setdefault((group_of(sale, sale.returned), sale.currency), []).append(sale)
    # What went for another currency cost what it cost: it is no stock any more.
    gone = _costs_moved(books.own_sales, costs, group_of)
    bought: dict[tuple[str, str], int] = {}
    for each in books.acquisitions if by != "venue" else ():
        if each.cost_minor is not None:
            box = books.boxes.get(each.box or 0) or box_of.get(each.piece or 0, "")
            name = box if by == "box" else dated(each.when)
            key = (name, each.currency)
            bought[key] = bought.get(key, 0) + each.cost_minor
    lines = tuple(
        _line(
            key, bought.get(key, 0), sold.get(key, []), back.get(key, []), costs, gone.get(key, 0)
        )
        for key in sorted({*sold, *back, *bought, *gone})
    )
    unpriced = sum(not piece.gone and piece.id not in costs for piece in books.pieces)
    return Report(by, lines, _stock(books, costs, today), unpriced)


def _costs_moved(
    sales: Iterable[Sale], costs: Mapping[int, Cost], group_of: Callable[[Sale, str], str]
) -> Mapping[tuple[str, str], int]:
    """What the pieces sold had cost, by group and currency, less what came back to the stock."""
    stayed: set[tuple[str, int]] = set()
    moved: dict[tuple[str, str], int] = {}
    for sale in sales:
        cost = costs.get(sale.piece or 0)
        if cost is None:
            continue
        out = (group_of(sale, sale.when), cost.currency)
        if sale.returned:
            into = (group_of(sale, sale.returned), cost.currency)
            moved[into] = moved.get(into, 0) - cost.minor
        elif (out[0], sale.piece or 0) in stayed:  # sold once: a second entry moves no more
            continue
        else:
            stayed.add((out[0], sale.piece or 0))
        moved[out] = moved.get(out, 0) + cost.minor
    return moved


def _line(
    key: tuple[str, str],
    bought: int,
    sales: Sequence[Sale],
    back: Sequence[Sale],
    costs: Mapping[int, Cost],
    cost_of_sold: int,
) -> AccountLine:
    here = {sale.id for sale in back}
    away = [(sale, costs.get(sale.piece or 0)) for sale in sales if sale.id not in here]
    counted = [cost for sale, cost in away if cost is not None and cost.currency == sale.currency]
    days = [
        gap
        for sale, cost in away
        if cost is not None and (gap := _days(cost.day, sale.when)) is not None
    ]
    return AccountLine(
        group=key[0],
        currency=key[1],
        bought=bought,
        sold=len(sales),
        taken=_paid(sales),
        fees=_sum(sales, lambda each: each.fees_minor),
        postage=_sum(sales, lambda each: each.postage_minor),
        cost=cost_of_sold,
        returned=len(back),
        refunded=_paid(back),
        days=statistics.median(days) if days else None,
        without_cost=len(away) - len(counted),
    )


def _paid(sales: Sequence[Sale]) -> int:
    """What buyers paid, with their postage."""
    return sum(each.price_minor + (each.paid_postage_minor or 0) for each in sales)


def _sum(sales: Sequence[Sale], what: Callable[[Sale], int | None]) -> int:
    return sum(what(each) or 0 for each in sales)


def _days(bought: str, sold: str) -> int | None:
    one, other = day_of(bought), day_of(sold)
    return None if one is None or other is None else max(0, (other - one).days)


def _period(text: str, by: By, starts: tuple[int, int]) -> str:
    """The month or the year of a day as written; a year is named by when it starts and ends."""
    day = day_of(text)
    if day is None:
        return "no day said"
    if by == "month":
        return f"{day:%Y-%m}" if len(text) > len("2024") else f"{day:%Y}, no month said"
    first = day.year if (day.month, day.day) >= starts else day.year - 1
    return f"{first}" if starts == (1, 1) else f"{first}/{(first + 1) % 100:02d}"


def _stock(
    books: Books, costs: Mapping[int, Cost], today: datetime.date
) -> tuple[UnsoldStock, ...]:
    left = [piece for piece in books.pieces if not piece.gone]
    found = []
    for currency in sorted({each.currency for each in costs.values()}):
        own = [costs[p.id] for p in left if p.id in costs and costs[p.id].currency == currency]
        ages = dict.fromkeys((*AGES, None), (0, 0))
        undated = 0
        for cost in own:
            days = _days(cost.day, today.isoformat())
            if days is None:
                undated += 1
                continue
            bound = next((each for each in AGES if days <= each), None)
            count, minor = ages[bound]
            ages[bound] = (count + 1, minor + cost.minor)
        found.append(
            UnsoldStock(
                currency,
                len(own),
                sum(cost.minor for cost in own),
                tuple((bound, *held) for bound, held in ages.items()),
                undated,
            )
        )
    return tuple(found)
