"""Lines of a JSON Lines or CSV file, one by one, bad ones with their error."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator
from itertools import chain
from pathlib import Path
from typing import Any

from markrules.frozen import dataclass
from markrules.plain_files import open_or_pipe

LONGEST_LINE = 1_000_000
"""Characters; a longer line of a batch is refused, so that no file can fill the memory."""
DELIMITERS = ",;\t|"
"""Signs that may part the cells of a row."""
_TOO_LONG = f"longer than {LONGEST_LINE:,} characters; nothing from here on was read"


@dataclass(frozen=True, slots=True)
class BatchLine:
    """One line of a batch: its number, and its data or what is wrong with it."""

    number: int
    data: dict[str, Any] | None
    error: str = ""


def lines_of(path: Path) -> Iterator[BatchLine]:
    """The lines of a JSON Lines or CSV file, one by one; bad ones carry their error.

    A file is read as CSV when its name ends in `.csv`, as JSON Lines otherwise; it may be a pipe.
    Raises OSError when it cannot be opened, or nobody writes into the pipe.
    """
    with io.TextIOWrapper(
        open_or_pipe(path), encoding="utf-8-sig", errors="replace", newline=""
    ) as handle:
        yield from (csv_lines(handle) if path.suffix.casefold() == ".csv" else json_lines(handle))


def json_lines(handle: Iterable[str]) -> Iterator[BatchLine]:
    """The lines of JSON Lines, empty ones left out, bad ones with their error."""
    for number, text in enumerate(bounded(handle), 1):
        if not text.strip():
            continue
        if len(text) > LONGEST_LINE:
            yield BatchLine(number, None, _TOO_LONG)
            return
        try:
            data = json.loads(text)
        except (ValueError, RecursionError) as error:
            yield BatchLine(number, None, f"not JSON: {error}")
            continue
        if isinstance(data, dict):
            yield BatchLine(number, data)
        else:
            yield BatchLine(number, None, "not a JSON object with id and note")


def csv_lines(handle: Iterable[str]) -> Iterator[BatchLine]:
    """The rows of CSV by their heading, bad ones with their error.

    Cells may be parted as spreadsheets do where a comma stands in numbers, by `;` or a tab.
    """
    lines = map(_short_enough, bounded(handle))
    try:
        first = next(lines, "")
        parted_by = max(DELIMITERS, key=first.count)
        reader = csv.DictReader(chain((first,), lines), delimiter=parted_by)
        reader.fieldnames = [each.strip().lower() for each in reader.fieldnames or ()]
        headed = "note" in reader.fieldnames
    except (_TooLong, csv.Error):
        headed = False
    if not headed:
        yield BatchLine(1, None, "the first line names no column `note`")
        return
    while True:
        try:
            row = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            yield BatchLine(reader.line_num, None, f"not CSV: {error}")
            continue
        except _TooLong:
            yield BatchLine(reader.line_num + 1, None, _TOO_LONG)
            return
        yield BatchLine(reader.line_num, {key: value for key, value in row.items() if key})


def bounded(handle: Iterable[str]) -> Iterator[str]:
    """The lines of a file; of one that is longer than LONGEST_LINE only the beginning, and no more.

    So neither a file of one endless line nor a device can fill the memory or take for ever.
    """
    readline = getattr(handle, "readline", None)
    if readline is None:
        yield from handle
        return
    while text := readline(LONGEST_LINE + 1):
        yield text
        if len(text) > LONGEST_LINE:
            return


class _TooLong(Exception):
    """A line of CSV is longer than is taken."""


def _short_enough(text: str) -> str:
    if len(text) > LONGEST_LINE:
        raise _TooLong
    return text
