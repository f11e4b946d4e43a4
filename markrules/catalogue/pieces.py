"""Pieces, lists of them, and search in words over titles, notes, what was told, and marks."""

from __future__ import annotations

import base64
import json
import re
import secrets
import sqlite3
from collections.abc import Iterable, Sequence
from typing import Any

from markrules.catalogue.core import OpenFile, check_lengths, now
from markrules.catalogue.log import log_lines
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Box, Listed, NewPiece, Piece
from markrules.catalogue.rows import checked, piece_of

_LISTED = """
select piece.*, reading.first_year, reading.last_year, reading.maker,
    reading.maker_probability, reading.gain_bits, reading.log_line,
    (select digest from photo where photo.piece_id = piece.id and photo.gone = ''
        order by photo.id limit 1) as photo,
    (select max(id) from seen where seen.piece_id = piece.id) as last_line,
    case when json_valid(reading.data) then
        (select json_extract(value, '$.text') from json_each(reading.data, '$.marks')
            where json_extract(value, '$.unlisted') limit 1) end as unlisted,
    case when json_valid(reading.data) then
        (select json_extract(value, '$.text') from json_each(reading.data, '$.marks')
            where json_extract(value, '$.read') = 'in part' limit 1) end as in_part
from piece left join reading on reading.id =
    (select max(id) from reading as other where other.piece_id = piece.id)
"""

RANKED = 2000
"""Of a word met on more pieces than this, the newest are ranked: a list that long is not read."""

MOST_WORDS = 20

LONGEST_OWN_NUMBER = 40

_CODE = re.compile(r"(?:https?://\S+/piece/)?([a-z2-7]{16})", re.IGNORECASE | re.ASCII)
"""What the code of a label holds: the identifier, or an address that ends in it."""


class Pieces:
    """The pieces of the boxes, and finding them again."""

    def __init__(self, file: OpenFile) -> None:
        """Over an open file."""
        self._file = file

    def add(self, box: Box, pieces: Iterable[NewPiece], who: str = "") -> range:
        """Enter pieces, numbered on from the last of the box, all of them or none.

        Returns their numbers in the box.
        """
        with self._file.change("add pieces", who) as step:
            last = last_number(self._file, box)
            number, moment, first_row, row = last, now(), 0, 0
            for number, new in enumerate(pieces, last + 1):
                row = insert_piece(self._file, box.id, number, new, moment)
                first_row = first_row or row
                log_lines(self._file, row, new.observations, who, moment, step)
            if row:
                self._file.keep_undo(step, {"table": "piece", "first": first_row, "last": row})
        return range(last + 1, number + 1)

    def by_id(self, piece_id: int) -> Piece:
        """The piece with that row number. Raises CatalogueProblem where there is none."""
        found = self._file.row("select * from piece where id = ?", (piece_id,))
        if found is None:
            raise CatalogueProblem(f"there is no piece with row number {piece_id}")
        return piece_of(found)

    def by_uid(self, uid: str) -> Piece:
        """The piece with that identifier. Raises CatalogueProblem where there is none."""
        found = self._file.row("select * from piece where uid = ?", (uid.strip().casefold(),))
        if found is None:
            raise CatalogueProblem(f'no piece has the identifier "{uid}"')
        return piece_of(found)

    def numbered(self, box: Box, number: int) -> Piece:
        """The piece of that number in the box, gone or not. Raises CatalogueProblem without one."""
        found = self._file.row(
            "select * from piece where box_id = ? and number = ?", (box.id, number)
        )
        if found is None:
            last = self._file.rows("select max(number) from piece where box_id = ?", (box.id,))[0][
                0
            ]
            has = f"it has 1 to {last}" if last else "it is empty"
            raise CatalogueProblem(f'box "{box.name}" has no piece {number}; {has}')
        return piece_of(found)

    def all(
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
        found = self._file.rows(
            f"select * from piece {where} order by box_id, number limit :limit",
            {**values, "limit": -1 if limit is None else limit},
        )
        return tuple(self._file.each(piece_of, found))

    def listed(
        self, box: Box, *, gone: bool = False, after: int = 0, limit: int = 50
    ) -> tuple[Listed, ...]:
        """A page of a box: up to `limit` pieces with numbers above `after`, with their readings."""
        where, values = _where(box, gone, after)
        found = self._file.rows(
            f"{_LISTED} {where} order by piece.number limit :limit", {**values, "limit": limit}
        )
        return tuple(self._file.each(_listed, found))

    def listed_by_id(self, ids: Sequence[int]) -> tuple[Listed, ...]:
        """Pieces by row number, with their readings, in the order asked; unknown ones left out."""
        marks = ", ".join("?" * len(ids))
        rows = self._file.rows(f"{_LISTED} where piece.id in ({marks})", list(ids))
        found = {each.piece.id: each for each in self._file.each(_listed, rows)}
        return tuple(found[each] for each in ids if each in found)

    def change(
        self,
        piece: Piece,
        *,
        title: str | None = None,
        told: str | None = None,
        own_number: str | None = None,
        set: int | None = None,
        who: str = "",
    ) -> Piece:
        """Set the title, what was told, the owner's own number, or the set (0: none); what stood
        before is in the step.

        The note stays as it was first written: what it got wrong is corrected in the log. Raises
        CatalogueProblem for an own number that is too long.
        """
        number = None if own_number is None else checked_own_number(own_number)
        wanted: dict[str, Any] = {"title": title, "told": told, "own_number": number}
        values = {name: value for name, value in wanted.items() if value is not None}
        if set is not None:
            values["set_id"] = set or None
        self._file.set_columns("piece", piece.id, values, "change piece", who)
        return self.by_id(piece.id)

    def take_out(self, piece: Piece, why: str = "", who: str = "") -> Piece:
        """Mark a piece as gone from its box (sold, given away …); nothing of it is erased."""
        if piece.gone:
            raise CatalogueProblem(f"piece {piece.number} is gone already, since {piece.gone}")
        values = {"gone": now(), "gone_why": why}
        self._file.set_columns("piece", piece.id, values, "take out", who)
        return self.by_id(piece.id)

    def take_out_each(self, pieces: Sequence[Piece], why: str = "", who: str = "") -> int:
        """Mark several pieces as gone, as one step; those gone already are left as they are."""
        there = [each for each in pieces if not each.gone]
        new = {"gone": now(), "gone_why": why}
        with self._file.change("take out several", who) as step:
            undoes = [
                {"table": "piece", "id": each.id, "set": was, "from": new}
                for each in there
                for was in [self._file.update("piece", each.id, new)]
            ]
            self._file.keep_undo(step, *undoes)
        return len(there)

    def put_back(self, piece: Piece, who: str = "") -> Piece:
        """Take a piece that was gone into its box again."""
        self._file.set_columns("piece", piece.id, {"gone": "", "gone_why": ""}, "put back", who)
        return self.by_id(piece.id)

    def search(
        self, text: str, *, box: Box | None = None, limit: int = 50, gone: bool = False
    ) -> tuple[Listed, ...]:
        """The pieces whose texts hold every word, best first; the last word may be a beginning.

        With `gone`, those that left their box, too. What the code of a label holds finds its
        piece, wherever it is. Nothing a person types is taken for syntax. An empty text finds
        nothing.
        """
        coded = self.by_code(text)
        if coded is not None:
            return () if box is not None and coded.piece.box != box.id else (coded,)
        query = quoted(text)
        if not query:
            return ()
        found = self._file.rows(
            "select rowid, rank from piece_text where piece_text match ?"
            " order by rowid desc limit ?",
            (query, RANKED),
        )
        best = [row[0] for row in sorted(found, key=lambda row: (row[1], row[0]))]
        kept: list[Listed] = []
        # Some fall out, being gone or of another box: more are looked at than are wanted.
        for start in range(0, len(best), 4 * limit):
            for each in self.listed_by_id(best[start : start + 4 * limit]):
                if (gone or not each.piece.gone) and (box is None or each.piece.box == box.id):
                    kept.append(each)
            if len(kept) >= limit:
                break
        return tuple(kept[:limit])

    def by_code(self, text: str) -> Listed | None:
        """The piece whose label holds this code, gone or not; None where there is none such."""
        found = _CODE.fullmatch(text.strip())
        if found is None:
            return None
        row = self._file.row("select id from piece where uid = ?", (found[1].casefold(),))
        return next(iter(self.listed_by_id([row["id"]])), None) if row is not None else None


def last_number(file: OpenFile, box: Box) -> int:
    """The highest number of a box that takes pieces. Raises CatalogueProblem for one gone."""
    if file.rows("select gone from box where id = ?", (box.id,))[0][0]:
        raise CatalogueProblem(f'box "{box.name}" was taken back; it takes no pieces')
    found = file.rows("select max(number) from piece where box_id = ?", (box.id,))
    return int(found[0][0] or 0)


def insert_piece(file: OpenFile, box: int, number: int, new: NewPiece, moment: str) -> int:
    """Enter a piece within the caller's change; its row number."""
    check_lengths({"note": new.note, "title": new.title, "told": new.told})
    cursor = file.connection.execute(
        "insert into piece (uid, box_id, number, title, note, told, set_id, added,"
        " not_understood, own_number) values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
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
            checked_own_number(new.own_number),
        ),
    )
    return int(cursor.lastrowid or 0)


