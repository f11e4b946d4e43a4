"""Pieces as rows for a spreadsheet: CSV (RFC 4180) in which no cell can act as a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

from markrules.inference.reading import Reading
from markrules.sheets.attribution import attribution, date_words
from markrules.sheets.exports.shared import Exported, seen_texts
from markrules.sheets.fingerprint import short
from markrules.telling.words import plain, visible

COLUMNS = (
    "box",
    "number",
    "identifier",
    "title",
    "type",
    "dated",
    "from",
    "to",
    "probability",
    "edtf",
    "attribution",
    "maker probability",
    "marks",
    "measurements",
    "condition",
    "listing title",
    "description",
    "told",
    "evidence",
    "knowledge",
)
_ACTIVE = ("=", "+", "-", "@", "\t", "\r", "\n")
"""A cell that begins so can run as a formula: OWASP, CSV Injection. A quote before it stops it."""


def row(piece: Exported) -> list[str]:
    """The cells of one piece, before they are defused."""
    matter, reading = piece.matter, piece.matter.reading
    found = attribution(matter.base, reading)
    share = f"{found.maker.probability:.3f}" if found.maker is not None else ""
    return [
        matter.box,
        str(matter.number) if matter.number is not None else "",
        matter.uid,
        matter.title,
        plain(reading.piece_type),
        date_words(matter.base, reading),
        *_years(reading),
        piece.edtf,
        found.words,
        share,
        " / ".join(seen_texts(matter, "mark")),
        "; ".join(piece.listing.measurements),
        piece.listing.condition,
        piece.listing.title,
        piece.listing.description,
        matter.told,
        short(piece.digest),
        reading.knowledge_version,
    ]


def _years(reading: Reading) -> tuple[str, str, str]:
    """From, to and probability; empty where nothing seen speaks of a date."""
    span = reading.date.range
    told = (str(span.first), str(span.last), f"{span.mass:.3f}")
    return told if reading.evidence else ("", "", "")


def table(rows: Iterable[list[str]]) -> str:
    """Rows of cells as CSV text with a heading; every cell shows its text and does nothing."""
    written = io.StringIO()
    writer = csv.writer(written, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for cells in rows:
        writer.writerow([defused(cell) for cell in cells])
    return written.getvalue()


def defused(cell: str) -> str:
    """The text of a cell, with a quote before it where a spreadsheet would take it as a formula."""
    text = visible(cell)
    return f"'{text}" if text.startswith(_ACTIVE) or text.lstrip().startswith(_ACTIVE) else text
