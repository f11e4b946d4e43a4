"""Entries that are made when they are first asked for."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from typing import Any, TypeVar

_Entry = TypeVar("_Entry")

# What reading a damaged or foreign cache can raise: it is then read from the rules instead.
DAMAGE = (ValueError, TypeError, KeyError, IndexError, AttributeError, RecursionError)


class LazyEntries(Mapping[str, _Entry]):
    """Entries by name, kept as JSON until wanted.

    `text` is a JSON array of rows; `make` turns a row into an entry, whose name is the
    second item of the row. Where either fails, `rescue` gives the entries instead.
    """

    def __init__(
        self,
        text: bytes,
        make: Callable[[list[Any]], _Entry],
        rescue: Callable[[], Mapping[str, _Entry]],
    ) -> None:
        """Nothing is read yet."""
        self._text = text
        self._make = make
        self._rescue = rescue
        self._rows: dict[str, list[Any]] | None = None
        self._made: dict[str, _Entry] = {}

    def _all_rows(self) -> dict[str, list[Any]]:
        rows = self._rows
        if rows is None:
            try:
                rows = {row[1]: row for row in json.loads(self._text)}
            except DAMAGE:
                self._made = dict(self._rescue())
                rows = {name: [] for name in self._made}
            self._rows = rows
        return rows

    def __getitem__(self, name: str) -> _Entry:
        """The entry of that name; raises KeyError where there is none."""
        made = self._made.get(name)
        if made is None:
            row = self._all_rows()[name]
            if name in self._made:
                return self._made[name]
            try:
                made = self._make(row)
            except DAMAGE:
                self._made = dict(self._rescue())
                return self._made[name]
            self._made[name] = made
        return made

    def __iter__(self) -> Iterator[str]:
        """The names, in order."""
        return iter(self._all_rows())

    def __len__(self) -> int:
        """How many entries there are."""
        return len(self._all_rows())

    def __contains__(self, name: object) -> bool:
        """True if there is an entry of that name."""
        return name in self._all_rows()

    def __repr__(self) -> str:
        """As a plain dictionary shows itself."""
        return repr(dict(self))
