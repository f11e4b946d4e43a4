"""The catalogue: boxes, pieces, what was seen, and what was decided, in one SQLite file.

Each method that changes something is one transaction, and tells its step, so that it can be
taken back. What was seen is a log that only grows.
"""

from __future__ import annotations

import datetime
import json
import secrets
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any

from markrules.catalogue.file import CatalogueProblem, connect
from markrules.catalogue.records import Box, Piece, Seen
from markrules.catalogue.rows import box_of, columns_of, piece_of, seen_of
from markrules.knowledge.observation import Observation

if TYPE_CHECKING:
    from sqlite_utils import Database


@dataclass(frozen=True, slots=True)
class NewPiece:
    """A piece to be entered, and what is seen on it at once."""

    note: str = ""
    title: str = ""
    told: str = ""
    observations: tuple[Observation, ...] = ()
    set: int | None = None


class Catalogue:
    """An open catalogue. Use it as a context manager, or call `close`."""

    def __init__(self, path: Path, *, create: bool = True) -> None:
        """Open the file, making it where there is none and `create` is set.

        Raises CatalogueProblem where it cannot be used.
        """
        self.path = path
        self._connection = connect(path, create=create)

    @property
    def db(self) -> Database:
        """The same connection as sqlite-utils sees it."""
        from sqlite_utils import Database

        return Database(self._connection)

    def close(self) -> None:
        """Close the file."""
        self._connection.close()

    def __enter__(self) -> Catalogue:
        """The catalogue itself."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Close the file."""
        self.close()

    @contextmanager
    def change(self, what: str = "", who: str = "") -> Iterator[int]:
        """One transaction; yields the number of its step (0 when `what` is empty).

        Nothing of it is kept when an error leaves the block. Raises CatalogueProblem for
        trouble with the file.
        """
        try:
            self._connection.execute("begin immediate")
        except sqlite3.Error as error:
            raise CatalogueProblem(f"{self.path}: {error}") from None
        try:
            step = 0
            if what:
                cursor = self._connection.execute(
                    "insert into step (moment, who, what) values (?, ?, ?)", (now(), who, what)
                )
                step = int(cursor.lastrowid or 0)
            yield step
            self._connection.execute("commit")
        except sqlite3.Error as error:
            self._roll_back()
            raise CatalogueProblem(f"{self.path}: {error}; nothing was changed") from None
        except BaseException:
            self._roll_back()
            raise

    def _roll_back(self) -> None:
        if self._connection.in_transaction:
            self._connection.execute("rollback")

    def rows(self, sql: str, values: Sequence[Any] = ()) -> list[sqlite3.Row]:
        """The rows of a query; values are bound, never written into the text."""
        return self._connection.execute(sql, values).fetchall()

    # --- Boxes ------------------------------------------------------------------------------

    def start_box(self, name: str, note: str = "", who: str = "") -> Box:
        """A new box. Raises CatalogueProblem where the name is empty or taken."""
        if not name.strip():
            raise CatalogueProblem("a box needs a name")
        if self.rows("select 1 from box where name = ?", (name,)):
            raise CatalogueProblem(f'there is a box called "{name}" already')
        with self.change("start box", who) as step:
            cursor = self._connection.execute(
                "insert into box (name, note, added) values (?, ?, ?)", (name, note, now())
            )
            self._undoes(step, [{"box": cursor.lastrowid}])
        return self.box(name)

    def boxes(self) -> tuple[Box, ...]:
        """All boxes, oldest first."""
        return tuple(box_of(row) for row in self.rows("select * from box order by id"))

    def box(self, name: str) -> Box:
        """The box of that name. Raises CatalogueProblem, with the nearest name, where none is."""
        found = self.rows("select * from box where name = ?", (name,))
        if found:
            return box_of(found[0])
        names = [each.name for each in self.boxes()]
        from markrules.reading.observing import nearest

        near = nearest(name, names) if names else None
        hint = f'; nearest: "{near}"' if near else ""
        raise CatalogueProblem(f'there is no box called "{name}"{hint}')

    # --- Pieces -----------------------------------------------------------------------------

    def add_pieces(self, box: Box, pieces: Iterable[NewPiece], who: str = "") -> list[Piece]:
        """Enter pieces, numbered on from the last of the box, all of them or none."""
        with self.change("add pieces", who) as step:
            row = self.rows("select coalesce(max(number), 0) from piece where box_id = ?", (box.id,))
            number, moment, ids = int(row[0][0]), now(), []
            for new in pieces:
                number += 1
                ids.append(self._insert_piece(box, number, new, moment, who, step))
            self._undoes(step, [{"piece": each} for each in ids])
        return [self.piece(each) for each in ids] if len(ids) <= 500 else []

    def _insert_piece(
        self, box: Box, number: int, new: NewPiece, moment: str, who: str, step: int
    ) -> int:
        cursor = self._connection.execute(
            "insert into piece (uid, box_id, number, title, note, told, set_id, added)"
            " values (?, ?, ?, ?, ?, ?, ?, ?)",
            (new_uid(), box.id, number, new.title, new.note, new.told, new.set, moment),
        )
        piece = int(cursor.lastrowid or 0)
        for observation in new.observations:
            self._log(piece, observation, who, moment, step)
        return piece

    def piece(self, piece_id: int) -> Piece:
        """The piece with that row number. Raises CatalogueProblem where there is none."""
        found = self.rows("select * from piece where id = ?", (piece_id,))
        if not found:
            raise CatalogueProblem(f"there is no piece with row number {piece_id}")
        return piece_of(found[0])

    def piece_in(self, box: Box, number: int) -> Piece:
        """The piece of that number in the box. Raises CatalogueProblem where there is none."""
        found = self.rows(
            "select * from piece where box_id = ? and number = ?", (box.id, number)
        )
        if not found:
            last = self.rows("select max(number) from piece where box_id = ?", (box.id,))[0][0]
            has = f"it has 1 to {last}" if last else "it is empty"
            raise CatalogueProblem(f'box "{box.name}" has no piece {number}; {has}')
        return piece_of(found[0])

    def pieces(self, box: Box | None = None, *, gone: bool = False) -> tuple[Piece, ...]:
        """The pieces of a box, or of all, in order; those taken out only with `gone`."""
        wanted = [] if gone else ["gone = ''"]
        if box is not None:
            wanted.append("box_id = :box")
        where = f"where {' and '.join(wanted)}" if wanted else ""
        found = self._connection.execute(
            f"select * from piece {where} order by box_id, number",
            {"box": box.id if box else None},
        )
        return tuple(piece_of(row) for row in found)

    # --- What was seen ----------------------------------------------------------------------

    def log(
        self,
        piece: Piece,
        observations: Iterable[Observation],
        who: str = "",
        *,
        corrects: int | None = None,
        photo: int | None = None,
    ) -> list[int]:
        """Add to the log of a piece; the line numbers. `corrects` names the line replaced."""
        with self.change("see", who) as step:
            lines = [
                self._log(piece.id, each, who, now(), step, corrects=corrects, photo=photo)
                for each in observations
            ]
            self._undoes(step, [{"seen": line} for line in lines])
        return lines

    def withdraw(self, piece: Piece, line: int, who: str = "") -> int:
        """Take a line of the log back without putting anything in its place."""
        old = next((each for each in self.log_of(piece) if each.id == line), None)
        if old is None:
            raise CatalogueProblem(f"piece {piece.number} has no line {line} in its log")
        with self.change("withdraw", who) as step:
            new = self._log(
                piece.id, old.observation, who, now(), step, corrects=line, withdrawn=True
            )
            self._undoes(step, [{"seen": new}])
        return new

    def _log(
        self,
        piece: int,
        observation: Observation,
        who: str,
        moment: str,
        step: int,
        *,
        corrects: int | None = None,
        photo: int | None = None,
        withdrawn: bool = False,
    ) -> int:
        values = {
            **columns_of(observation),
            "piece_id": piece,
            "who": who,
            "moment": moment,
            "photo_id": photo,
            "corrects": corrects,
            "withdrawn": int(withdrawn),
            "step_id": step or None,
        }
        names = ", ".join(values)
        marks = ", ".join(f":{name}" for name in values)
        cursor = self._connection.execute(f"insert into seen ({names}) values ({marks})", values)
        return int(cursor.lastrowid or 0)

    def log_of(self, piece: Piece) -> tuple[Seen, ...]:
        """Every line ever written for a piece, oldest first."""
        found = self.rows("select * from seen where piece_id = ? order by id", (piece.id,))
        return tuple(seen_of(row) for row in found)

    def seen_on(self, piece: Piece) -> tuple[Seen, ...]:
        """The lines that stand: those neither corrected nor taken back."""
        return standing(self.log_of(piece))

    # --- Taking back ------------------------------------------------------------------------

    def _undoes(self, step: int, what: list[dict[str, Any]]) -> None:
        self._connection.execute(
            "update step set undoes = ? where id = ?", (json.dumps(what), step)
        )


def standing(log: Sequence[Seen]) -> tuple[Seen, ...]:
    """The lines of a log that stand. A correction that is itself taken back lets the old stand.

    Lines are looked at newest first: a line stands unless a standing line corrects it; a
    line that withdraws takes its target away and shows nothing itself.
    """
    replaced: set[int] = set()
    kept: list[Seen] = []
    for line in reversed(log):
        if line.id in replaced:
            continue
        if line.corrects is not None:
            replaced.add(line.corrects)
        if not line.withdrawn:
            kept.append(line)
    return tuple(reversed(kept))


def now() -> str:
    """This moment in UTC, as ISO 8601 text to the second."""
    return datetime.datetime.now(datetime.UTC).replace(microsecond=0).isoformat()


def new_uid() -> str:
    """A piece's own identifier: 80 random bits, in the 32 letters of RFC 4648 base32."""
    import base64

    return base64.b32encode(secrets.token_bytes(10)).decode().lower()
