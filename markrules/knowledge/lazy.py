"""Entries that are made when they are first asked for."""

from __future__ import annotations

from collections.abc import Callable, ItemsView, Iterator, Mapping, ValuesView
from threading import RLock
from typing import Any, TypeVar

from markrules.knowledge.kept_parts import Places, from_json, opened
from markrules.knowledge.own_files import of_part
from markrules.language.collector import paused

_Entry = TypeVar("_Entry")

# What reading a damaged or foreign cache can raise: it is then read from the rules instead.
DAMAGE = (ValueError, TypeError, KeyError, IndexError, AttributeError, RecursionError)


class LazyEntries(Mapping[str, _Entry]):
    """Entries by name, kept as JSON until wanted.

    `read` gives what lies between two places of a file, and `start` is where the rows of the
    entries are kept there, as parts; `make` turns a row into an entry and may use the row up.
    Where a row or its place is not as it was written, `rescue` gives the entries instead.
    """

    def __init__(
        self,
        read: Callable[[int, int], bytes],
        start: int,
        make: Callable[[list[Any]], _Entry],
        rescue: Callable[[], Mapping[str, _Entry]],
    ) -> None:
        """Nothing is read yet."""
        self._read, self._start = read, start
        self._make = make
        self._rescue = rescue
        self._rows: Places | None = None  # where those lie, once known; None again when rescued
        self._names: tuple[str, ...] = ()
        self._whole = False  # whether nothing is left to be read
        self._made: dict[str, _Entry] = {}
        self._lock = RLock()

    def __getitem__(self, name: str) -> _Entry:
        """The entry of that name; raises KeyError where there is none."""
        made = self._made.get(name)
        if made is not None:
            return made
        with self._lock:
            rows = self._placed()
            if name not in self._made and rows is not None:
                self._made_from(name, rows)
            return self._made[name]

    def _placed(self) -> Places | None:
        """Where the rows lie; None where all entries are made."""
        if self._rows is None and not self._whole:
            try:
                _, self._rows = opened(self._read, self._start)
                self._names = tuple(self._rows)
            except (OSError, *DAMAGE):
                self._rescued()
        return self._rows

    def _made_from(self, name: str, rows: Places) -> None:
        """Make an entry; raises KeyError where there is none of that name."""
        start, end, told = rows[name]
        try:
            row = self._read(start, end)
            if of_part(row) != told:
                raise ValueError("damaged")
            self._made[name] = self._make(from_json(row))
        except (OSError, *DAMAGE):
            self._rescued()

    def _rescued(self) -> None:
        self._made = dict(self._rescue())
        self._names = tuple(self._made)
        self._rows, self._whole = None, True

    def _make_all(self) -> None:
        with self._lock:
            rows = self._placed()
            if rows is None:
                return
            with paused():  # no circles are made here, and thousands of lasting objects are
                for name in self._names:
                    if name not in self._made and not self._whole:
                        self._made_from(name, rows)
                self._made = {name: self._made[name] for name in self._names}
            self._rows, self._whole = None, True

    def values(self) -> ValuesView[_Entry]:
        """The entries, in order."""
        self._make_all()
        return self._made.values()

    def items(self) -> ItemsView[str, _Entry]:
        """Names and entries, in order."""
        self._make_all()
        return self._made.items()

    def __iter__(self) -> Iterator[str]:
        """The names, in order; no entry is made for it."""
        with self._lock:
            self._placed()
            return iter(self._names)

    def __len__(self) -> int:
        """How many entries there are; none is made for it."""
        with self._lock:
            self._placed()
            return len(self._names)

    def __contains__(self, name: object) -> bool:
        """True if there is an entry of that name."""
        with self._lock:
            rows = self._placed()
            return name in self._made or (rows is not None and name in rows)

    def __repr__(self) -> str:
        """As a plain dictionary shows itself."""
        return repr(dict(self))
