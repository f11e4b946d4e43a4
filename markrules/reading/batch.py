"""Many pieces from a file: lines in, readings as plain data out, in the same order."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from markrules.knowledge.observation import Observation
from markrules.notes.understanding import LONGEST_NOTE
from markrules.reading.file_lines import BatchLine
from markrules.reading.observing import WordProblem, observe
from markrules.reading.reader import Reader, Request
from markrules.reading.reading_data import reading_data


def request_of(reader: Reader, data: dict[str, Any], template: Request) -> Request:
    """The request that a line asks for, with mass, prior and the like from the template.

    Keys used: `note` (text), `observations` (texts: `feature=value`, or plain words), `marks`
    (texts), `piece_type`. Raises WordProblem where a key holds something else, a feature or
    value is not known, or the note is longer than that of one piece may be.
    """
    words = [_text(data, "piece_type"), _text(data, "note")]
    observations: list[Observation] = []
    for text in _texts(data, "observations"):
        feature, equals, _ = text.partition("=")
        if equals and feature.strip() in reader.base.features:
            observations.append(observe(reader.base, text))
        else:
            words.append(text)
    note = ", ".join(word for word in words if word.strip())
    if len(note) > LONGEST_NOTE:
        raise WordProblem(
            f"the note is {len(note):,} characters long; {LONGEST_NOTE:,} at most are read"
        )
    return replace(
        template,
        note=note,
        observations=tuple(observations),
        marks=_texts(data, "marks"),
    )


def read_line(reader: Reader, line: BatchLine, template: Request) -> dict[str, Any]:
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
