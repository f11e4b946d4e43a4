"""Text that was pasted where a table is wanted: cells with headings, or one piece a line."""

from __future__ import annotations

import csv

from markrules.reading.reader import Reader
from markrules.tasks.own_columns import field_of, names_of_fields, tells_of_a_piece

NOTE = "note"
"""The heading of notes in a person's own words."""


def table_pasted(reader: Reader, text: str) -> tuple[str, str]:
    """The ending of a table's file, `csv` or `tsv`, and its text, for what was pasted.

    Lines under no heading of ours, the first of which tells of a piece, are notes: a comma parts
    no cells there. So it is below one heading alone.
    """
    lines = [each for each in text.splitlines() if each.strip()]
    first = lines[0] if lines else ""
    if "\t" in first:
        return "tsv", text
    headings = next(csv.reader([first], delimiter=max(",;", key=first.count)), [])
    names = names_of_fields(reader)
    known = any(field_of(each, names) for each in headings)
    if len(headings) > 1 and (known or not tells_of_a_piece(reader, headings)):
        return "csv", text
    notes = lines[1:] if known else lines
    return "tsv", "\n".join([first if known else NOTE, *map(_one_cell, notes)])


def _one_cell(line: str) -> str:
    if len(line) > 1 and line[0] == line[-1] == '"':
        return line
    return '"' + line.replace('"', '""') + '"'
