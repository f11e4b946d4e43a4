"""The open file, its transactions, and its steps, which can be taken back.

Every change is one transaction and one step. A step keeps what takes it back, as a list of
plain instructions: rows to mark as gone, columns to set back, lines of the log to withdraw.
Taking a step back is itself a step, so nothing is ever erased.
"""

from __future__ import annotations

import datetime
import json
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self

from markrules.catalogue.file import connect
from markrules.catalogue.problems import CatalogueProblem, FileTrouble, why
from markrules.catalogue.records import Step

if TYPE_CHECKING:
    from sqlite_utils import Database

UNDO = "undo"
REDO = "redo"
NOT_TEXT = "a text holds bytes that are no letters (it is not UTF-8)"


class Core:
    """An open catalogue file. Use it as a context manager, or call `close`."""

    def __init__(self, path: Path, *, create: bool = True) -> None:
        """Open the file, making it where there is none and `create` is set.

        Raises FileTrouble where it cannot be used.
        """
        self.path = path
        self._connection = connect(path, create=create)

    @property
    def db(self) -> Database:
        """The same connection as sqlite-utils sees it, for introspection and plain tables."""
        from sqlite_utils import Database

        return Database(self._connection)

    def close(self) -> None:
        """Close the file."""
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
            self._connection.execute("commit")
        except (sqlite3.Error, OSError) as error:
            self._roll_back()
            raise FileTrouble(f"{self.path}: {why(error)}; nothing was changed") from None
        except UnicodeEncodeError:
            self._roll_back()
            raise CatalogueProblem(f"{NOT_TEXT}; nothing was changed") from None
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

    def put_row(self, table: str, values: dict[str, Any]) -> None:
        """Write a whole row as it is, within a change, for a restore; names must be checked.

        Raises sqlite3.IntegrityError where the table does not take it.
        """
        self._insert(table, values)

    def _start_step(self, what: str, who: str) -> int:
        return self._insert("step", {"moment": now(), "who": who, "what": what})

    def _roll_back(self) -> None:
        if self._connection.in_transaction:
            self._connection.execute("rollback")

    def rows(self, sql: str, values: Sequence[Any] | dict[str, Any] = ()) -> list[sqlite3.Row]:
        """The rows of a query; values are bound, never written into the text."""
        try:
            return self._connection.execute(sql, values).fetchall()
        except sqlite3.DatabaseError as error:
            raise FileTrouble(f"{self.path}: {why(error)}") from None
        except UnicodeEncodeError:
            raise CatalogueProblem(NOT_TEXT) from None

    def row(self, sql: str, values: Sequence[Any] | dict[str, Any] = ()) -> sqlite3.Row | None:
        """The first row of a query, or None."""
        found = self.rows(sql, values)
        return found[0] if found else None

    def _insert(self, table: str, values: dict[str, Any]) -> int:
        """A new row; table and column names are this package's own, values are bound."""
        names = ", ".join(values)
        marks = ", ".join(f":{name}" for name in values)
        cursor = self._connection.execute(f"insert into {table} ({names}) values ({marks})", values)
        return int(cursor.lastrowid or 0)

    def _update(self, table: str, row: int, values: dict[str, Any]) -> dict[str, Any]:
        """Set columns of one row; returns what they held before."""
        names = list(values)
        if not all(name.isidentifier() for name in names):
            raise CatalogueProblem(f"{table} has no such column")
        old = self._connection.execute(
            f"select {', '.join(names)} from {table} where id = ?", (row,)
        ).fetchone()
        if old is None:
            raise CatalogueProblem(f"{table} has no row {row}")
        sets = ", ".join(f"{name} = :{name}" for name in names)
        self._connection.execute(
            f"update {table} set {sets} where id = :row_number", {**values, "row_number": row}
        )
        return dict(zip(names, old, strict=True))

    # --- Steps ------------------------------------------------------------------------------

    def _undoes(self, step: int, *what: dict[str, Any]) -> None:
        """Keep with a step what takes it back: the forms are read by `_take_back`."""
        if step:
            self._connection.execute(
                "update step set undoes = ? where id = ?", (json.dumps(what), step)
            )

    def steps(self, limit: int = 20) -> tuple[Step, ...]:
        """The last steps, newest first."""
        found = self.rows(
            "select id, moment, who, what, undone from step order by id desc limit ?", (limit,)
        )
        return tuple(Step(*row) for row in found)

    def undo(self, who: str = "", *, only_own: bool = False) -> Step:
        """Take back the last step that was not taken back yet; returns that step.

        With `only_own`, the last one of `who`. Raises CatalogueProblem where there is none.
        """
        own = "and who = :who" if only_own else ""
        with self.change(UNDO, who) as step:
            found = self.row(
                f"select * from step where undone = '' and id < :step {own}"
                " and what not in ('undo', 'redo') and undoes <> '[]' order by id desc limit 1",
                {"who": who, "step": step},
            )
            if found is None:
                raise CatalogueProblem("there is no step left to take back")
            self._reverse(found, step)
        return Step(found["id"], found["moment"], found["who"], found["what"], now())

    def redo(self, who: str = "") -> Step:
        """Do again what was last taken back, while nothing else was done since.

        Raises CatalogueProblem where there is no such step.
        """
        with self.change(REDO, who) as step:
            undo = self.row(
                "select * from step where what = 'undo' and undone = '' and id > (select"
                " coalesce(max(id), 0) from step where what not in ('undo', 'redo'))"
                " order by id desc limit 1"
            )
            if undo is None:
                raise CatalogueProblem("nothing was taken back since the last change")
            self._reverse(undo, step)
            ending = (f"% by step {undo['id']}",)
            again = self.rows("select * from step where undone like ?", ending)[0]
            self._connection.execute("update step set undone = '' where id = ?", (again["id"],))
        return Step(again["id"], again["moment"], again["who"], again["what"], "")

    def _reverse(self, old: sqlite3.Row, step: int) -> None:
        moment = now()
        back = [self._take_back(each, step, moment) for each in reversed(json.loads(old["undoes"]))]
        self._undoes(step, *back)
        self._connection.execute(
            "update step set undone = ? where id = ?", (f"{moment} by step {step}", old["id"])
        )

    def _take_back(self, what: dict[str, Any], step: int, moment: str) -> dict[str, Any]:
        """Follow one instruction; returns the one that takes this back in turn.

        `{"seen": [lines]}` withdraws lines of the log. `{"table", "id", "set"}` sets columns.
        `{"table", "first", "last"}` marks rows as gone, all that are not; with `"gone"`, the
        rows that went at that step come back.
        """
        if "seen" in what:
            return {"seen": self._withdraw_lines(what["seen"], step, moment)}
        table = what["table"]
        if table not in UNDOABLE:
            raise CatalogueProblem(f'the step cannot be taken back: it names "{table}"')
        if "set" in what:
            return {**what, "set": self._update(table, what["id"], what["set"])}
        marked = f"{moment} undone in step {step}"
        new, old = ("", what["gone"]) if "gone" in what else (marked, "")
        self._connection.execute(
            f"update {table} set gone = ? where gone = ? and id between ? and ?",
            (new, old, what["first"], what["last"]),
        )
        if "gone" in what:
            return {key: value for key, value in what.items() if key != "gone"}
        return {**what, "gone": marked}

    def _withdraw_lines(self, lines: list[int], step: int, moment: str) -> list[int]:
        raise NotImplementedError


UNDOABLE = frozenset(
    ["box", "piece", "piece_set", "photo", "pin", "acquisition", "sale", "spare_stone", "decision"]
)
"""The tables whose rows can be marked as gone and set back."""


def now() -> str:
    """This moment in UTC, as ISO 8601 text to the second."""
    return datetime.datetime.now(datetime.UTC).replace(microsecond=0).isoformat()
