"""The user's own figures: fees, hourly worth and the like."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence

from markrules.catalogue.core import OpenFile


class KeptFigures:
    """The user's own figures, by name."""

    def __init__(self, file: OpenFile) -> None:
        """Over an open file."""
        self._file = file

    def all(self) -> dict[str, str]:
        """The user's own figures: name and value as text."""
        found = self._file.rows("select * from figure where instr(name, ':') = 0")
        return self._texts(found)

    def _texts(self, rows: Sequence[sqlite3.Row], prefix: str = "") -> dict[str, str]:
        """Values by their names, without a prefix; what is no text is passed over, and named."""
        kept = {}
        for row in rows:
            if isinstance(row["name"], str) and isinstance(row["value"], str):
                kept[row["name"][len(prefix) :]] = row["value"]
            else:
                self._file.passed_over.setdefault(f"figure {row['name']!r}: it is no text")
        return kept

    def kept_under(self, prefix: str) -> dict[str, str]:
        """Other texts kept by name, such as how columns are taken: those of a `prefix:`."""
        found = self._file.rows(
            "select * from figure where substr(name, 1, ?) = ?", (len(prefix), prefix)
        )
        return self._texts(found, prefix)

    def set(self, name: str, value: str, who: str = "") -> None:
        """Set one of the user's figures; an empty value takes it out."""
        new = value or None
        if figure_of(self._file, name) == new:
            return
        with self._file.change("set figure", who) as step:
            was = figure_of(self._file, name)
            put_figure(self._file, name, new)
            self._file.keep_undo(step, {"figure": name, "set": was, "from": new})


def figure_of(file: OpenFile, name: str) -> str | None:
    """One of the user's figures, or None."""
    found = file.row("select value from figure where name = ?", (name,))
    return None if found is None else str(found[0])


def put_figure(file: OpenFile, name: str, value: str | None) -> None:
    """Set one of the user's figures within the caller's change, or take it out."""
    file.connection.execute("delete from figure where name = ?", (name,))
    if value is not None:
        file.connection.execute("insert into figure (name, value) values (?, ?)", (name, value))
