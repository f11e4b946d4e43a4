"""The steps of a catalogue, and taking them back.

Every change is one transaction and one step. A step keeps what takes it back, as a list of
plain instructions, and what it left behind: rows to mark as gone, columns to set back, counts to
add to, lines of the log to withdraw. Taking a step back is itself a step, so nothing is ever
erased; and it takes back its own change only. What a later step touched stays, and is told.
"""

from __future__ import annotations

import json
import sqlite3
from functools import cached_property
from typing import Any

from markrules.catalogue.core import OpenFile, now
from markrules.catalogue.kept_figures import figure_of, put_figure
from markrules.catalogue.log import withdraw_lines
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import LogStep
from markrules.catalogue.rows import step_of

UNDO = "undo"
REDO = "redo"

PARENTS: dict[str, dict[str, str]] = {
    "box": {},
    "piece": {"box_id": "box", "set_id": "piece_set"},
    "piece_set": {},
    "photo": {"piece_id": "piece"},
    "pin": {"photo_id": "photo"},
    "acquisition": {"box_id": "box", "piece_id": "piece"},
    "sale": {"piece_id": "piece"},
    "event": {"piece_id": "piece", "sale_id": "sale"},
    "spare_stone": {"from_piece_id": "piece"},
    "decision": {"piece_id": "piece"},
    "passed": {"piece_id": "piece"},
}
"""The tables whose rows can be marked as gone and set back, and what their rows hang on."""

_NAMES = {
    "box": "box",
    "piece_set": "set",
    "spare_stone": "the stones under",
    "acquisition": "purchase",
    "sale": "sold price",
    "event": "entry",
    "passed": "question passed over",
}
_COLUMNS = {
    "set_id": "set",
    "gone_why": "why it left",
    "gone": "whether it is there",
    "not_understood": "what no rule knows",
    "cost_minor": "cost",
    "returned": "whether it came back",
}

UNREADABLE = (LookupError, TypeError, AttributeError, ValueError, RecursionError)
"""What comes of following a step that was made by none of ours."""

Row = tuple[str, int]


class Steps:
    """The steps of a catalogue: what was done, taken back, done again."""

    def __init__(self, file: OpenFile) -> None:
        """Over an open file."""
        self._file = file

    def last(self, limit: int = 20) -> tuple[LogStep, ...]:
        """The last steps, newest first."""
        found = self._file.rows(
            "select id, moment, who, what, undone, browser from step order by id desc limit ?",
            (limit,),
        )
        return tuple(self._file.each(step_of, found))

    def undo(self, who: str = "", *, only_own: bool = False, number: int | None = None) -> LogStep:
        """Take back the last step that was not taken back yet, or step `number`; returns it.

        With `only_own`, one of this browser (`browser`), or from the terminal one of `who`.
        What later steps touched stays as they left it: `kept` of the step tells. Raises
        CatalogueProblem where there is no such step, or nothing of it can be taken back.
        """
        own, values = self._own(who, only_own)
        chosen = "" if number is None else "and id = :number"
        with self._file.change(UNDO, who) as step:
            found = self._file.row(
                f"select * from step where undone = '' and id < :step {own} {chosen}"
                " and what not in ('undo', 'redo') and undoes <> '[]' order by id desc limit 1",
                {**values, "step": step, "number": number},
            )
            if found is None:
                raise CatalogueProblem(
                    "there is no step left to take back"
                    if number is None
                    else f"there is no step {number} that you can take back"
                )
            kept = self._reverse(found, step)
        return LogStep(found["id"], found["moment"], found["who"], found["what"], now(), kept)

    def redo(self, who: str = "", *, only_own: bool = False) -> LogStep:
        """Do again what was last taken back, while nothing else was done since.

        With `only_own`, what this browser took back, while it did nothing else since. Raises
        CatalogueProblem where there is no such step.
        """
        own, values = self._own(who, only_own)
        with self._file.change(REDO, who) as step:
            undo = self._file.row(
                f"select * from step where what = 'undo' and undone = '' {own} and id > (select"
                f" coalesce(max(id), 0) from step where what not in ('undo', 'redo') {own})"
                " order by id desc limit 1",
                values,
            )
            if undo is None:
                raise CatalogueProblem("nothing was taken back since the last change")
            kept = self._reverse(undo, step)
            again = self._file.row(
                "select * from step where undone like ?", (f"% by step {int(undo['id'])}",)
            )
            if again is None:
                raise CatalogueProblem("what was taken back is not there any more")
            self._file.connection.execute(
                "update step set undone = '' where id = ?", (again["id"],)
            )
        return LogStep(again["id"], again["moment"], again["who"], again["what"], "", kept)

    def _own(self, who: str, only_own: bool) -> tuple[str, dict[str, Any]]:
        if not only_own:
            return "", {}
        if self._file.browser:
            return "and browser = :browser", {"browser": self._file.browser}
        return "and browser = '' and who = :who", {"who": who}

    def _reverse(self, old: sqlite3.Row, step: int) -> tuple[str, ...]:
        """Take back what can be taken back of a step; what stays, in words."""
        reversal = _Reversal(self._file, old["id"], step)
        try:
            for each in reversed(json.loads(old["undoes"])):
                reversal.take_back(each)
        except UNREADABLE:
            raise CatalogueProblem(f"step {old['id']} cannot be taken back") from None
        if not reversal.back:
            reasons = "; ".join(reversal.stays[:5]) or "nothing of it is left"
            raise CatalogueProblem(f"step {old['id']} ({old['what']}) stands: {reasons}")
        self._file.keep_undo(step, *reversal.back)
        self._file.connection.execute(
            "update step set undone = ? where id = ?", (f"{now()} by step {step}", old["id"])
        )
        return tuple(reversal.stays)


