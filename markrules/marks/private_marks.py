"""A user's own marks: a register or a private list, kept in SQLite beside its index.

One table, `mark` (id, text, maker, years, note, source), made to be read in any SQLite browser.
The index files stand in a folder beside the database, each for SHARD rows. They hold nothing
that the database does not, are written whole or not at all, and are made again where one is
missing, damaged or of another database; so a crash at any moment costs no more than their
building.
"""

from __future__ import annotations

import sqlite3
import uuid
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from threading import local

from markrules.frozen import dataclass
from markrules.marks.entries import apart
from markrules.marks.index_file import FileIndex, IndexDamagedError, write_index
from markrules.marks.letters import folded
from markrules.marks.vocabulary import MarkWords

SHARD = 131_072
"""Rows in one index file: sets of so many marks still fit a processor's cache."""

_VERSION = 1
_SCHEMA = """
CREATE TABLE mark (
    id INTEGER PRIMARY KEY,
    text TEXT NOT NULL,
    maker TEXT NOT NULL,
    years TEXT NOT NULL,
    note TEXT NOT NULL,
    source TEXT NOT NULL,
    UNIQUE (text, maker, years, source)
);
CREATE TABLE about (key TEXT PRIMARY KEY, value TEXT NOT NULL);
"""


class StoreError(OSError):
    """The database cannot be used: not a list of marks, of another version, locked or full."""


@dataclass(frozen=True, slots=True)
class PrivateMark:
    """One mark of a user's own: its letters as struck, and what is known of it, as written."""

    text: str
    maker: str = ""
    years: str = ""
    note: str = ""
    source: str = ""


class PrivateMarks:
    """The database of a user's own marks, and the index over it."""

    def __init__(self, path: Path) -> None:
        """Name the database; it is made when marks are first added."""
        self.path = path
        self.folder = path.with_name(f"{path.name}-index")
        self._kept = local()

    def exists(self) -> bool:
        """Whether any marks were ever added."""
        return self.path.is_file() and self.path.stat().st_size > 0

    def count(self) -> int:
        """How many marks there are. Raises StoreError."""
        if not self.exists():
            return 0
        with self._reading() as database:
            (number,) = database.execute("SELECT count(*) FROM mark").fetchone()
        return int(number)

    @contextmanager
    def adding(self) -> Iterator[Callable[[Iterable[PrivateMark]], int]]:
        """A function that adds marks and tells how many were new.

        All that is added inside the `with` is kept together when it ends, or not at all when
        it ends with an exception. Raises StoreError.
        """
        self.path.parent.mkdir(parents=True, exist_ok=True)
        try:
            with self._opened() as database:
                database.execute("BEGIN IMMEDIATE")
                try:
                    _prepare(database)
                    yield lambda marks: _add(database, marks)
                except BaseException:
                    database.rollback()
                    raise
                database.commit()
        finally:
            if not self.exists():  # SQLite makes an empty file before anything is in it
                self.path.unlink(missing_ok=True)

    def rows(self, numbers: Iterable[int]) -> dict[int, PrivateMark]:
        """The marks with these row numbers. Raises StoreError."""
        wanted = list(numbers)
        found: dict[int, PrivateMark] = {}
        if not wanted:
            return found
        with self._kept_open() as database:
            for start in range(0, len(wanted), 500):
                part = wanted[start : start + 500]
                places = ",".join("?" * len(part))
                sql = (
                    f"SELECT id, text, maker, years, note, source FROM mark WHERE id IN ({places})"
                )
                for row, *fields in database.execute(sql, part):
                    found[row] = PrivateMark(*fields)
        return found

    def open_indexes(
        self, words: MarkWords, progress: Callable[[int, int], None] | None = None
    ) -> tuple[FileIndex, ...]:
        """The indexes over all marks, made where they are missing.

        `words` tells which words are not a maker's letters; an index made with other words is
        still used. `progress` is called with the rows done and the rows in all. Raises
        StoreError.
        """
        if not self.exists():
            return ()
        with self._reading() as database:
            (name,) = database.execute("SELECT value FROM about WHERE key = 'name'").fetchone()
            (last,) = database.execute("SELECT coalesce(max(id), 0) FROM mark").fetchone()
            return tuple(
                self._open_or_build(
                    database,
                    words,
                    {"name": name, "first": first, "last": min(last, first + SHARD - 1)},
                )
                for first in self._firsts(last, progress)
            )

    def _firsts(self, last: int, progress: Callable[[int, int], None] | None) -> Iterator[int]:
        for first in range(1, last + 1, SHARD):
            yield first
            if progress is not None:
                progress(min(last, first + SHARD - 1), last)

    def _open_or_build(
        self, database: sqlite3.Connection, words: MarkWords, kept: dict[str, int | str]
    ) -> FileIndex:
        path = self.folder / f"{kept['first']:09d}.idx"
        try:
            index = FileIndex(path)
            if index.kept == kept:
                return index
            index.close()
        except (FileNotFoundError, IndexDamagedError):
            pass
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            for left_over in self.folder.glob(f"{path.name}.*.part"):
                left_over.unlink(missing_ok=True)
            write_index(path, _folded_rows(database, words, kept), kept)
            return FileIndex(path)
        except OSError as error:
            raise StoreError(f"{path}: the index cannot be written: {error.strerror}") from error

    @contextmanager
    def _reading(self) -> Iterator[sqlite3.Connection]:
        with self._opened() as database:
            (version,) = database.execute("PRAGMA user_version").fetchone()
            if version != _VERSION:
                raise StoreError(f"{self.path}: {_other_version(version)}")
            yield database

    @contextmanager
    def _kept_open(self) -> Iterator[sqlite3.Connection]:
        """A connection for reading that its thread keeps, since opening one takes longer than most
        questions. Opened anew where another file has taken the place of the one it was opened on.
        """
        try:
            there = self.path.stat()
            file = there.st_dev, there.st_ino
            if getattr(self._kept, "file", None) != file:
                self.close()
                with self._reading():
                    pass  # a list of marks, of this version
                self._kept.database = sqlite3.connect(self.path, timeout=10, isolation_level=None)
                self._kept.file = file
            yield self._kept.database
        except sqlite3.Error as error:
            self.close()
            raise StoreError(f"{self.path}: {error}") from error
        except OSError as error:
            self.close()
            raise StoreError(f"{self.path}: {error.strerror or error}") from error

    def close(self) -> None:
        """Let go of the connection that this thread keeps."""
        database = self._kept.__dict__.pop("database", None)
        self._kept.__dict__.pop("file", None)
        if database is not None:
            database.close()

    @contextmanager
    def _opened(self) -> Iterator[sqlite3.Connection]:
        """A connection of its own for each use; errors of SQLite become StoreError."""
        try:
            with closing(sqlite3.connect(self.path, timeout=10, isolation_level=None)) as database:
                yield database
        except sqlite3.Error as error:
            raise StoreError(f"{self.path}: {error}") from error


