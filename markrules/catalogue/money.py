"""What pieces cost and what they, and others like them, were sold for."""

from __future__ import annotations

import dataclasses
import datetime
import re
from collections.abc import Iterable
from typing import Any

from markrules.catalogue.core import now
from markrules.catalogue.photos import Photos
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Acquisition, Box, Piece, Sale
from markrules.catalogue.rows import acquisition_of, sale_of

LARGEST_MINOR = 10**15
"""Minor units: no price in the catalogue reaches this, and sums of many stay exact."""


class Money(Photos):
    """What the catalogue knows of buying and selling."""

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
        if cost_minor is not None:
            _check_money(cost_minor, currency)
        values = {
            "box_id": of.id if isinstance(of, Box) else None,
            "piece_id": of.id if isinstance(of, Piece) else None,
            "day": check_day(when),
            "place": where,
            "who_from": who_from,
            "cost_minor": cost_minor,
            "currency": currency,
            "note": note,
        }
        with self.change("record acquisition", who) as step:
            row = self._insert("acquisition", values)
            self._undoes(step, {"table": "acquisition", "first": row, "last": row})
        return acquisition_of(self.rows("select * from acquisition where id = ?", (row,))[0])

    def acquisitions(self, of: Box | Piece | None = None) -> tuple[Acquisition, ...]:
        """How a box, a piece, or everything came in, oldest entry first."""
        column = "box_id" if isinstance(of, Box) else "piece_id"
        where = f"and {column} = :row" if of is not None else ""
        found = self.rows(
            f"select * from acquisition where gone = '' {where} order by id",
            {"row": of.id if of is not None else None},
        )
        return tuple(self.each(acquisition_of, found))

    def record_sales(self, sales: Iterable[Sale], who: str = "") -> range:
        """Record sold prices, all or none; `id` of each is not looked at. Returns row numbers.

        Raises CatalogueProblem for a day, a price or a currency that cannot be.
        """
        first = row = 0
        with self.change("record sales", who) as step:
            for sale in sales:
                _check_money(sale.price_minor, sale.currency)
                row = self._insert("sale", _columns(sale))
                first = first or row
            if row:
                self._undoes(step, {"table": "sale", "first": first, "last": row})
        return range(first, row + 1 if row else 0)

    def sales(self, piece: Piece | None = None) -> tuple[Sale, ...]:
        """The sold prices: of one piece, or all, oldest sale first."""
        where = "and piece_id = :piece" if piece is not None else ""
        found = self.rows(
            f"select * from sale where gone = '' {where} order by day, id",
            {"piece": piece.id if piece is not None else None},
        )
        return tuple(self.each(sale_of, found))

    def take_out_sale(self, sale_id: int, who: str = "") -> None:
        """Count a sold price no longer. Raises CatalogueProblem where there is none."""
        with self.change("take out sale", who) as step:
            new = {"gone": now()}
            was = self._update("sale", sale_id, new)
            self._undoes(step, {"table": "sale", "id": sale_id, "set": was, "from": new})


def _columns(sale: Sale) -> dict[str, Any]:
    values = dataclasses.asdict(sale)
    del values["id"]
    values["piece_id"] = values.pop("piece")
    values["day"] = check_day(values.pop("when"), needed=True)
    values["signed"] = None if sale.signed is None else int(sale.signed)
    return values


def check_day(text: str, *, needed: bool = False) -> str:
    """The day as ISO 8601 (2024-06-30), or its month or year alone; empty where not `needed`.

    Raises CatalogueProblem for anything else.
    """
    clean = text.strip()
    if not clean and not needed:
        return ""
    if re.fullmatch(r"[0-9]{4}(-[0-9]{2}){0,2}", clean):
        try:
            datetime.date.fromisoformat((clean + "-01-01")[:10])
        except ValueError:
            pass
        else:
            return clean
    raise CatalogueProblem(f'"{text}" is not a date; write it like 2024-06-30, 2024-06 or 2024')


def _check_money(minor: int, currency: str) -> None:
    if not 0 <= minor < LARGEST_MINOR:
        raise CatalogueProblem(f"a price of {minor} minor units is out of range")
    if not re.fullmatch(r"[A-Z]{3}", currency):
        raise CatalogueProblem(
            f'"{currency}" is not a currency; write its three letters of ISO 4217, such as EUR'
        )
