"""What pieces cost and what they, and others like them, were sold for."""

from __future__ import annotations

import dataclasses
import datetime
import re
from collections.abc import Iterable, Sequence
from typing import Any

from markrules.catalogue.core import OpenFile, now
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Acquisition, Box, Event, Piece, Sale
from markrules.catalogue.rows import acquisition_of, event_of, sale_of

EVENTS = ("listed", "unlisted", "stored")
"""What can be recorded of a piece by itself; `returned` comes with its sale."""
_STEP_OF = {"listed": "list for sale", "unlisted": "take down", "stored": "store"}

LARGEST_MINOR = 10**15
"""Minor units: no price in the catalogue reaches this, and sums of many stay exact."""


class Money:
    """What was paid and what was got: purchases, sold prices, and what became of pieces."""

    def __init__(self, file: OpenFile) -> None:
        """Over an open file."""
        self._file = file

    def record_acquisition(
        self,
        of: Box | Piece,
        *,
        when: str = "",
        where: str = "",
        who_from: str = "",
        cost_minor: int | None = None,
        currency: str = "",
        note: str = "",
        who: str = "",
    ) -> Acquisition:
        """Record how a box or a piece came in. `cost_minor` is in minor units of `currency`.

        Raises CatalogueProblem for a day, a cost or a currency that cannot be.
        """
        (made,) = self.record_acquisitions(
            [(of, cost_minor)],
            when=when,
            where=where,
            who_from=who_from,
            currency=currency,
            note=note,
            who=who,
        )
        return made

    def record_acquisitions(
        self,
        came: Sequence[tuple[Box | Piece, int | None]],
        *,
        when: str = "",
        where: str = "",
        who_from: str = "",
        currency: str = "",
        note: str = "",
        who: str = "",
    ) -> tuple[Acquisition, ...]:
        """Record how boxes or pieces came in together, each with its own cost in minor units of
        `currency`, as one step.

        Raises CatalogueProblem for a day, a cost or a currency that cannot be.
        """
        for _, cost_minor in came:
            if cost_minor is not None:
                check_money(cost_minor, currency)
        day = check_day(when)
        rows = []
        with self._file.change("record acquisition", who) as step:
            for of, cost_minor in came:
                values = {
                    "box_id": of.id if isinstance(of, Box) else None,
                    "piece_id": of.id if isinstance(of, Piece) else None,
                    "day": day,
                    "place": where,
                    "who_from": who_from,
                    "cost_minor": cost_minor,
                    "currency": currency,
                    "note": note,
                }
                rows.append(self._file.insert("acquisition", values))
            if rows:
                undo = {"table": "acquisition", "first": rows[0], "last": rows[-1]}
                self._file.keep_undo(step, undo)
        if not rows:
            return ()
        found = self._file.rows(
            "select * from acquisition where id between ? and ? order by id", (rows[0], rows[-1])
        )
        return tuple(self._file.each(acquisition_of, found))

    def correct_acquisition(
        self,
        acquisition_id: int,
        *,
        cost_minor: int | None,
        currency: str = "",
        who: str = "",
    ) -> Acquisition:
        """Set what a purchase cost, or that it is not known (None); undo sets the old cost back.

        Raises CatalogueProblem where there is no such purchase, or the cost cannot be.
        """
        if cost_minor is not None:
            check_money(cost_minor, currency)
        new = {"cost_minor": cost_minor, "currency": currency if cost_minor is not None else ""}
        with self._file.change("correct cost", who) as step:
            was = self._file.update("acquisition", acquisition_id, new)
            self._file.keep_undo(
                step, {"table": "acquisition", "id": acquisition_id, "set": was, "from": new}
            )
        found = self._file.rows("select * from acquisition where id = ?", (acquisition_id,))
        return acquisition_of(found[0])

    def acquisitions(self, of: Box | Piece | None = None) -> tuple[Acquisition, ...]:
        """How a box, a piece, or everything came in, oldest entry first."""
        column = "box_id" if isinstance(of, Box) else "piece_id"
        where = f"and {column} = :row" if of is not None else ""
        found = self._file.rows(
            f"select * from acquisition where gone = '' {where} order by id",
            {"row": of.id if of is not None else None},
        )
        return tuple(self._file.each(acquisition_of, found))

    def record_sales(self, sales: Iterable[Sale], who: str = "") -> range:
        """Record sold prices, all or none; `id` of each is not looked at. Returns row numbers.

        Raises CatalogueProblem for a day, a price or a currency that cannot be.
        """
        first = row = 0
        with self._file.change("record sales", who) as step:
            for sale in sales:
                check_sale(sale)
                row = self._file.insert("sale", _columns(sale))
                first = first or row
            if row:
                self._file.keep_undo(step, {"table": "sale", "first": first, "last": row})
        return range(first, row + 1 if row else 0)

    def record_sold(self, pieces: Sequence[Piece], sales: Sequence[Sale], who: str = "") -> range:
        """Record that pieces were sold, each with its own sale, and close them: one step.

        Raises CatalogueProblem for a piece that left already, a price of nothing, a day to come or
        before the piece was bought, or a currency that cannot be.
        """
        first = row = 0
        with self._file.change("sell", who) as step:
            undoes: list[dict[str, Any]] = []
            for piece, sale in zip(pieces, sales, strict=True):
                there = self._file.columns("piece", piece.id, ["gone"])
                if there["gone"]:
                    raise CatalogueProblem(
                        f"piece {piece.number} left its box on {str(there['gone'])[:10]}:"
                        " put it back first, or correct its sale"
                    )
                check_sale(sale)
                check_bought_first(self._bought_on(piece), sale.when, f"piece {piece.number}")
                row = self._file.insert("sale", {**_columns(sale), "piece_id": piece.id})
                first = first or row
                left = {"gone": now(), "gone_why": "sold"}
                was = self._file.update("piece", piece.id, left)
                undoes.append({"table": "piece", "id": piece.id, "set": was, "from": left})
            if row:
                self._file.keep_undo(step, *undoes, {"table": "sale", "first": first, "last": row})
        return range(first, row + 1 if row else 0)

    def _bought_on(self, piece: Piece) -> str:
        """The first day on which a piece came in, by itself or else with its box; or empty."""
        found = self._file.rows(
            "select day, piece_id from acquisition where gone = '' and day <> ''"
            " and (piece_id = ? or box_id = ?)",
            (piece.id, piece.box),
        )
        own = [row["day"] for row in found if row["piece_id"] is not None]
        return str(min(own or [row["day"] for row in found], default=""))

    def take_return(self, sale_id: int, day: str = "", note: str = "", who: str = "") -> Sale:
        """Record that a sold piece came back: its price counts no more, and it is in its box again.

        Raises CatalogueProblem where there is no such sale, it came back already, or the day is
        before that of the sale.
        """
        day = check_day(day, not_to_come=True) or datetime.date.today().isoformat()
        with self._file.change("take return", who) as step:
            found = self._file.row("select * from sale where id = ? and gone = ''", (sale_id,))
            if found is None or found["piece_id"] is None:
                raise CatalogueProblem(f"no piece of this catalogue was sold under {sale_id}")
            if found["returned"]:
                raise CatalogueProblem(f"sale {sale_id} came back already, on {found['returned']}")
            if is_before(day, found["day"]):
                raise CatalogueProblem(
                    f"it was sold on {found['day']}, and cannot have come back on {day}: write the"
                    " day it came back"
                )
            new = {"returned": day}
            was = self._file.update("sale", sale_id, new)
            back = {"gone": "", "gone_why": ""}
            there = self._file.update("piece", found["piece_id"], back)
            values = self._event(found["piece_id"], "returned", day, note=note, who=who)
            row = self._file.insert("event", {**values, "sale_id": sale_id})
            self._file.keep_undo(
                step,
                {"table": "sale", "id": sale_id, "set": was, "from": new},
                {"table": "piece", "id": found["piece_id"], "set": there, "from": back},
                {"table": "event", "first": row, "last": row},
            )
        return sale_of(self._file.rows("select * from sale where id = ?", (sale_id,))[0])

    def record_event(
        self,
        piece: Piece,
        kind: str,
        *,
        day: str = "",
        place: str = "",
        price_minor: int | None = None,
        currency: str = "",
        note: str = "",
        who: str = "",
    ) -> Event:
        """Record that a piece was listed or taken down, or where it is stored.

        `kind` is `listed`, `unlisted` or `stored`; without a day it is today. Raises
        CatalogueProblem for a day or a price that cannot be.
        """
        if kind not in EVENTS:
            raise CatalogueProblem(f'"{kind}": an entry is one of {", ".join(EVENTS)}')
        if price_minor is not None:
            check_money(price_minor, currency)
        day = check_day(day) or datetime.date.today().isoformat()
        values = self._event(piece.id, kind, day, place=place, note=note, who=who)
        values |= {"price_minor": price_minor, "currency": currency if price_minor else ""}
        with self._file.change(_STEP_OF[kind], who) as step:
            row = self._file.insert("event", values)
            self._file.keep_undo(step, {"table": "event", "first": row, "last": row})
        return event_of(self._file.rows("select * from event where id = ?", (row,))[0])

    def _event(self, piece: int, kind: str, day: str, **texts: str) -> dict[str, Any]:
        return {"piece_id": piece, "kind": kind, "day": day, "moment": now(), **texts}

    def events(self, piece: Piece | None = None) -> tuple[Event, ...]:
        """What became of a piece, or of all, oldest entry first."""
        where = "and piece_id = :piece" if piece is not None else ""
        found = self._file.rows(
            f"select * from event where gone = '' {where} order by id",
            {"piece": piece.id if piece is not None else None},
        )
        return tuple(self._file.each(event_of, found))

    def sales(self, piece: Piece | None = None) -> tuple[Sale, ...]:
        """The sold prices: of one piece, or all, oldest sale first."""
        where = "and piece_id = :piece" if piece is not None else ""
        found = self._file.rows(
            f"select * from sale where gone = '' {where} order by day, id",
            {"piece": piece.id if piece is not None else None},
        )
        return tuple(self._file.each(sale_of, found))

    def take_out_sale(self, sale_id: int, who: str = "") -> None:
        """Count a sold price no longer. Raises CatalogueProblem where there is none."""
        with self._file.change("take out sale", who) as step:
            there = self._file.columns("sale", sale_id, ["gone"])
            if there["gone"]:
                raise CatalogueProblem(
                    f"sold price {sale_id} was taken out already, on {str(there['gone'])[:10]}"
                )
            new = {"gone": now()}
            was = self._file.update("sale", sale_id, new)
            self._file.keep_undo(step, {"table": "sale", "id": sale_id, "set": was, "from": new})