def _other_version(version: int) -> str:
    if version == 0:
        return "this is not a list of marks"
    return f"made by another version of markrules (its format is {version}, this one's {_VERSION})"


def _prepare(database: sqlite3.Connection) -> None:
    """Make the tables in an empty database; raises StoreError for one that is not ours."""
    (version,) = database.execute("PRAGMA user_version").fetchone()
    if version == _VERSION:
        return
    (tables,) = database.execute("SELECT count(*) FROM sqlite_master").fetchone()
    if version or tables:
        raise StoreError(_other_version(version))
    for statement in filter(str.strip, _SCHEMA.split(";")):
        database.execute(statement)
    database.execute("INSERT INTO about VALUES ('name', ?)", (uuid.uuid4().hex,))
    database.execute(f"PRAGMA user_version = {_VERSION}")


def _add(database: sqlite3.Connection, marks: Iterable[PrivateMark]) -> int:
    before = database.total_changes
    database.executemany(
        "INSERT OR IGNORE INTO mark (text, maker, years, note, source) VALUES (?, ?, ?, ?, ?)",
        ((each.text, each.maker, each.years, each.note, each.source) for each in marks),
    )
    return database.total_changes - before


def _folded_rows(
    database: sqlite3.Connection, words: MarkWords, kept: dict[str, int | str]
) -> Iterator[tuple[int, str, str]]:
    """Row number, the maker's own letters and all letters, for the rows of one index."""
    first = int(kept["first"])
    found = database.execute(
        "SELECT id, text FROM mark WHERE id BETWEEN ? AND ?", (first, int(kept["last"]))
    )
    for row, text in found:
        own, whole, *_ = apart(text, words)
        if whole := whole or folded(text):
            yield row - first, own or whole, whole
