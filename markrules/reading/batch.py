"""Many pieces from a file: lines in, readings as plain data out, in the same order."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from markrules.inference.observation import Observation
from markrules.reading.as_json import reading_data
from markrules.reading.observing import WordProblem, observe
from markrules.reading.reader import Reader, Request

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


def request_of(reader: Reader, data: dict[str, Any], template: Request) -> Request:
    """The request that a line asks for, with mass, prior and the like from the template.

    Keys used: `note` (text), `observations` (texts: `feature=value`, or plain words), `marks`
    (texts), `piece_type`. Raises WordProblem where a key holds something else or a feature
    or value is not known.
    """
    words = [_text(data, "piece_type"), _text(data, "note")]
    observations: list[Observation] = []
    for text in _texts(data, "observations"):
        feature, equals, _ = text.partition("=")
        if equals and feature.strip() in reader.base.features:
            observations.append(observe(reader.base, text))
        else:
            words.append(text)
    return replace(
        template,
        note=", ".join(word for word in words if word.strip()),
        observations=tuple(observations),
        marks=_texts(data, "marks"),
    )


def read_line(reader: Reader, line: Line, template: Request) -> dict[str, Any]:
    """The reading of one line as data with its `id`, or its `line` and `error`."""
    if line.data is None:
        return {"line": line.number, "error": line.error}
    identity = {"id": line.data["id"]} if "id" in line.data else {"line": line.number}
    try:
        request = request_of(reader, line.data, template)
    except WordProblem as problem:
        return {**identity, "line": line.number, "error": str(problem)}
    reading = reader.read(request)
    return {**identity, **reading_data(reading, reader.metals(reading.observations))}


def _text(data: dict[str, Any], key: str) -> str:
    value = data.get(key)
    if value is None:
        return ""
    if not isinstance(value, str):
        raise WordProblem(f"`{key}` is not a text")
    return value


def _texts(data: dict[str, Any], key: str) -> tuple[str, ...]:
    value = data.get(key)
    if value is None or value == "":
        return ()
    if isinstance(value, str):
        return (value,)
    if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
        raise WordProblem(f"`{key}` is not a list of texts")
    return tuple(value)