def checked_own_number(text: str) -> str:
    """The owner's own number with single blanks. Raises CatalogueProblem for a text too long."""
    number = " ".join(text.split())
    if len(number) > LONGEST_OWN_NUMBER:
        raise CatalogueProblem(
            f'own number: "{number[:20]}…" has {len(number)} signs; {LONGEST_OWN_NUMBER} are the'
            " most that a tag has room for"
        )
    return number


def _where(box: Box | None, gone: bool, after: int) -> tuple[str, dict[str, Any]]:
    wanted = [] if gone else ["piece.gone = ''"]
    if box is not None:
        wanted.append("piece.box_id = :box and piece.number > :after")
    where = f"where {' and '.join(wanted)}" if wanted else ""
    return where, {"box": box.id if box else None, "after": after}


@checked("piece")
def _listed(row: sqlite3.Row) -> Listed:
    return Listed(
        piece_of(row),
        row["first_year"],
        row["last_year"],
        row["maker"] or "",
        row["maker_probability"] or 0.0,
        row["gain_bits"] or 0.0,
        row["photo"] or "",
        row["log_line"] is not None and row["log_line"] == (row["last_line"] or 0),
        row["unlisted"] if isinstance(row["unlisted"], str) else "",
        row["in_part"] if isinstance(row["in_part"], str) else "",
    )


def new_uid() -> str:
    """A piece's own identifier: 80 random bits, in the 32 letters of RFC 4648 base32."""
    return base64.b32encode(secrets.token_bytes(10)).decode().lower()


def quoted(text: str) -> str:
    """The words as a full-text query that means just these words, each in quotes."""
    words = ["".join(c if c.isprintable() else " " for c in word) for word in text.split()]
    kept = [word for word in words if any(character.isalnum() for character in word)]
    if not kept:
        return ""
    return " ".join('"' + word.replace('"', '""') + '"' for word in kept[:MOST_WORDS]) + "*"