def _columns(sale: Sale) -> dict[str, Any]:
    values = dataclasses.asdict(sale)
    del values["id"]
    values["piece_id"] = values.pop("piece")
    values["day"] = check_day(values.pop("when"), needed=True, not_to_come=True)
    values["signed"] = None if sale.signed is None else int(sale.signed)
    return values


def check_day(text: str, *, needed: bool = False, not_to_come: bool = False) -> str:
    """The day as ISO 8601 (2024-06-30), or its month or year alone; empty where not `needed`.

    Raises CatalogueProblem for anything else, and with `not_to_come` for a day after tomorrow:
    somewhere it is tomorrow already.
    """
    clean = text.strip()
    if not clean and not needed:
        return ""
    if re.fullmatch(r"[0-9]{4}(-[0-9]{2}){0,2}", clean):
        try:
            day = datetime.date.fromisoformat((clean + "-01-01")[:10])
        except ValueError:
            pass
        else:
            if not_to_come and day > datetime.date.today() + datetime.timedelta(days=1):
                raise CatalogueProblem(f"{clean} is still to come: write the day it was sold")
            return clean
    raise CatalogueProblem(f'"{text}" is not a date; write it like 2024-06-30, 2024-06 or 2024')


def is_before(day: str, other: str) -> bool:
    """Whether a day lies before another for certain; a month or a year may be any day of it."""
    known = min(len(day), len(other))
    return day[:known] < other[:known]


