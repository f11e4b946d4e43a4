"""What differs between a catalogue and an archive of it, and no step since has done.

The log and the photos bear their own hashes; titles, prices, decisions and all else do not, and
SQLite does not notice one changed letter. An archive does: every row of it was hashed on its day,
rows are never erased, and every change since is a step that tells what it touched.
"""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from pathlib import Path
from typing import Any

from markrules.catalogue.archive import PICTURE_TABLE
from markrules.catalogue.restoring import archived_rows
from markrules.catalogue.steps import UNREADABLE
from markrules.catalogue.store import Catalogue

Key = tuple[str, Any]

_ALWAYS = {"step": {"undone"}}
"""Columns that later steps change in rows that they do not name."""


def unexplained(catalogue: Catalogue, archive: Path, step: int) -> list[str]:
    """What of the archive's rows is otherwise here, though no step after number `step` did it.

    Raises CatalogueProblem where the archive cannot be read.
    """
    touched = _touched_after(catalogue, step)
    faults = []
    for table, row in archived_rows(archive):
        name = "id" if "id" in row else "name" if "name" in row else "digest"
        key = row[name]
        here = catalogue.row(f"select * from {table} where {name} = ?", (key,))
        free = touched[table, key] | _ALWAYS.get(table, set())
        if here is None:
            if "*" not in free:
                faults.append(f"row {str(key)[:12]} of {table} is in the archive, and not here")
            continue
        faults += [
            f"{column} of row {str(key)[:12]} of {table} is not what the archive holds, and no step"
            " since has changed it"
            for column, value in row.items()
            if column not in free and _differs(table, column, value, here[column])
        ]
    return faults


def _differs(table: str, column: str, archived: Any, here: Any) -> bool:
    if (table, column) == ("photo", "original") and archived is None:
        return False  # an archive that is to be shared leaves the photos as given out
    if (table, column) == (PICTURE_TABLE, "thumbnail"):
        here = hashlib.sha256(here if isinstance(here, bytes) else b"").hexdigest()
    return bool(archived != here)


def _touched_after(catalogue: Catalogue, step: int) -> defaultdict[Key, set[str]]:
    """The columns that steps after one have set, by table and row; `*` is the whole row."""
    touched: defaultdict[Key, set[str]] = defaultdict(set)
    for found in catalogue.rows("select undoes from step where id > ?", (step,)):
        try:
            instructions = json.loads(found["undoes"])
            for each in instructions:
                _note(touched, each)
        except UNREADABLE:
            continue  # a step that cannot be read explains nothing
    return touched


def _note(touched: defaultdict[Key, set[str]], what: dict[str, Any]) -> None:
    if "figure" in what:
        touched["figure", what["figure"]].add("*")
        touched["figure", what["figure"]].add("value")
    elif "set" in what or "add" in what:
        touched[what["table"], int(what["id"])].update(what.get("set", what.get("add", ())))
    elif "first" in what:
        for row in range(int(what["first"]), int(what["last"]) + 1):
            touched[what["table"], row].add("gone")
