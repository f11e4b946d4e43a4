"""Boxes of pieces."""

from __future__ import annotations

from typing import Any

from markrules.catalogue.core import OpenFile, now
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Box
from markrules.catalogue.rows import box_of

LONGEST_NAME = 200
"""Characters of the name of a box or a set."""


class Boxes:
    """The boxes, tins and trays that pieces lie in."""

    def __init__(self, file: OpenFile) -> None:
        """Over an open file."""
        self._file = file

    def start(self, name: str, note: str = "", who: str = "") -> Box:
        """A new box. Raises CatalogueProblem where the name is empty, too long or taken."""
        name = clean_name(name, "a box")
        with self._file.change("start box", who) as step:
            if self._file.row("select 1 from box where name = ?", (name,)):
                raise CatalogueProblem(f'there is a box called "{name}" already')
            row = self._file.insert("box", {"name": name, "note": note, "added": now()})
            spare_name = f"{name} (taken back, {row})"
            back = {"name": spare_name, "gone": now()}
            left = {"name": name, "gone": ""}
            self._file.keep_undo(
                step, {"table": "box", "id": row, "set": back, "from": left, "made": True}
            )
        return self.named(name)

    def all(self) -> tuple[Box, ...]:
        """All boxes, oldest first."""
        found = self._file.rows("select * from box where gone = '' order by id")
        return tuple(self._file.each(box_of, found))

    def named(self, name: str) -> Box:
        """The box of that name. Raises CatalogueProblem, with the nearest name, where none is."""
        found = self._file.row("select * from box where name = ? and gone = ''", (name,))
        if found is not None:
            return box_of(found)
        names = [each.name for each in self.all()]
        if not names:
            raise CatalogueProblem(f'there is no box called "{name}"; the catalogue has no box yet')
        from markrules.reading.observing import nearest

        near = nearest(name, names)
        hint = f'; nearest: "{near}"' if near else ""
        raise CatalogueProblem(f'there is no box called "{name}"{hint}')

    def by_id(self, box_id: int) -> Box:
        """The box with that row number. Raises CatalogueProblem where there is none."""
        found = self._file.row("select * from box where id = ?", (box_id,))
        if found is None:
            raise CatalogueProblem("there is no such box in this catalogue")
        return box_of(found)

    def change(
        self, box: Box, *, name: str | None = None, note: str | None = None, who: str = ""
    ) -> Box:
        """Rename a box, or set its note. Raises CatalogueProblem where the name is taken."""
        values: dict[str, Any] = {} if note is None else {"note": note}
        if name is not None and name != box.name:
            values["name"] = clean_name(name, "a box")
            if self._file.row("select 1 from box where name = ?", (values["name"],)):
                raise CatalogueProblem(f'there is a box called "{name}" already')
        self._file.set_columns("box", box.id, values, "change box", who)
        return self.by_id(box.id)

    def counts(self) -> dict[int, int]:
        """How many pieces each box holds, by the box's row number."""
        counted = self._file.rows(
            "select box_id, count(*) from piece where gone = '' group by box_id"
        )
        return {row[0]: row[1] for row in counted}


def clean_name(name: str, what: str) -> str:
    """The name without blanks around it; raises CatalogueProblem where it cannot be one."""
    clean = " ".join(name.split())
    if not clean:
        raise CatalogueProblem(f"{what} needs a name")
    if len(clean) > LONGEST_NAME:
        raise CatalogueProblem(f"the name is {len(clean)} characters long; {LONGEST_NAME} at most")
    return clean
