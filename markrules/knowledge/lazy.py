"""Entries that are made when they are first asked for."""

from __future__ import annotations

import json
from collections.abc import Callable, ItemsView, Iterable, Iterator, Mapping, ValuesView
from threading import RLock
from typing import Any, TypeVar

from markrules.language.collector import paused

_Entry = TypeVar("_Entry")

# What reading a damaged or foreign cache can raise: it is then read from the rules instead.
DAMAGE = (ValueError, TypeError, KeyError, IndexError, AttributeError, RecursionError)


def packed(names: Iterable[str], rows: Iterable[bytes]) -> bytes:
    """Rows of JSON one after the other, behind a line that tells names and lengths."""
    kept = list(rows)
    head = [[name, len(row)] for name, row in zip(names, kept, strict=True)]
    return b"\n".join((json.dumps(head, ensure_ascii=False).encode(), *kept))


class LazyEntries(Mapping[str, _Entry]):
    """Entries by name, kept as JSON until wanted.

    `text` is what `packed` made of rows; `make` turns a row into an entry and may use the row
    up. Where either fails, `rescue` gives the entries instead.
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
        self._rows: dict[str, bytes] | None = None  # those not yet made, once read
        self._names: tuple[str, ...] = ()
        self._made: dict[str, _Entry] = {}
        self._lock = RLock()

    def __getitem__(self, name: str) -> _Entry:
        """The entry of that name; raises KeyError where there is none."""
        made = self._made.get(name)
        if made is not None:
            return made
        with self._lock:
            rows = self._read()
            if name not in self._made:
                self._made_from(name, rows.pop(name))
            return self._made[name]

    def _read(self) -> dict[str, bytes]:
        if self._rows is None:
            try:
                head, _, body = self._text.partition(b"\n")
                rows, start = {}, 0
                for name, length in json.loads(head):
                    rows[str(name)] = body[start : start + length]
                    start += length + 1
                self._rows = rows
                self._names = tuple(rows)
            except DAMAGE:
                self._rescued()
        assert self._rows is not None
        return self._rows

    def _made_from(self, name: str, row: bytes) -> None:
        try:
            self._made[name] = self._make(json.loads(row))
        except DAMAGE:
            self._rescued()

    def _rescued(self) -> None:
        self._made = dict(self._rescue())
        self._names = tuple(self._made)
        self._rows = {}

    def _make_all(self) -> None:
        with self._lock:
            rows = self._read()
            if not rows:
                return
            with paused():
                for name in self._names:
                    if name in rows:
                        self._made_from(name, rows.pop(name))
                        rows = self._rows or {}
                self._made = {name: self._made[name] for name in self._names}

    def values(self) -> ValuesView[_Entry]:
        """The entries, in order."""
        self._make_all()
        return self._made.values()

    def items(self) -> ItemsView[str, _Entry]:
        """Names and entries, in order."""
        self._make_all()
        return self._made.items()

    def __iter__(self) -> Iterator[str]:
        """The names, in order: of entries that could be made."""
        self._make_all()
        return iter(self._names)

    def __len__(self) -> int:
        """How many entries there are."""
        self._make_all()
        return len(self._names)

    def __contains__(self, name: object) -> bool:
        """True if there is an entry of that name."""
        with self._lock:
            return name in self._made or name in self._read()

    def __repr__(self) -> str:
        """As a plain dictionary shows itself."""
        return repr(dict(self))
