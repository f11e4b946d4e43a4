"""Boxes of pieces."""

from __future__ import annotations

from typing import Any

from markrules.catalogue.core import now
from markrules.catalogue.log import Log
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Box
from markrules.catalogue.rows import box_of

LONGEST_NAME = 200
"""Characters of the name of a box or a set."""


class Boxes(Log):
    """What the catalogue knows of boxes."""

    def start_box(self, name: str, note: str = "", who: str = "") -> Box:
        """A new box. Raises CatalogueProblem where the name is empty, too long or taken."""
        name = clean_name(name, "a box")
        with self.change("start box", who) as step:
            if self.row("select 1 from box where name = ?", (name,)):
                raise CatalogueProblem(f'there is a box called "{name}" already')
            row = self._insert("box", {"name": name, "note": note, "added": now()})
            spare_name = f"{name} (taken back, {row})"
            back = {"name": spare_name, "gone": now()}
            left = {"name": name, "gone": ""}
            self._undoes(step, {"table": "box", "id": row, "set": back, "from": left, "made": True})
        return self.box(name)

    def boxes(self) -> tuple[Box, ...]:
        """All boxes, oldest first."""
        found = self.rows("select * from box where gone = '' order by id")
        return tuple(self.each(box_of, found))

    def box(self, name: str) -> Box:
        """The box of that name. Raises CatalogueProblem, with the nearest name, where none is."""
        found = self.row("select * from box where name = ? and gone = ''", (name,))
        if found is not None:
            return box_of(found)
        names = [each.name for each in self.boxes()]
        if not names:
            raise CatalogueProblem(f'there is no box called "{name}"; the catalogue has no box yet')
        from markrules.reading.observing import nearest

        near = nearest(name, names)
        hint = f'; nearest: "{near}"' if near else ""
        raise CatalogueProblem(f'there is no box called "{name}"{hint}')

    def box_by_id(self, box_id: int) -> Box:
        """The box with that row number. Raises CatalogueProblem where there is none."""
        found = self.row("select * from box where id = ?", (box_id,))
        if found is None:
            raise CatalogueProblem(f"there is no box with row number {box_id}")
        return box_of(found)

    def change_box(
        self, box: Box, *, name: str | None = None, note: str | None = None, who: str = ""
    ) -> Box:
        """Rename a box, or set its note. Raises CatalogueProblem where the name is taken."""
        values: dict[str, Any] = {} if note is None else {"note": note}
        if name is not None and name != box.name:
            values["name"] = clean_name(name, "a box")
            if self.row("select 1 from box where name = ?", (values["name"],)):
                raise CatalogueProblem(f'there is a box called "{name}" already')
        self._set_columns("box", box.id, values, "change box", who)
        return self.box_by_id(box.id)

    def box_counts(self) -> dict[int, int]:
        """How many pieces each box holds, by the box's row number."""
        counted = self.rows("select box_id, count(*) from piece where gone = '' group by box_id")
        return {row[0]: row[1] for row in counted}

    def _set_columns(
        self, table: str, row: int, values: dict[str, Any], what: str, who: str
    ) -> None:
        """Set columns as a step of its own; those that hold the value already are left out."""
        with self.change(what, who) as step:
            there = self._columns(table, row, list(values)) if values else {}
            new = {name: value for name, value in values.items() if there[name] != value}
            if not new:
                self._connection.execute("delete from step where id = ?", (step,))
                return
            was = self._update(table, row, new)
            self._undoes(step, {"table": table, "id": row, "set": was, "from": new})


def clean_name(name: str, what: str) -> str:
    """The name without blanks around it; raises CatalogueProblem where it cannot be one."""
    clean = " ".join(name.split())
    if not clean:
        raise CatalogueProblem(f"{what} needs a name")
    if len(clean) > LONGEST_NAME:
        raise CatalogueProblem(f"the name is {len(clean)} characters long; {LONGEST_NAME} at most")
    return clean
