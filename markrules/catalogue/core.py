"""The open file, its transactions, and plain rows of its tables."""

from __future__ import annotations

import datetime
import json
import sqlite3
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self, TypeVar

from markrules.catalogue.file import connect, fold_in
from markrules.catalogue.problems import BrokenRow, CatalogueProblem, FileTrouble, why
from markrules.catalogue.sealing import seal

if TYPE_CHECKING:
    from sqlite_utils import Database

T = TypeVar("T")
QUERY_SECONDS = 30.0
"""No question that a page or a command asks takes a tenth of this, even of a large catalogue."""
_CALLED = {"acquisition": "purchase"}
"""What a person calls the rows of a table whose name is another word."""
NOT_TEXT = "a text holds bytes that are no letters (it is not UTF-8)"
TOO_GREAT = "a number is greater than any that is kept (SQLite's go to 9,223,372,036,854,775,807)"


class OpenFile:
    """An open catalogue file: its transactions, and plain rows of its tables.

    What is kept in it is the business of objects that hold this one: boxes, pieces, log and so on.
    """

    def __init__(self, path: Path, *, create: bool = True, browser: str = "") -> None:
        """Open the file, making it where there is none and `create` is set.

        `browser` stands for the admitted browser that changes are made from; empty for the
        terminal. Raises FileTrouble where the file cannot be used.
        """
        self.path = path
        self.browser = browser
        self.changed = False
        self.passed_over: dict[str, None] = {}
        self._connection = connect(path, create=create)

    @property
    def connection(self) -> sqlite3.Connection:
        """The connection itself, for looking closely at the file."""
        return self._connection

    @property
    def db(self) -> Database:
        """The same connection as sqlite-utils sees it, for introspection and plain tables."""
        from sqlite_utils import Database

        return Database(self._connection)

    def close(self) -> None:
        """Close the file; what it changed and could not fold in at once is folded in now."""
        if self.changed and not self._connection.in_transaction:
            fold_in(self._connection)
        self._connection.close()

    def __enter__(self) -> Self:
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

        Nothing of it is kept when an error leaves the block. Raises FileTrouble for trouble
        with the file.
        """
        if self._connection.in_transaction:
            raise CatalogueProblem("a change is under way already")
        try:
            self._connection.execute("begin immediate")
            step = self._start_step(what, who) if what else 0
            yield step
            if step:
                seal(self._connection, step)
            self._connection.execute("commit")
            self.changed = True
            fold_in(self._connection)
        except (sqlite3.Error, OSError) as error:
            self._roll_back()
            raise FileTrouble(f"{self.path}: {why(error)}; nothing was changed") from None
        except UnicodeEncodeError:
            self._roll_back()
            raise CatalogueProblem(f"{NOT_TEXT}; nothing was changed") from None
        except OverflowError:
            self._roll_back()
            raise CatalogueProblem(f"{TOO_GREAT}; nothing was changed") from None
        except BaseException:
            self._roll_back()
            raise

    @contextmanager
    def moment(self) -> Iterator[None]:
        """All that is read within the block is of one moment, whatever others write meanwhile."""
        self._connection.execute("begin")
        try:
            yield
        finally:
            self._roll_back()

    def copy_to(self, target: sqlite3.Connection) -> None:
        """Copy the file as it stands at one moment, its log too, into another database."""
        self._connection.backup(target)

    def _start_step(self, what: str, who: str) -> int:
        return self.insert(
            "step", {"moment": now(), "who": who, "what": what, "browser": self.browser}
        )

    def _roll_back(self) -> None:
        if self._connection.in_transaction:
            self._connection.execute("rollback")

    def rows(
        self,
        sql: str,
        values: Sequence[Any] | dict[str, Any] = (),
        *,
        seconds: float = QUERY_SECONDS,
    ) -> list[sqlite3.Row]:
        """The rows of a query; values are bound, never written into the text.

        Raises FileTrouble where the file is damaged, or the query takes longer than `seconds`.
        """
        until = time.monotonic() + seconds
        self._connection.set_progress_handler(lambda: time.monotonic() > until, 100_000)
        try:
            return self._connection.execute(sql, values).fetchall()
        except sqlite3.DatabaseError as error:
            raise FileTrouble(f"{self.path}: {why(error)}") from None
        except UnicodeEncodeError:
            raise CatalogueProblem(NOT_TEXT) from None
        except OverflowError:
            raise CatalogueProblem(TOO_GREAT) from None
        finally:
            self._connection.set_progress_handler(None, 0)

    def each(self, make: Callable[[sqlite3.Row], T], found: Iterable[sqlite3.Row]) -> list[T]:
        """A record of each row; a broken one is passed over, and named in `passed_over`."""
        made = []
        for row in found:
            try:
                made.append(make(row))
            except BrokenRow as broken:
                self.passed_over.setdefault(str(broken))
        return made

    def row(self, sql: str, values: Sequence[Any] | dict[str, Any] = ()) -> sqlite3.Row | None:
        """The first row of a query, or None."""
        found = self.rows(sql, values)
        return found[0] if found else None

    def insert(self, table: str, values: dict[str, Any]) -> int:
        """A new row, within a change; its number. Values are bound, names must be known ones.

        Raises CatalogueProblem for a text that is longer than is taken, sqlite3.IntegrityError
        where the table does not take the row.
        """
        check_lengths(values)
        names = ", ".join(values)
        marks = ", ".join(f":{name}" for name in values)
        cursor = self._connection.execute(f"insert into {table} ({names}) values ({marks})", values)
        return int(cursor.lastrowid or 0)

    def update(self, table: str, row: int, values: dict[str, Any]) -> dict[str, Any]:
        """Set columns of one row; returns what they held before."""
        check_lengths(values)
        names = list(values)
        old = self.columns(table, row, names)
        sets = ", ".join(f"{name} = :{name}" for name in names)
        self._connection.execute(
            f"update {table} set {sets} where id = :row_number", {**values, "row_number": row}
        )
        return old

    def columns(self, table: str, row: int, names: list[str]) -> dict[str, Any]:
        """What columns of one row hold. Raises CatalogueProblem where there are none such."""
        if not names or not all(name.isidentifier() for name in names):
            raise CatalogueProblem(f"{table} has no such column")
        old = self._connection.execute(
            f"select {', '.join(names)} from {table} where id = ?", (row,)
        ).fetchone()
        if old is None:
            raise CatalogueProblem(f"there is no {_CALLED.get(table, table)} of the number {row}")
        for name, value in zip(names, old, strict=True):
            if isinstance(value, bytes):
                called = _CALLED.get(table, table)
                raise BrokenRow(f"{called} with row number {row}: {name} is no text and no number")
        return dict(zip(names, old, strict=True))

    def keep_undo(self, step: int, *what: dict[str, Any]) -> None:
        """Keep with a step what takes it back, in the forms that `steps` reads."""
        if step:
            self._connection.execute(
                "update step set undoes = ? where id = ?", (json.dumps(what), step)
            )

    def set_columns(
        self, table: str, row: int, values: dict[str, Any], what: str, who: str
    ) -> None:
        """Set columns as a step of its own; those that hold the value already are left out."""
        with self.change(what, who) as step:
            there = self.columns(table, row, list(values)) if values else {}
            new = {name: value for name, value in values.items() if there[name] != value}
            if not new:
                self._connection.execute("delete from step where id = ?", (step,))
                return
            was = self.update(table, row, new)
            self.keep_undo(step, {"table": table, "id": row, "set": was, "from": new})


LONGEST = 20_000
LONGEST_OF = {"note": 200_000, "told": 200_000}
_OURS = frozenset(["undoes", "data", "sums", "weights", "not_understood"])
"""Columns whose text is made here, and not typed."""


def check_lengths(values: dict[str, Any]) -> None:
    """Raise CatalogueProblem for a text that is longer than is taken."""
    for name, value in values.items():
        most = LONGEST_OF.get(name, LONGEST)
        if isinstance(value, str) and len(value) > most and name not in _OURS:
            raise CatalogueProblem(f"{name}: {len(value):,} characters; {most:,} at most are taken")


def now() -> str:
    """This moment in UTC, as ISO 8601 text to the second."""
    return datetime.datetime.now(datetime.UTC).replace(microsecond=0).isoformat()
