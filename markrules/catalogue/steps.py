"""The steps of a catalogue, and taking them back.

Every change is one transaction and one step. A step keeps what takes it back, as a list of
plain instructions: rows to mark as gone, columns to set back, lines of the log to withdraw.
Taking a step back is itself a step, so nothing is ever erased.
"""

from __future__ import annotations

import json
import sqlite3
from typing import Any

from markrules.catalogue.core import Core, now
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Step

UNDO = "undo"
REDO = "redo"

UNDOABLE = frozenset(
    ["box", "piece", "piece_set", "photo", "pin", "acquisition", "sale", "spare_stone", "decision"]
)
"""The tables whose rows can be marked as gone and set back."""


class Steps(Core):
    """What the catalogue knows of its own changes."""

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
        try:
            what = reversed(json.loads(old["undoes"]))
            back = [self._take_back(each, step, moment) for each in what]
        except (LookupError, TypeError, AttributeError, ValueError):
            raise CatalogueProblem(f"step {old['id']} cannot be taken back") from None
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
