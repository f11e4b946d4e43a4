"""Rows of a person's own table that are no piece or several: sums, counts, lists in a cell."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from markrules.catalogue.brought_tables import TableRow
from markrules.reading.reader import Reader
from markrules.tasks.headings import headings_that

COUNTED = headings_that("counted")
"""Headings of columns that count the pieces of a row."""
IDENTIFIERS = headings_that("identifiers")
"""Headings of columns that number a piece or point elsewhere: their cells describe nothing."""
_CODE = re.compile(r"[A-Za-z]{0,5}[\s\-_/.]{0,2}\d+[A-Za-z]?")
_SUM = re.compile(
    r"(?:grand |sub ?-?|running )?totals?|sum|subtotal|total (?:cost|paid|value|items|pieces)"
    r"|balance|gesamt|summe|insgesamt|totale|totaal|somme|suma|gesamtsumme",
    re.IGNORECASE,
)
_COUNT_ALONE = re.compile(
    r"\d+ (?:items?|pieces?|rows?|lots?|things|pcs|stück|articles|objets|pezzi|stuks)",
    re.IGNORECASE,
)
_NUMBER = re.compile(r"[\W\d_]*(?:[A-Z]{3})?[\W\d_]*")
_SEVERAL = re.compile(r"[;\n+&]|\band\b")
LONGEST_SPLIT = 2_000
"""Characters of a note that is looked at for several pieces; a longer one is a description."""


def is_code(text: str) -> bool:
    """Whether a cell is a number of somebody's own, such as `B12` or `AB-103`, and no words."""
    return _CODE.fullmatch(text.strip()) is not None


def is_sum(row: TableRow) -> bool:
    """Whether a row adds up others: one cell says so, and the others are amounts or counts."""
    cells = [text.strip(" :.") for text in row.cells.values() if text.strip()]
    words = [text for text in cells if not _NUMBER.fullmatch(text)]
    told = [text for text in words if _SUM.fullmatch(text) or _COUNT_ALONE.fullmatch(text)]
    return bool(words) and len(told) == len(words)


def several_told(
    reader: Reader, rows: Iterable[tuple[TableRow, str]], left: Sequence[str]
) -> Iterator[tuple[int, str]]:
    """For each row that tells of more pieces than one: its line, and what is said of it. The rows
    come with their notes; `left` are the headings that were not taken.
    """
    counts = [heading for heading in left if heading.casefold().strip(" .:") in COUNTED]
    for row, note in rows:
        many = next((n for h in counts if (n := _whole(row.cells.get(h, ""))) > 1), 0)
        kinds = _kinds(reader, note)
        if len(kinds) > 1:
            told = ", ".join(kinds)
            yield row.line, f"tells of several ({told}); it becomes one piece: give each a line"
        elif many:
            yield row.line, f"counts {many}; it becomes one piece: give each that is apart a line"


def _whole(text: str) -> int:
    digits = text.strip().removesuffix("x").strip()
    return int(digits) if digits.isdecimal() and len(digits) < 6 else 0


def _kinds(reader: Reader, note: str) -> list[str]:
    """The kinds of piece that the parts of a note name, where each part begins with a new one."""
    parts = [part for part in _SEVERAL.split(note[:LONGEST_SPLIT]) if part.strip()]
    if len(parts) < 2 or len(note) > LONGEST_SPLIT:
        return []
    named = [reader.understand(part.strip(" ,.")).piece_type for part in parts]
    return list(dict.fromkeys(filter(None, named))) if all(named) else []
