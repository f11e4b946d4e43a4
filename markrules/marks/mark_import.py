"""Reading a user's own marks from CSV: the good lines are taken, every bad one is told."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator
from itertools import islice
from pathlib import Path
from typing import IO, Any

from markrules.frozen import dataclass
from markrules.marks.letters import folded, visible
from markrules.marks.private_marks import PrivateMark, PrivateMarks
from markrules.marks.reading_syntax import MOST_CELLS
from markrules.marks.spans_written import written_span
from markrules.plain_files import open_plain

COLUMNS = ("text", "maker", "years", "note", "source")
LONGEST_FIELD = 1000
MOST_ROWS = 2_000_000
MOST_PROBLEMS = 10_000
"""Bad lines kept to be shown; the others are only counted."""

_BATCH = 5000


@dataclass(frozen=True, slots=True)
class LineProblem:
    """What is wrong with one line of the file, counted from 1."""

    line: int
    message: str

    def __str__(self) -> str:
        """The problem as one line of text."""
        return f"line {self.line}: {self.message}"


@dataclass(frozen=True, slots=True)
class ImportReport:
    """What an import did, or with `dry_run` would do.

    `read` lines held a mark; `added` of them are new and the others were there before. `problems`
    are the first MOST_PROBLEMS of `bad_lines`, which were left out.
    """

    read: int
    added: int
    bad_lines: int
    problems: tuple[LineProblem, ...]
    dry_run: bool

    @property
    def done(self) -> bool:
        """Whether all marks of the file are now in the list."""
        return not self.bad_lines and not self.dry_run


LONGEST_LINE = 1_000_000
"""Bytes; nothing from a longer line on is read, so that no file without lines takes long."""


class _LineTooLong(Exception):
    """A line has more bytes than are taken."""


class _Undone(Exception):
    """Ends a transaction without keeping it: nothing is to be added."""


def import_csv(
    path: Path,
    store: PrivateMarks,
    *,
    dry_run: bool = False,
    progress: Callable[[int, int], None] | None = None,
) -> ImportReport:
    """Add the marks of a CSV file to the store, but for those in bad lines.

    The first line names the columns: `text`, and any of `maker`, `years`, `note` and `source`,
    in any order. `progress` is called with the bytes read and the bytes in all. The index is
    made when the marks are next searched. Raises OSError for a file that cannot be read, and
    StoreError.
    """
    problems = _Problems()
    read = added = 0
    with open_plain(path) as file:
        lines = _Lines(file, path.stat().st_size, progress)
        try:
            with store.adding() as add:
                marks = _marks(lines, problems)
                while batch := list(islice(marks, _BATCH)):
                    read += len(batch)
                    added += add(batch)
                if dry_run or not read:
                    raise _Undone
        except _Undone:
            pass
    return ImportReport(read, added, problems.number, tuple(problems.kept), dry_run)


class _Problems:
    """The problems met: all counted, the first ones kept."""

    def __init__(self) -> None:
        self.number = 0
        self.kept: list[LineProblem] = []

    def add(self, line: int, message: str) -> None:
        self.number += 1
        if len(self.kept) < MOST_PROBLEMS:
            self.kept.append(LineProblem(line, message))


class _Lines:
    """The lines of a file as text, telling how far it was read."""

    def __init__(
        self, file: IO[bytes], size: int, progress: Callable[[int, int], None] | None
    ) -> None:
        self._file = io.BufferedReader(file) if isinstance(file, io.RawIOBase) else file
        self._size, self._progress = size, progress
        self._done = self._told = 0

    def __iter__(self) -> Iterator[str]:
        encoding = "utf-8-sig"
        for line in iter(lambda: self._file.readline(LONGEST_LINE + 1), b""):
            if len(line) > LONGEST_LINE:
                raise _LineTooLong
            self._done += len(line)
            if self._progress is not None and self._done - self._told >= self._size // 200:
                self._told = self._done
                self._progress(self._done, self._size)
            # A byte that is no UTF-8 becomes a sign that is then told as a problem.
            yield line.decode(encoding, "surrogateescape")
            encoding = "utf-8"


def _marks(lines: _Lines, problems: _Problems) -> Iterator[PrivateMark]:
    reader = csv.reader(lines, strict=True)
    columns: list[str] = []
    while True:
        first = reader.line_num + 1
        try:
            fields = next(reader, None)
        except csv.Error as error:
            problems.add(first, _no_csv(first, reader.line_num, error))
            if not columns:
                return
            continue
        except _LineTooLong:
            problems.add(
                reader.line_num + 1,
                f"longer than {LONGEST_LINE:,} bytes; nothing from here on was read",
            )
            return
        if fields is None:
            if not columns:
                problems.add(1, "the file is empty; its first line names the columns")
            return
        if not columns:
            columns = _columns(fields, problems)
            if not columns:
                return
        elif any(field.strip() for field in fields):
            if reader.line_num > MOST_ROWS:
                problems.add(reader.line_num, f"more than {MOST_ROWS:,} lines")
                return
            mark = _mark(columns, fields, reader.line_num, problems)
            if mark is not None:
                yield mark


def _no_csv(first: int, last: int, error: csv.Error) -> str:
    """What is wrong with lines that are no CSV: a quote that is not closed takes more along."""
    if last > first:
        return f"not CSV from here to line {last}, which was not read: {error}"
    return f"not a line of CSV: {error}"


def _columns(fields: list[str], problems: _Problems) -> list[str]:
    """The names of the columns; empty where they cannot be used."""
    named = [field.strip().lower() for field in fields]
    if "text" not in named:
        named = ["text" if name == "mark" else name for name in named]
    others = [name for name in named if name not in COLUMNS]
    if "text" not in named:
        problems.add(1, f"no column `text`; the columns may be {', '.join(COLUMNS)}")
    elif others:
        problems.add(
            1, f"column {_shown(others[0])} is not known; the columns may be {', '.join(COLUMNS)}"
        )
    elif len(set(named)) < len(named):
        problems.add(1, "a column is named twice")
    else:
        return named
    return []


def _mark(
    columns: list[str], fields: list[str], line: int, problems: _Problems
) -> PrivateMark | None:
    if len(fields) > len(columns):
        problems.add(line, f"{len(fields)} fields, but {len(columns)} columns are named")
        return None
    values = dict(zip(columns, fields, strict=False))
    wrong = _wrong(values)
    if wrong:
        problems.add(line, wrong)
        return None
    return PrivateMark(**{name: visible(value) for name, value in values.items()})


def _wrong(values: dict[str, Any]) -> str:
    """What is wrong with the fields of a line; empty where nothing is."""
    for name, value in values.items():
        if len(value) > LONGEST_FIELD:
            return f"{name} has {len(value):,} characters, and at most {LONGEST_FIELD} are kept"
        if any("\ud800" <= character <= "\udfff" for character in value):
            return f"{name} is not in UTF-8; save the file as UTF-8"
    letters = len(folded(visible(values["text"])))
    if not letters:
        return "text has no letter"
    if letters > MOST_CELLS:
        return f"text has {letters} letters, and at most {MOST_CELLS} can be searched"
    years = values.get("years", "").strip()
    return _wrong_years(years) if years else ""


def _wrong_years(years: str) -> str:
    """What is wrong with years as a list gives them; empty where nothing is."""
    span = written_span(years)
    if span is None:
        return (
            f"years {_shown(years)} is not understood; write 1920, c. 1920, 1920s, 1920-1935, from "
            "1920 or until 1935"
        )
    if span.first is not None and span.last is not None and span.first > span.last:
        return f"years {_shown(years)}: the first comes after the last"
    return ""


def _shown(text: str) -> str:
    short = visible(text)
    return f'"{short[:40]}{"…" if len(short) > 40 else ""}"'
