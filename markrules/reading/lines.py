"""Lines of a JSON Lines or CSV file, one by one, bad ones with their error."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from markrules.frozen import dataclass

LONGEST_LINE = 1_000_000
"""Characters; a longer line of a batch is refused, so that no file can fill the memory."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a batch: its number, and its data or what is wrong with it."""

    number: int
    data: dict[str, Any] | None
    error: str = ""


def lines_of(path: Path) -> Iterator[Line]:
    """The lines of a JSON Lines or CSV file, one by one; bad ones carry their error.

    A file is read as CSV when its name ends in `.csv`, as JSON Lines otherwise. Raises
    OSError when it cannot be opened.
    """
    with path.open(encoding="utf-8-sig", errors="replace", newline="") as handle:
        yield from (csv_lines(handle) if path.suffix.casefold() == ".csv" else json_lines(handle))


def json_lines(handle: Iterable[str]) -> Iterator[Line]:
    """The lines of JSON Lines, empty ones left out, bad ones with their error."""
    for number, text in enumerate(handle, 1):
        if not text.strip():
            continue
        if len(text) > LONGEST_LINE:
            yield Line(number, None, f"longer than {LONGEST_LINE} characters")
            continue
        try:
            data = json.loads(text)
        except (ValueError, RecursionError) as error:
            yield Line(number, None, f"not JSON: {error}")
            continue
        if isinstance(data, dict):
            yield Line(number, data)
        else:
            yield Line(number, None, "not a JSON object with id and note")


def csv_lines(handle: Iterable[str]) -> Iterator[Line]:
    """The rows of CSV by their heading, bad ones with their error."""
    reader = csv.DictReader(handle)
    if reader.fieldnames is None or "note" not in reader.fieldnames:
        yield Line(1, None, "the first line names no column `note`")
        return
    while True:
        try:
            row = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            yield Line(reader.line_num, None, f"not CSV: {error}")
            continue
        yield Line(reader.line_num, {key: value for key, value in row.items() if key})
