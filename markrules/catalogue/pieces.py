"""Pieces, lists of them, and sets of pieces that belong together."""

from __future__ import annotations

import base64
import json
import secrets
from collections.abc import Iterable, Sequence
from typing import Any

from markrules.catalogue.boxes import Boxes, clean_name
from markrules.catalogue.core import check_lengths, now
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Box, Listed, NewPiece, Piece, PieceSet
from markrules.catalogue.rows import piece_of

_LISTED = """
select piece.*, reading.first_year, reading.last_year, reading.maker,
    reading.maker_probability, reading.gain_bits, reading.log_line,
    (select digest from photo where photo.piece_id = piece.id and photo.gone = ''
        order by photo.id limit 1) as photo,
    (select max(id) from seen where seen.piece_id = piece.id) as last_line
from piece left join reading on reading.id =
    (select max(id) from reading as other where other.piece_id = piece.id)
"""


class Pieces(Boxes):
    """What the catalogue knows of pieces and sets."""

    def add_pieces(self, box: Box, pieces: Iterable[NewPiece], who: str = "") -> range:
        """Enter pieces, numbered on from the last of the box, all of them or none.

        Returns their numbers in the box.
        """
        with self.change("add pieces", who) as step:
            last = self._last_number(box)
            number, moment, first_row, row = last, now(), 0, 0
            for number, new in enumerate(pieces, last + 1):
                row = self._insert_piece(box.id, number, new, moment)
                first_row = first_row or row
                self._log_lines(row, new.observations, who, moment, step)
            if row:
                self._undoes(step, {"table": "piece", "first": first_row, "last": row})
        return range(last + 1, number + 1)

    def _last_number(self, box: Box) -> int:
        """The highest number of a box that takes pieces. Raises CatalogueProblem for one gone."""
        if self.rows("select gone from box where id = ?", (box.id,))[0][0]:
            raise CatalogueProblem(f'box "{box.name}" was taken back; it takes no pieces')
        found = self.rows("select max(number) from piece where box_id = ?", (box.id,))
        return int(found[0][0] or 0)

    def _insert_piece(self, box: int, number: int, new: NewPiece, moment: str) -> int:
        check_lengths({"note": new.note, "title": new.title, "told": new.told})
        cursor = self._connection.execute(
            "insert into piece (uid, box_id, number, title, note, told, set_id, added,"
            " not_understood) values (?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (
                new_uid(),
                box,
                number,
                new.title,
                new.note,
                new.told,
                new.set,
                moment,
                json.dumps(new.not_understood, ensure_ascii=False),
            ),
        )
        return int(cursor.lastrowid or 0)

    def piece(self, piece_id: int) -> Piece:
        """The piece with that row number. Raises CatalogueProblem where there is none."""
        found = self.row("select * from piece where id = ?", (piece_id,))
        if found is None:
            raise CatalogueProblem(f"there is no piece with row number {piece_id}")
        return piece_of(found)

    def piece_by_uid(self, uid: str) -> Piece:
        """The piece with that identifier. Raises CatalogueProblem where there is none."""
        found = self.row("select * from piece where uid = ?", (uid.strip().casefold(),))
        if found is None:
            raise CatalogueProblem(f'no piece has the identifier "{uid}"')
        return piece_of(found)

    def piece_in(self, box: Box, number: int) -> Piece:
        """The piece of that number in the box, gone or not. Raises CatalogueProblem without one."""
        found = self.row("select * from piece where box_id = ? and number = ?", (box.id, number))
        if found is None:
            last = self.rows("select max(number) from piece where box_id = ?", (box.id,))[0][0]
            has = f"it has 1 to {last}" if last else "it is empty"
            raise CatalogueProblem(f'box "{box.name}" has no piece {number}; {has}')
        return piece_of(found)

    def pieces(
        self,
        box: Box | None = None,
        *,
        gone: bool = False,
        after: int = 0,
        limit: int | None = None,
    ) -> tuple[Piece, ...]:
        """The pieces of a box, or of all, in order; those taken out only with `gone`.

        With a box, `after` leaves out numbers up to it. `limit` bounds how many are returned.
        """
        where, values = _where(box, gone, after)
        found = self.rows(
            f"select * from piece {where} order by box_id, number limit :limit",
            {**values, "limit": -1 if limit is None else limit},
        )
        return tuple(self.each(piece_of, found))

    def listed(
        self, box: Box, *, gone: bool = False, after: int = 0, limit: int = 50
    ) -> tuple[Listed, ...]:
        """A page of a box: up to `limit` pieces with numbers above `after`, with their readings."""
        where, values = _where(box, gone, after)
        found = self.rows(
            f"{_LISTED} {where} order by piece.number limit :limit", {**values, "limit": limit}
        )
        return tuple(self.each(_listed, found))

    def listed_by_id(self, ids: Sequence[int]) -> tuple[Listed, ...]:
        """Pieces by row number, with their readings, in the order asked; unknown ones left out."""
        marks = ", ".join("?" * len(ids))
        rows = self.rows(f"{_LISTED} where piece.id in ({marks})", list(ids))
        found = {each.piece.id: each for each in self.each(_listed, rows)}
        return tuple(found[each] for each in ids if each in found)

    def change_piece(
        self,
        piece: Piece,
        *,
        title: str | None = None,
        told: str | None = None,
        set: int | None = None,
        who: str = "",
    ) -> Piece:
        """Set the title, what was told, or the set (0: none); what stood before is in the step.

        The note stays as it was first written: what it got wrong is corrected in the log.
        """
        wanted: dict[str, Any] = {"title": title, "told": told}
        values = {name: value for name, value in wanted.items() if value is not None}
        if set is not None:
            values["set_id"] = set or None
        self._set_columns("piece", piece.id, values, "change piece", who)
        return self.piece(piece.id)

    def take_out(self, piece: Piece, why: str = "", who: str = "") -> Piece:
        """Mark a piece as gone from its box (sold, given away …); nothing of it is erased."""
        if piece.gone:
            raise CatalogueProblem(f"piece {piece.number} is gone already, since {piece.gone}")
        values = {"gone": now(), "gone_why": why}
        self._set_columns("piece", piece.id, values, "take out", who)
        return self.piece(piece.id)

    def take_out_each(self, pieces: Sequence[Piece], why: str = "", who: str = "") -> int:
        """Mark several pieces as gone, as one step; those gone already are left as they are."""
        there = [each for each in pieces if not each.gone]
        new = {"gone": now(), "gone_why": why}
        with self.change("take out several", who) as step:
            undoes = [
                {"table": "piece", "id": each.id, "set": was, "from": new}
                for each in there
                for was in [self._update("piece", each.id, new)]
            ]
            self._undoes(step, *undoes)
        return len(there)

    def put_back(self, piece: Piece, who: str = "") -> Piece:
        """Take a piece that was gone into its box again."""
        self._set_columns("piece", piece.id, {"gone": "", "gone_why": ""}, "put back", who)
        return self.piece(piece.id)

    def start_set(
        self, name: str, pieces: Sequence[Piece] = (), note: str = "", who: str = ""
    ) -> PieceSet:
        """A new set of pieces that belong together. Raises CatalogueProblem for an empty name."""
        name = clean_name(name, "a set")
        with self.change("start set", who) as step:
            row = self._insert("piece_set", {"name": name, "note": note})
            undoes: list[dict[str, Any]] = [{"table": "piece_set", "first": row, "last": row}]
            for each in pieces:
                was = self._update("piece", each.id, {"set_id": row})
                left = {"set_id": row}
                undoes.append({"table": "piece", "id": each.id, "set": was, "from": left})
            self._undoes(step, *undoes)
        return PieceSet(row, name, note)

    def sets(self) -> tuple[PieceSet, ...]:
        """All sets, oldest first."""
        found = self.rows("select id, name, note from piece_set where gone = '' order by id")
        return tuple(PieceSet(*row) for row in found)

    def pieces_of_set(self, set_id: int) -> tuple[Piece, ...]:
        """The pieces of a set, in the order of their boxes and numbers."""
        found = self.rows(
            "select * from piece where set_id = ? and gone = '' order by box_id, number", (set_id,)
        )
        return tuple(self.each(piece_of, found))


def _where(box: Box | None, gone: bool, after: int) -> tuple[str, dict[str, Any]]:
    wanted = [] if gone else ["piece.gone = ''"]
    if box is not None:
        wanted.append("piece.box_id = :box and piece.number > :after")
    where = f"where {' and '.join(wanted)}" if wanted else ""
    return where, {"box": box.id if box else None, "after": after}


def _listed(row: Any) -> Listed:
    return Listed(
        piece_of(row),
        row["first_year"],
        row["last_year"],
        row["maker"] or "",
        row["maker_probability"] or 0.0,
        row["gain_bits"] or 0.0,
        row["photo"] or "",
        row["log_line"] is not None and row["log_line"] == (row["last_line"] or 0),
    )


def new_uid() -> str:
    """A piece's own identifier: 80 random bits, in the 32 letters of RFC 4648 base32."""
    return base64.b32encode(secrets.token_bytes(10)).decode().lower()
