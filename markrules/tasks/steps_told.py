"""What a step did, in words, so that an undo says what it takes back."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.rows import observation_of
from markrules.catalogue.steps import UNREADABLE
from markrules.catalogue.store import Catalogue
from markrules.telling.words import count_of, listed, plain, shortened

MOST_NAMED = 4
LONGEST = 60


def step_words(catalogue: Catalogue, number: int) -> str:
    """What step `number` did and to which pieces: `see catch: rollover, on piece 3`.

    A step that cannot be read any more has its kind alone.
    """
    row = catalogue.row("select what, undoes from step where id = ?", (number,))
    if row is None:
        return ""
    try:
        about = list(dict.fromkeys(_about(catalogue, json.loads(row["undoes"]))))
    except (*UNREADABLE, CatalogueProblem):
        about = []
    what = str(row["what"])
    if not about:
        return what
    named = about[:MOST_NAMED]
    if len(about) > MOST_NAMED:
        named.append(f"{len(about) - MOST_NAMED} more")
    return f"{what}: {listed(named)}"


def _about(catalogue: Catalogue, instructions: list[dict[str, Any]]) -> Iterator[str]:
    for each in instructions:
        if "seen" in each:
            for line in each["seen"]:
                yield _line_words(catalogue, int(line))
        elif "figure" in each:
            yield plain(str(each["figure"]))
        elif each["table"] == "piece" and "id" in each:
            if "not_understood" not in each.get("set", {}):
                yield _piece_words(catalogue, int(each["id"]))
        elif each["table"] == "box" and "id" in each:
            yield _box_words(catalogue, int(each["id"]))
        elif each["table"] == "piece":
            yield count_of(int(each["last"]) - int(each["first"]) + 1, "piece")
        elif each["table"] in ("decision", "photo", "sale", "acquisition", "event"):
            first = int(each["first" if "first" in each else "id"])
            for row in range(first, int(each.get("last", first)) + 1):
                yield _hung_words(catalogue, each["table"], row)


def _line_words(catalogue: Catalogue, line: int) -> str:
    row = catalogue.row("select * from seen where id = ?", (line,))
    if row is None:
        return f"line {line}"
    seen = observation_of(row)
    value = "none" if seen.state == "absent" else plain(seen.value)
    said = shortened(f"{plain(seen.feature)}: {value}", LONGEST)
    return f"{said}, on {_piece_words(catalogue, row['piece_id'])}"


def _hung_words(catalogue: Catalogue, table: str, number: int) -> str:
    row = catalogue.row(f"select * from {table} where id = ?", (number,))
    piece = row["piece_id"] if row is not None else None
    of = f" of {_piece_words(catalogue, piece)}" if piece is not None else ""
    if table == "decision" and row is not None:
        return f"{plain(shortened(row['choice'], LONGEST))}{of}"
    if table == "event" and row is not None and piece is not None:
        at = f", {shortened(row['place'], LONGEST)}" if row["place"] else ""
        return f"{_piece_words(catalogue, piece)}{at}"
    if table == "acquisition" and row is not None and row["box_id"] is not None:
        return f"the box {_box_words(catalogue, row['box_id'])}"
    return f"{table}{of}"


def _piece_words(catalogue: Catalogue, piece: int) -> str:
    """Its number, and where there are several boxes in which: numbers begin anew in each."""
    found = catalogue.pieces.by_id(piece)
    several = len(catalogue.boxes.all()) > 1
    return f"piece {found.number}{_in_box(catalogue, found.box) if several else ''}"


def _in_box(catalogue: Catalogue, box: int) -> str:
    return f" in {_box_words(catalogue, box)}"


def _box_words(catalogue: Catalogue, box: int) -> str:
    """The name of a box; one that was taken back has its number behind it."""
    return shortened(catalogue.boxes.by_id(box).name, LONGEST)