def check_bought_first(bought: str, sold: str, what: str) -> None:
    """Raise CatalogueProblem for what was sold before it was bought."""
    if bought and sold and is_before(sold, bought):
        raise CatalogueProblem(
            f"{what} was bought on {bought}, and cannot have been sold on {sold}: mend one of the"
            " two dates"
        )


def check_sale(sale: Sale) -> None:
    """Raise CatalogueProblem for a sale that cannot be."""
    check_money(sale.price_minor, sale.currency)
    if not sale.price_minor:
        raise CatalogueProblem("a price of nothing is no sale: leave the line out")
    for minor in (sale.fees_minor, sale.postage_minor, sale.paid_postage_minor):
        if minor is not None:
            check_money(minor, sale.currency)
    if sale.pieces < 1:
        raise CatalogueProblem("at least one piece is sold")
    if sale.size_mm is not None and not 0 < sale.size_mm < 100_000:
        raise CatalogueProblem(f"a size of {sale.size_mm:g} mm is out of range")
    if sale.returned:
        check_day(sale.returned, not_to_come=True)


def check_money(minor: int, currency: str) -> None:
    """Raise CatalogueProblem for an amount or a currency that cannot be."""
    if not 0 <= minor < LARGEST_MINOR:
        raise CatalogueProblem(f"a price of {minor} minor units is out of range")
    if not re.fullmatch(r"[A-Z]{3}", currency):
        raise CatalogueProblem(
            f'"{currency}" is not a currency; write its three letters of ISO 4217, such as EUR'
        )
