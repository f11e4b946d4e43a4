"""Whether a catalogue is whole: its file, its log, its pictures, its rows, and its archives."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Sequence
from math import inf
from pathlib import Path
from typing import Any

from markrules.catalogue.archive import WITH_BYTES, BadArchive, archived_tables, check_forms
from markrules.catalogue.problems import CatalogueProblem, why
from markrules.catalogue.restoring import verify
from markrules.catalogue.schema import SCHEMA_VERSION
from markrules.catalogue.sealing import broken_seal
from markrules.catalogue.store import Catalogue
from markrules.catalogue.unexplained import unexplained
from markrules.frozen import dataclass

MOST_TOLD = 5


@dataclass(frozen=True, slots=True)
class Check:
    """What was looked at, how much of it, and what is wrong: nothing where `faults` is empty."""

    what: str
    looked_at: str
    faults: tuple[str, ...] = ()


def check(catalogue: Catalogue, archives: Sequence[Path]) -> list[Check]:
    """Look at everything in the catalogue and at these archives of it; nothing is changed.

    The file by SQLite's own checks, the log by its chain of hashes, each picture and each part
    of an archive by SHA-256, whether an archive's log is the beginning of this one, and whether
    what is otherwise here than in it was changed by a step.
    """
    with catalogue.moment():
        found = [_file(catalogue), _log(catalogue), _pictures(catalogue), _originals(catalogue)]
        found.append(_rows(catalogue))
        found += [_archive(catalogue, each) for each in archives]
    return found


def _file(catalogue: Catalogue) -> Check:
    faults = [str(row[0]) for row in catalogue.rows("pragma integrity_check(20)", seconds=inf)]
    faults = [each for each in faults if each != "ok"]
    for row in catalogue.rows("pragma foreign_key_check", seconds=inf):
        faults.append(f"row {row[1]} of {row[0]} points to a row of {row[2]} that is not there")
    size = catalogue.path.stat().st_size
    return Check("file", f"{size:,} bytes", _few(faults))


def _log(catalogue: Catalogue) -> Check:
    count = catalogue.rows("select count(*) from seen")[0][0]
    sealed = catalogue.rows("select coalesce(max(log_line), 0) from step")[0][0]
    after = catalogue.rows("select count(*) from seen where id > ?", (sealed,))[0][0]
    try:
        fault = broken_seal(catalogue.connection)
    except sqlite3.Error as error:
        fault = why(error)
    rest = f", {after:,} of them written by an older markrules and not sealed" if after else ""
    return Check("log", f"{count:,} lines{rest}", (fault,) if fault else ())


def _pictures(catalogue: Catalogue) -> Check:
    count, wrong = _not_their_digest(catalogue, "picture")
    faults = [f"picture {each} is not what was kept under that name" for each in wrong]
    return Check("pictures", f"{count:,}", _few(faults))


def _originals(catalogue: Catalogue) -> Check:
    count, wrong = _not_their_digest(catalogue, "original")
    return Check(
        "photos as given",
        f"{count:,}",
        _few([f"photo {each} is not as it was given" for each in wrong]),
    )


def _not_their_digest(catalogue: Catalogue, table: str) -> tuple[int, list[str]]:
    """How many rows of bytes a table has, and the names of those whose bytes are not theirs."""
    count, wrong = 0, []
    for row in catalogue.db.query(f"select digest, bytes from {table} order by digest"):
        count += 1
        data = row["bytes"] if isinstance(row["bytes"], bytes) else b""
        if hashlib.sha256(data).hexdigest() != row["digest"]:
            wrong.append(f"{str(row['digest'])[:12]}…")
    return count, wrong


def _rows(catalogue: Catalogue) -> Check:
    faults, count = [], 0
    for table in archived_tables(catalogue):
        if table in WITH_BYTES:
            continue
        columns = catalogue.rows(f"pragma table_info({table})")
        for row in catalogue.db[table].rows:
            count += 1
            faults += _wrong_types(table, row, columns)
            try:
                check_forms(table, row)
            except BadArchive as fault:
                faults.append(str(fault))
    return Check("rows", f"{count:,}", _few(faults))


def _wrong_types(table: str, row: dict[str, Any], columns: Sequence[sqlite3.Row]) -> list[str]:
    """Cells that hold another kind of value than their column is for."""
    faults = []
    for column in columns:
        value, kinds = row[column["name"]], _KINDS.get(str(column["type"]).casefold(), (object,))
        if value is None and not column["notnull"]:
            continue
        if not isinstance(value, kinds):
            name = row.get("id", row.get("name"))
            faults.append(f"{column['name']} of row {name} of {table} holds no {column['type']}")
    return faults


_KINDS: dict[str, tuple[type, ...]] = {
    "text": (str,),
    "integer": (int,),
    "real": (float, int),
    "blob": (bytes,),
}


def _archive(catalogue: Catalogue, path: Path) -> Check:
    what = f"archive {path.name}"
    try:
        found = verify(path)
    except CatalogueProblem as problem:
        return Check(what, str(path), (str(problem),))
    looked = f"made {found.made}, {found.rows.get('piece', 0):,} pieces, {found.parts:,} parts"
    if found.log_hash and not catalogue.row(
        "select 1 from step where log_hash = ?", (found.log_hash,)
    ):
        fault = "its log is not the beginning of this one: it is of another catalogue, or older"
        return Check(what, looked, (fault,))
    if found.schema != SCHEMA_VERSION:
        return Check(what, looked)
    rows = sum(found.rows.values())
    faults = unexplained(catalogue, path, found.step)
    return Check(what, f"{looked}, {rows:,} rows held against those here", _few(faults))


def _few(faults: list[str]) -> tuple[str, ...]:
    more = len(faults) - MOST_TOLD
    return (*faults[:MOST_TOLD], *([f"and {more:,} more"] if more > 0 else []))