class _Reversal:
    """One step being taken back: what takes that back in turn, and what stays and why.

    The instructions: `{"seen": [lines]}` withdraws lines of the log. `{"table", "id", "set",
    "from"}` sets columns back, each where it still holds what the step left (`from`); with
    `"made"`, all of them or none, and only where nothing hangs on the row since. `{"table",
    "id", "add"}` adds to counts. `{"table", "first", "last"}` marks rows as gone that nothing
    was done to since; with `"gone"`, the rows that went at that step come back. `{"figure",
    "set", "from"}` sets one of the user's figures back.
    """

    def __init__(self, file: OpenFile, old: int, step: int) -> None:
        self.file, self.old, self.step = file, old, step
        self.moment = now()
        self.back: list[dict[str, Any]] = []
        self.stays: list[str] = []

    def take_back(self, what: dict[str, Any]) -> None:
        """Follow one instruction as far as nothing later stands in the way."""
        if "seen" in what:
            self._withdraw([int(each) for each in what["seen"]])
        elif "figure" in what:
            self._set_figure(what)
        else:
            if what["table"] not in PARENTS:
                raise CatalogueProblem(f'the step cannot be taken back: it names "{what["table"]}"')
            if "set" in what:
                self._set_columns(what)
            elif "add" in what:
                self._add(what)
            else:
                self._mark(what)

    def _withdraw(self, lines: list[int]) -> None:
        free = [line for line in lines if ("seen", line) not in self.later]
        self.stays += [
            f"line {line} of the log was corrected since{self._by(('seen', line))}"
            for line in lines
            if line not in free
        ]
        if free:
            done = withdraw_lines(self.file, free, self.step, self.moment)
            self.back.append({"seen": done})

    def _set_columns(self, what: dict[str, Any]) -> None:
        table, row, wanted = what["table"], int(what["id"]), dict(what["set"])
        there = self.file.columns(table, row, list(wanted))
        left = what.get("from")
        if left is not None:
            touched = [
                name
                for name in wanted
                if there[name] != left[name] or (f"{table}.{name}", row) in self.later
            ]
        else:  # kept by an older markrules, which did not say what the step left
            touched = list(wanted) if (table, row) in self.later else []
        by = self._by((table, row))
        if what.get("made") and (touched or (table, row) in self.later):
            self.stays.append(f"{self._named(table, row)} was used since{by}")
            return
        self.stays += [
            f"{_COLUMNS.get(name, name)} of {self._named(table, row)} was changed since{by}"
            for name in touched
        ]
        free = {name: value for name, value in wanted.items() if name not in touched}
        if not free:
            return
        try:
            was = self.file.update(table, row, free)
        except sqlite3.IntegrityError:
            self.stays.append(f"another took the name of {self._named(table, row)} meanwhile")
            return
        self.back.append({"table": table, "id": row, "set": was, "from": free})

    def _add(self, what: dict[str, Any]) -> None:
        table, row = what["table"], int(what["id"])
        there = self.file.columns(table, row, list(what["add"]))
        new = {name: there[name] + int(value) for name, value in what["add"].items()}
        if any(value < 0 for value in new.values()):
            self.stays.append(
                f"of {self._named(table, row)} too few are left{self._by((table, row))}"
            )
            return
        self.file.update(table, row, new)
        less = {name: -int(value) for name, value in what["add"].items()}
        self.back.append({"table": table, "id": row, "add": less})

    def _set_figure(self, what: dict[str, Any]) -> None:
        name, there = str(what["figure"]), figure_of(self.file, str(what["figure"]))
        key = (f"figure.{name}", 0)
        if there != what["from"] or key in self.later:
            self.stays.append(f"figure {name} was set again since{self._by(key)}")
            return
        put_figure(self.file, name, what["set"])
        self.back.append({"figure": name, "set": there, "from": what["set"]})

    def _mark(self, what: dict[str, Any]) -> None:
        table, first, last = what["table"], int(what["first"]), int(what["last"])
        execute = self.file.connection.execute
        if "gone" in what:
            execute(
                f"update {table} set gone = '' where gone = ? and id between ? and ?",
                (what["gone"], first, last),
            )
            self.back.append({"table": table, "first": first, "last": last})
            return
        held = sorted(row for name, row in self.later if name == table and first <= row <= last)
        self.stays += [
            f"{self._named(table, row)} was used since{self._by((table, row))}" for row in held
        ]
        marked = f"{self.moment} undone in step {self.step}"
        done = 0
        for start, end in _between(first, last, held):
            done += execute(
                f"update {table} set gone = ? where gone = '' and id between ? and ?",
                (marked, start, end),
            ).rowcount
        if done or not held:
            self.back.append({"table": table, "first": first, "last": last, "gone": marked})

    # --- What later steps touched -----------------------------------------------------------

    @cached_property
    def later(self) -> dict[Row, str]:
        """The rows that standing later steps touched, or hung something on: by whom, and when."""
        found: dict[Row, str] = {}
        for row in self.file.rows(
            "select moment, who, undoes from step where id > ? and id <> ? and undone = ''"
            " and what not in ('undo', 'redo') order by id",
            (self.old, self.step),
        ):
            by = f", by {row['who']}" if row["who"] else ""
            try:
                touched = [
                    each for what in json.loads(row["undoes"]) for each in self._touched(what)
                ]
            except UNREADABLE:
                continue  # a broken step touches nothing
            found.update(dict.fromkeys(touched, f"{by} ({row['moment'][:16].replace('T', ' ')})"))
        return found

    def _touched(self, what: dict[str, Any]) -> list[Row]:
        if "figure" in what:
            return [(f"figure.{what['figure']}", 0)]
        if "seen" in what:
            lines = [int(each) for each in what["seen"]]
            return [each for line in lines for each in self._touched_by_line(line)]
        table = what["table"]
        if table not in PARENTS:
            return []
        first, last = (
            (int(what["id"]),) * 2 if "id" in what else (int(what["first"]), int(what["last"]))
        )
        touched = [(table, first)] if "id" in what else []
        if not what.get("made"):
            touched += [(f"{table}.{name}", first) for name in what.get("set", ())]
        for column, parent in PARENTS[table].items():
            sql = f"select distinct {column} from {table} where id between ? and ? and gone = ''"
            for row in self.file.rows(sql, (first, last)):
                if row[0] is not None:
                    touched.append((parent, int(row[0])))
        return touched

    def _touched_by_line(self, line: int) -> list[Row]:
        row = self.file.row("select piece_id, corrects from seen where id = ?", (line,))
        if row is None:
            return []
        corrected = [] if row["corrects"] is None else [("seen", int(row["corrects"]))]
        return [("piece", int(row["piece_id"])), *corrected]

    def _by(self, row: Row) -> str:
        return self.later.get(row, "")

    def _named(self, table: str, row: int) -> str:
        """A row as a person knows it."""
        if table in ("box", "piece_set"):
            found = self.file.row(f"select name from {table} where id = ?", (row,))
            return f'{_NAMES[table]} "{found["name"] if found else row}"'
        if table == "piece":
            found = self.file.row(
                "select box.name, piece.number from piece join box on box.id = piece.box_id"
                " where piece.id = ?",
                (row,),
            )
            return f'piece {found[1]} of "{found[0]}"' if found else f"piece {row}"
        return f"{_NAMES.get(table, table)} {row}"


def _between(first: int, last: int, held: list[int]) -> list[tuple[int, int]]:
    """The stretches from first to last without the rows held."""
    starts = [first, *(row + 1 for row in held)]
    ends = [*(row - 1 for row in held), last]
    return [(start, end) for start, end in zip(starts, ends, strict=True) if start <= end]
