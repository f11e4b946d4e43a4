"""Pieces written out for other programs: CSV for spreadsheets, JSON Lines for the rest."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from typing import Any, TextIO

from markrules.catalogue.records import Box, Listed
from markrules.catalogue.store import Catalogue
from markrules.knowledge.observation import Observation
from markrules.language.escaping import escaped_json
from markrules.reading.as_json import observation_data

PAGE = 500

HEADINGS = (
    "box",
    "number",
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
)

_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def defused(value: Any) -> Any:
    """The value, with an apostrophe before a text that a spreadsheet would take for a formula."""
    if isinstance(value, str) and value.lstrip(" ").startswith(_STARTS_A_FORMULA):
        return "'" + value
    return value


def export_csv(catalogue: Catalogue, out: TextIO, box: Box | None = None) -> int:
    """Write all pieces, or those of a box, as CSV (RFC 4180); how many."""
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADINGS)
    count = 0
    for data in piece_data(catalogue, box):
        seen = "; ".join(
            each["feature"] + "=" + _value(each) for each in data["seen"] if not each.get("heard")
        )
        row = {**data, "seen": seen}
        writer.writerow([defused(row[heading]) for heading in HEADINGS])
        count += 1
    return count


def export_lines(catalogue: Catalogue, out: TextIO, box: Box | None = None) -> int:
    """Write all pieces, or those of a box, as JSON Lines; how many."""
    count = 0
    for data in piece_data(catalogue, box):
        out.write(escaped_json(json.dumps(data, ensure_ascii=False, separators=(",", ":"))) + "\n")
        count += 1
    return count


def piece_data(catalogue: Catalogue, box: Box | None = None) -> Iterator[dict[str, Any]]:
    """Each piece as plain data, with what stands in its log and its latest reading's years."""
    sets = {each.id: each.name for each in catalogue.sets()}
    for each_box in (box,) if box is not None else catalogue.boxes():
        decisions = catalogue.decisions(each_box)
        after = 0
        while page := catalogue.listed(each_box, gone=True, after=after, limit=PAGE):
            after = page[-1].piece.number
            evidence = catalogue.evidence_for([each.piece.id for each in page])
            for listed, seen in zip(page, evidence, strict=True):
                decision = decisions.get(listed.piece.id)
                yield {
                    **_data(each_box, listed, sets, seen.observations),
                    "decision": decision.choice if decision else "",
                    "reason": decision.reason if decision else "",
                }


def _data(
    box: Box, listed: Listed, sets: dict[int, str], seen: tuple[Observation, ...]
) -> dict[str, Any]:
    piece = listed.piece
    return {
        "box": box.name,
        "number": piece.number,
        "title": piece.title,
        "note": piece.note,
        "told": piece.told,
        "set": sets.get(piece.set or 0, ""),
        "seen": [observation_data(each) for each in seen],
        "first_year": listed.first_year,
        "last_year": listed.last_year,
        "maker": listed.maker,
        "maker_probability": round(listed.maker_probability, 6),
        "added": piece.added,
        "gone": piece.gone,
        "gone_why": piece.gone_why,
        "identifier": piece.uid,
    }


def _value(observation: dict[str, Any]) -> str:
    if observation["state"] == "absent":
        return "none"
    doubt = "" if observation["certainty"] == "sure" else f" ({observation['certainty']})"
    not_ = "not " if observation["state"] == "ruled-out" else ""
    later = " (a later part)" if observation["state"] == "replaced" else ""
    return f"{not_}{observation['value']}{later}{doubt}"
