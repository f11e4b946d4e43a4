"""The whole catalogue as one portable file: a zip of JSON Lines, pictures and a manifest.

    manifest.json            form, schema, when it was made, and for each part rows and SHA-256
    tables/NAME.jsonl        one line a row, columns by name
    pictures/DIGEST.jpg      each picture under the SHA-256 of its bytes
    thumbnails/DIGEST.jpg    and its thumbnail
    originals/DIGEST.jpg     each photo as it was given, under the SHA-256 of its bytes

It needs no program of ours to be read, and `restore` makes the same catalogue of it again.
"""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
import zipfile
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

from markrules.catalogue.core import now
from markrules.catalogue.file import beside_of, open_private, put_in_place, remove, sweep
from markrules.catalogue.pictures import ENDINGS
from markrules.catalogue.problems import CatalogueProblem, FileTrouble, why
from markrules.catalogue.rows import is_reading
from markrules.catalogue.schema import SCHEMA_VERSION
from markrules.catalogue.store import Catalogue


class BadArchive(Exception):
    """What is wrong with an archive."""


def is_plain(value: object) -> bool:
    """Whether SQLite can keep the value: a text, a number of 64 bits, or nothing."""
    if isinstance(value, int):
        return abs(value) < 2**63
    return value is None or isinstance(value, (str, float))


def check_forms(table: str, row: dict[str, Any]) -> None:
    """Columns that hold JSON must hold what they are later read as; raises BadArchive."""
    for (named, column), is_good in _JSON_COLUMNS.items():
        if named != table or column not in row:
            continue
        try:
            good = is_good(json.loads(row[column]))
        except (ValueError, TypeError, RecursionError):
            good = False
        if not good:
            raise BadArchive(
                f"tables/{table}.jsonl: {column} of row {row.get('id')} cannot be read"
            )


def _are_texts(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(each, str) for each in value)


def _are_weights(value: Any) -> bool:
    return isinstance(value, list) and all(
        isinstance(each, list) and len(each) == 2 and all(isinstance(x, (int, float)) for x in each)
        for each in value
    )


_JSON_COLUMNS: dict[tuple[str, str], Callable[[Any], bool]] = {
    ("piece", "not_understood"): _are_texts,
    ("seen", "weights"): _are_weights,
    ("reading", "data"): is_reading,
    ("decision", "sums"): lambda value: isinstance(value, dict),
    ("step", "undoes"): lambda value: isinstance(value, list),
}

FORM = "markrules-archive/1"
PICTURE_TABLE, ORIGINAL_TABLE = "picture", "original"
WITH_BYTES = (PICTURE_TABLE, ORIGINAL_TABLE)
"""Tables whose bytes lie beside them as files."""
_INDEX = "piece_text"


def archive(catalogue: Catalogue, path: Path, *, originals: bool = True) -> dict[str, int]:
    """Write the archive, all of it or none; the rows of each table.

    Without `originals`, photos as they were given, which tell where and when they were taken, are
    left out of it.

    Others may go on writing meanwhile: what is archived is one moment. Raises FileTrouble
    where the file cannot be written and CatalogueProblem where it is there already.
    """
    if path.exists():
        raise CatalogueProblem(f"{path}: there is a file of that name already")
    beside = beside_of(path, "archiving")
    try:
        sweep(path, "archiving")
        open_private(beside)
        with catalogue.moment():
            counts = _write(catalogue, beside, originals)
        with beside.open("rb") as handle:
            os.fsync(handle.fileno())
        put_in_place(beside, path)
    except FileExistsError:
        raise CatalogueProblem(f"{path}: there is a file of that name already") from None
    except (OSError, sqlite3.Error) as error:
        raise FileTrouble(f"{path}: {why(error)}; no archive was made") from None
    finally:
        remove(beside)
    return counts


def archived_tables(catalogue: Catalogue) -> list[str]:
    """The tables that an archive holds, pictures apart: all but the text index, which follows."""
    names = catalogue.db.table_names()
    return [each for each in names if not each.startswith((_INDEX, "sqlite_"))]


