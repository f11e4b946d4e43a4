"""Pieces written out for other programs: CSV for spreadsheets, JSON Lines for the rest.

Both forms hold all that is kept of a piece but its photos and readings, and `box take-in` makes
the same pieces of either again (`markrules.tasks.taking_in`).
"""

from __future__ import annotations

import csv
import dataclasses
import json
import re
from collections.abc import Iterator
from typing import IO, Any

from markrules.catalogue.log import standing
from markrules.catalogue.records import Box, Listed, Seen
from markrules.catalogue.store import Catalogue
from markrules.catalogue.whole import WholePiece, whole_pieces
from markrules.language.escaping import escaped_json
from markrules.reading.reading_data import observation_data

FORM = "markrules-pieces/1"
"""The name and version of the form: it stands in each line of JSON and each record of CSV."""

HEADINGS = (
    "box",
    "number",
    "own_number",
    "title",
    "note",
    "told",
    "set",
    "seen",
    "first_year",
    "last_year",
    "maker",
    "maker_probability",
    "decision",
    "reason",
    "added",
    "gone",
    "gone_why",
    "identifier",
    "record",
)
"""The columns of CSV. `record` holds, as JSON, all that has no column of its own."""

EDITED = ("own_number", "title", "note", "told", "set")
"""The columns that count as they stand in the table when it is taken in again."""

LEFT_OUT = (
    "photos, readings, sold prices that belong to no piece, spare stones, figures, and the steps"
    " that undo takes back"
)
"""What neither form holds; an archive does, so that both faces name it."""

_FORMULA = re.compile(r"'* *[=+\-@\t\r\n＝＋－＠]")
"""What a spreadsheet takes for a formula, with any apostrophes before it (OWASP, CSV Injection)."""


def photos_left_out(catalogue: Catalogue, box: Box | None = None) -> int:
    """How many photos the pieces have that are written out, of one box or of all."""
    found = catalogue.rows(
        "select count(*) from photo join piece on piece.id = photo.piece_id"
        " where photo.gone = '' and (? is null or piece.box_id = ?)",
        (box.id if box is not None else None,) * 2,
    )
    return int(found[0][0])


def defused(value: Any) -> Any:
    """The value, with an apostrophe before a text that a spreadsheet would take for a formula."""
    if isinstance(value, str) and _FORMULA.match(value):
        return "'" + value
    return value


def as_meant(text: str) -> str:
    """The text that `defused` was given."""
    return text[1:] if text.startswith("'") and _FORMULA.match(text) else text


def export_csv(catalogue: Catalogue, out: IO[str], box: Box | None = None) -> int:
    """Write all pieces, or those of a box, as CSV (RFC 4180); how many."""
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADINGS)
    count = 0
    for data in piece_data(catalogue, box):
        seen = "; ".join(
            each["feature"] + "=" + _value(each) for each in data["seen"] if not each.get("heard")
        )
        rest = {key: value for key, value in data.items() if key not in _SHOWN}
        record = escaped_json(json.dumps(rest, ensure_ascii=False, separators=(",", ":")))
        row = {**data, "seen": seen, "record": record}
        writer.writerow([defused(row[heading]) for heading in HEADINGS])
        count += 1
    return count


_SHOWN = frozenset((*HEADINGS, "seen")) - {*EDITED, "added", "gone", "gone_why"}
"""The keys that are not repeated in `record`; texts are, for a spreadsheet may change them."""


def export_lines(catalogue: Catalogue, out: IO[str], box: Box | None = None) -> int:
    """Write all pieces, or those of a box, as JSON Lines; how many."""
    count = 0
    for data in piece_data(catalogue, box):
        out.write(escaped_json(json.dumps(data, ensure_ascii=False, separators=(",", ":"))) + "\n")
        count += 1
    return count


def piece_data(catalogue: Catalogue, box: Box | None = None) -> Iterator[dict[str, Any]]:
    """Each piece as plain data, with all that is kept of it and its latest reading's years."""
    for whole, listed in whole_pieces(catalogue, box):
        yield _data(whole, listed)


def _data(whole: WholePiece, listed: Listed) -> dict[str, Any]:
    piece = whole.piece
    decision = whole.decisions[-1] if whole.decisions and not piece.gone else None
    return {
        "form": FORM,
        "box": whole.box,
        "number": piece.number,
        "own_number": piece.own_number,
        "title": piece.title,
        "note": piece.note,
        "told": piece.told,
        "set": whole.set.name if whole.set else "",
        "set_number": whole.set.id if whole.set else None,
        "set_note": whole.set.note if whole.set else "",
        "seen": [observation_data(each.observation) for each in standing(whole.log)],
        "first_year": listed.first_year,
        "last_year": listed.last_year,
        "maker": listed.maker,
        "maker_probability": round(listed.maker_probability, 6),
        "decision": decision.choice if decision else "",
        "reason": decision.reason if decision else "",
        "added": piece.added,
        "gone": piece.gone,
        "gone_why": piece.gone_why,
        "identifier": piece.uid,
        "not_understood": list(piece.not_understood),
        "log": [_line(each) for each in whole.log],
        "passed_over": list(whole.passed),
        "purchases": [_rest(each) for each in whole.acquisitions],
        "box_note": whole.box_note,
        "box_purchases": [_rest(each) for each in whole.box_acquisitions],
        "sales": [_rest(each) for each in whole.sales],
        "events": [_rest(each) for each in whole.events],
        "decisions": [_rest(each) for each in whole.decisions],
    }


def _line(line: Seen) -> dict[str, Any]:
    """A line of the log; keys that say nothing are left out."""
    data = {"line": line.id, **observation_data(line.observation), "when": line.when}
    if line.observation.weights:
        data["weights"] = [list(each) for each in line.observation.weights]
    if line.who:
        data["who"] = line.who
    if line.corrects is not None:
        data["corrects"] = line.corrects
    if line.withdrawn:
        data["withdrawn"] = True
    return data


def _rest(record: Any) -> dict[str, Any]:
    """A record that hangs on a piece, without the row numbers of what it hangs on."""
    values = dataclasses.asdict(record)
    return {key: value for key, value in values.items() if key not in ("piece", "box")}


def _value(observation: dict[str, Any]) -> str:
    if observation["state"] == "absent":
        return "none"
    doubt = "" if observation["certainty"] == "sure" else f" ({observation['certainty']})"
    not_ = "not " if observation["state"] == "ruled-out" else ""
    later = " (a later part)" if observation["state"] == "replaced" else ""
    return f"{not_}{observation['value']}{later}{doubt}"
