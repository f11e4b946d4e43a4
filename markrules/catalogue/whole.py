"""Pieces with all that is kept of them, out of one catalogue and into another.

Not among it: photos, which travel in an archive, and readings, which are made anew.
"""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Iterable, Iterator
from typing import Any

from markrules.catalogue.core import check_lengths, now
from markrules.catalogue.log import index_marks
from markrules.catalogue.money import check_money, check_sale
from markrules.catalogue.pieces import checked_own_number
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import (
    Acquisition,
    Box,
    Event,
    KeptDecision,
    Listed,
    Piece,
    PieceSet,
    Sale,
    Seen,
)
from markrules.catalogue.rows import SEEN_COLUMNS, values_of
from markrules.catalogue.store import Catalogue
from markrules.frozen import dataclass

PAGE = 500


@dataclass(frozen=True, slots=True)
class WholePiece:
    """A piece and all that hangs on it. `log` holds corrected lines and withdrawals too; `corrects`
    of each names an `id` of the same log, and `sale` of an event an `id` of `sales`. What was
    kept of its box, its note and what it cost as a whole, comes with each piece.
    """

    box: str
    piece: Piece
    log: tuple[Seen, ...] = ()
    set: PieceSet | None = None
    passed: tuple[str, ...] = ()
    acquisitions: tuple[Acquisition, ...] = ()
    events: tuple[Event, ...] = ()
    sales: tuple[Sale, ...] = ()
    decisions: tuple[KeptDecision, ...] = ()
    box_note: str = ""
    box_acquisitions: tuple[Acquisition, ...] = ()


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What became of pieces that were taken in: their boxes and new numbers by identifier, those
    that were here already, and those whose number was not free.
    """

    numbers: dict[str, tuple[str, int]]
    here: tuple[str, ...]
    renumbered: tuple[str, ...]


def whole_pieces(
    catalogue: Catalogue, box: Box | None = None
) -> Iterator[tuple[WholePiece, Listed]]:
    """The pieces of a box, or of every box, with all that is kept of each, and as listed.

    Pieces that left are among them, those whose entry was taken back are not.
    """
    sets = {each.id: each for each in catalogue.sets.all()}
    for of in (box,) if box is not None else catalogue.boxes.all():
        after, bought = 0, catalogue.money.acquisitions(of)
        while page := catalogue.pieces.listed(of, gone=True, after=after, limit=PAGE):
            after = page[-1].piece.number
            for listed in page:
                piece = listed.piece
                if " undone in step " in piece.gone:
                    continue
                whole = WholePiece(
                    of.name,
                    piece,
                    catalogue.log.of(piece),
                    sets.get(piece.set or 0),
                    catalogue.log.passed_on(piece),
                    catalogue.money.acquisitions(piece),
                    catalogue.money.events(piece),
                    catalogue.money.sales(piece),
                    catalogue.decisions.of(piece),
                    of.note,
                    bought,
                )
                yield whole, listed


def take_in(
    catalogue: Catalogue,
    pieces: Iterable[WholePiece],
    into: Box | None = None,
    who: str = "",
    what: str = "take in pieces",
) -> TakenIn:
    """Enter pieces from elsewhere with all that is kept of them, as one step, all or none.

    They go `into` one box, or each into the box of its name, which is made where there is none.
    A box that is made gets its note and its purchases; one that is there keeps its own. A piece
    whose identifier is in the catalogue stays as it is. A number that is taken becomes
    the next after the last. `what` names the step. Raises CatalogueProblem for a box that
    is gone and what is too long.
    """
    with catalogue.change(what, who) as step:
        entry = _Entry(catalogue, step, into)
        for each in pieces:
            entry.take(each)
        entry.finish()
    return TakenIn(entry.numbers, tuple(entry.here), tuple(entry.renumbered))


class _Entry:
    """One step of taking in: rows made so far, by table, and what became of each piece."""

    def __init__(self, catalogue: Catalogue, step: int, into: Box | None) -> None:
        self.catalogue, self.step, self.into = catalogue, step, into
        self.made: dict[str, list[int]] = {}
        self.lines: list[int] = []
        self.numbers: dict[str, tuple[str, int]] = {}
        self.here: list[str] = []
        self.renumbered: list[str] = []
        self.sets: dict[tuple[str, int], int] = {}
        self.left: list[dict[str, Any]] = []

    def take(self, whole: WholePiece) -> None:
        uid = whole.piece.uid
        there = self.catalogue.row("select set_id from piece where uid = ?", (uid,))
        if there is not None:  # taken in twice, a piece would be sold twice
            self.here.append(uid)
            if whole.set is not None and there["set_id"]:
                self.sets[whole.set.name, whole.set.id] = int(there["set_id"])
            return
        box, name = self._box(whole)
        number = self._number(box, whole.piece.number)
        if number != whole.piece.number:
            self.renumbered.append(uid)
        self.numbers[uid] = (name, number)
        piece = self._piece(box, number, whole)
        if whole.piece.gone:
            self._left(piece, whole.piece.gone)
        self._log(piece, whole.log)
        moment = now()
        for feature in whole.passed:
            self._new("passed", {"piece_id": piece, "feature": feature, "moment": moment})
        for bought in whole.acquisitions:
            self._bought(bought, piece=piece)
        sales = {each.id: self._sale(piece, each) for each in whole.sales}
        for event in whole.events:
            if event.price_minor is not None:
                check_money(event.price_minor, event.currency)
            values = _named(event, piece, {"when": "moment", "sale": "sale_id"})
            self._new("event", {**values, "sale_id": sales.get(event.sale or 0)})
        for decision in whole.decisions:
            sums = json.dumps(decision.sums, ensure_ascii=False)
            self._new("decision", {**_named(decision, piece, {"when": "moment"}), "sums": sums})

    def finish(self) -> None:
        """Keep with the step what takes it back."""
        rows = [
            {"table": table, "first": made[0], "last": made[-1]}
            for table, made in sorted(self.made.items(), key=lambda each: _ORDER.index(each[0]))
        ]
        if rows:
            self.catalogue.keep_undo(self.step, *self.left, *rows)

    def _left(self, piece: int, gone: str) -> None:
        """Keep what takes back the entry of a piece that left: a row that has gone is marked by
        none that goes over all of a table.
        """
        undone = f"{now()} undone in step {self.step}"
        back = {"table": "piece", "id": piece, "set": {"gone": undone}, "from": {"gone": gone}}
        self.left.append(back)

    def _new(self, table: str, values: dict[str, Any]) -> int:
        row = self.catalogue.insert(table, values)
        self.made.setdefault(table, []).append(row)
        return row

    def _bought(
        self, bought: Acquisition, *, piece: int | None = None, box: int | None = None
    ) -> None:
        if bought.cost_minor is not None:
            check_money(bought.cost_minor, bought.currency)
        values = _named(bought, piece, {"when": "day", "where": "place"})
        self._new("acquisition", {**values, "box_id": box})

    def _box(self, whole: WholePiece) -> tuple[int, str]:
        name = whole.box
        if self.into is not None:
            box, name = self.into.id, self.into.name
        else:
            found = self.catalogue.row("select id from box where name = ?", (name,))
            if found is None:
                check_lengths({"note": whole.box_note})
                values = {"name": name, "note": whole.box_note, "added": now()}
                made = self._new("box", values)
                for bought in whole.box_acquisitions:
                    self._bought(bought, box=made)
                return made, name
            box = int(found["id"])
        if self.catalogue.rows("select gone from box where id = ?", (box,))[0][0]:
            raise CatalogueProblem(f'box "{name}" was taken back; it takes no pieces')
        return box, name

    def _number(self, box: int, wanted: int) -> int:
        taken = self.catalogue.row(
            "select 1 from piece where box_id = ? and number = ?", (box, wanted)
        )
        if taken is None:
            return wanted
        last = self.catalogue.rows("select max(number) from piece where box_id = ?", (box,))
        return int(last[0][0]) + 1

    def _piece(self, box: int, number: int, whole: WholePiece) -> int:
        piece = whole.piece
        check_lengths({"note": "".join(piece.not_understood)})
        return self._new(
            "piece",
            {
                "uid": piece.uid,
                "box_id": box,
                "number": number,
                "title": piece.title,
                "note": piece.note,
                "told": piece.told,
                "set_id": self._set(whole.set),
                "added": piece.added or now(),
                "gone": piece.gone,
                "gone_why": piece.gone_why,
                "not_understood": json.dumps(piece.not_understood, ensure_ascii=False),
                "own_number": checked_own_number(piece.own_number),
            },
        )

    def _set(self, wanted: PieceSet | None) -> int | None:
        """The set that pieces of one set elsewhere are in here."""
        if wanted is None:
            return None
        key = (wanted.name, wanted.id)
        if key not in self.sets:
            self.sets[key] = self._new("piece_set", {"name": wanted.name, "note": wanted.note})
        return self.sets[key]

    def _log(self, piece: int, log: Iterable[Seen]) -> None:
        new: dict[int, int] = {}
        for line in log:
            values = dict(zip(SEEN_COLUMNS, values_of(line.observation), strict=True))
            values |= {
                "piece_id": piece,
                "who": line.who,
                "moment": line.when,
                "corrects": new.get(line.corrects or 0),
                "withdrawn": int(line.withdrawn),
                "step_id": self.step,
            }
            new[line.id] = self.catalogue.insert("seen", values)
        index_marks(self.catalogue, piece)

    def _sale(self, piece: int, sale: Sale) -> int:
        check_sale(sale)
        values = _named(sale, piece, {"when": "day"})
        values["signed"] = None if sale.signed is None else int(sale.signed)
        return self._new("sale", values)


_ORDER = ("box", "piece_set", "piece", "passed", "acquisition", "sale", "event", "decision")


def _named(record: Any, piece: int | None, other: dict[str, str]) -> dict[str, Any]:
    """The fields of a record as columns of its table, for a piece of this catalogue."""
    values = dataclasses.asdict(record)
    del values["id"], values["piece"]
    values.pop("box", None)
    return {"piece_id": piece, **{other.get(name, name): each for name, each in values.items()}}