def _write(catalogue: Catalogue, path: Path, originals: bool) -> dict[str, int]:
    parts: dict[str, dict[str, Any]] = {}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as package:
        for table in archived_tables(catalogue):
            if table in WITH_BYTES:
                continue
            rows: Iterable[dict[str, Any]] = catalogue.db[table].rows
            if table == "photo" and not originals:
                rows = ({**row, "original": None} for row in rows)
            parts[f"tables/{table}.jsonl"] = _write_rows(package, f"tables/{table}.jsonl", rows)
        for table, named in ((PICTURE_TABLE, _picture_names), (ORIGINAL_TABLE, _original_names)):
            kept = originals or table != ORIGINAL_TABLE
            described = _write_bytes(catalogue, package, parts, table, named) if kept else iter(())
            name = f"tables/{table}.jsonl"
            parts[name] = _write_rows(package, name, described)
        manifest = {"form": FORM, "schema": SCHEMA_VERSION, "made": now(), "parts": parts}
        package.writestr("manifest.json", json.dumps(manifest, indent=1))
    return {
        name.removeprefix("tables/").removesuffix(".jsonl"): part["rows"]
        for name, part in parts.items()
        if "rows" in part
    }


def _write_rows(
    package: zipfile.ZipFile, name: str, rows: Iterable[dict[str, Any]]
) -> dict[str, Any]:
    digest, count = hashlib.sha256(), 0
    with package.open(name, "w", force_zip64=True) as out:
        for row in rows:
            _check_plain(name, row)
            line = json.dumps(row, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"
            digest.update(line)
            out.write(line)
            count += 1
    return {"rows": count, "sha256": digest.hexdigest()}


def _check_plain(name: str, row: dict[str, Any]) -> None:
    """Raise FileTrouble, with its place, for a row that no archive can hold."""
    for column, value in row.items():
        if not is_plain(value):
            raise FileTrouble(_broken(Path(name).stem, row, column, "text and no number"))


def _broken(table: str, row: dict[str, Any], column: str, what: str) -> str:
    number = row.get("id", row.get("digest"))
    return (
        f"{table}: {column} of row {number} holds no {what}; no archive was made. `markrules box"
        " check` tells more, and `markrules box copy` copies the file as it stands"
    )


def _write_bytes(
    catalogue: Catalogue,
    package: zipfile.ZipFile,
    parts: dict[str, dict[str, Any]],
    table: str,
    named: Callable[[dict[str, Any]], dict[str, str]],
) -> Iterator[dict[str, Any]]:
    """Write the bytes of a table as they lie; returns its rows without them.

    `named` gives for a row what each column with bytes is called in the archive.
    """
    described = []
    for row in catalogue.db.query(f"select * from {table} order by digest"):
        for column, name in named(row).items():
            data = row.pop(column)
            if not isinstance(data, bytes):
                raise FileTrouble(_broken(table, row, column, "picture"))
            package.writestr(zipfile.ZipInfo(name), data, zipfile.ZIP_STORED)
            parts[name] = {"sha256": hashlib.sha256(data).hexdigest()}
        described.append(row)
    return iter(described)


def _picture_names(row: dict[str, Any]) -> dict[str, str]:
    digest = row["digest"]
    return {"bytes": f"pictures/{digest}.jpg", "thumbnail": f"thumbnails/{digest}.jpg"}


def _original_names(row: dict[str, Any]) -> dict[str, str]:
    try:
        return {"bytes": original_name(row)}
    except BadArchive:
        raise FileTrouble(_broken(ORIGINAL_TABLE, row, "media_type", "type of a photo")) from None


def original_name(row: dict[str, Any]) -> str:
    """Where an archive holds a photo as it was given; raises BadArchive for a type none has."""
    ending = ENDINGS.get(str(row.get("media_type")))
    if ending is None:
        raise BadArchive(f"original {str(row.get('digest'))[:12]}: no type that a photo has")
    return f"originals/{row.get('digest')}.{ending}"
