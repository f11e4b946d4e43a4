"""An archive made a catalogue again: checked part by part, built beside, then put in place."""

from __future__ import annotations

import hashlib
import json
import re
import sqlite3
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from math import inf
from pathlib import Path
from typing import Any

from markrules.catalogue.archive import (
    FORM,
    ORIGINAL_TABLE,
    PICTURE_TABLE,
    BadArchive,
    archived_tables,
    check_forms,
    is_plain,
    original_name,
)
from markrules.catalogue.file import beside_of, companions, names_of, put_in_place, remove, sweep
from markrules.catalogue.problems import CatalogueProblem, FileTrouble, why
from markrules.catalogue.schema import SCHEMA_VERSION
from markrules.catalogue.store import Catalogue
from markrules.frozen import dataclass
from markrules.photo_limits import LARGEST_BYTES
from markrules.plain_files import open_plain

MOST_PARTS = 500_000
LARGEST_UNPACKED = 50_000_000_000
GREATEST_RATIO = 400
"""Unpacked bytes for each packed one of a table; readings, the densest, stay below 60."""
LONGEST_LINE = 8_000_000
"""Bytes of one row."""
LARGEST_MANIFEST = 200_000_000

_NAME = re.compile(
    r"manifest\.json|tables/[a-z_]{1,40}\.jsonl|(?:pictures|thumbnails)/[0-9a-f]{64}\.jpg"
    r"|originals/[0-9a-f]{64}\.(?:jpg|png|webp)"
)


def restore(archive: Path, path: Path) -> dict[str, int]:
    """Make a new catalogue at `path` of an archive; the rows of each table.

    It appears whole or not at all. Raises CatalogueProblem where a catalogue is there already,
    or the log of one, or the archive is damaged, tampered with, beyond the limits, or of a newer
    markrules, and FileTrouble where a file cannot be read or written.
    """
    _check_room(path)
    beside = beside_of(path, "restoring")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        sweep(path, "restoring")
        with open_plain(archive) as opened, zipfile.ZipFile(opened) as package:
            counts = _build(package, beside)
        _put_in_place(beside, path)
    except zipfile.BadZipFile as error:
        raise CatalogueProblem(f"{archive}: not an archive, or a damaged one ({error})") from None
    except (BadArchive, zlib.error, NotImplementedError, RuntimeError, EOFError) as problem:
        raise CatalogueProblem(f"{archive}: {problem}; nothing was restored") from None
    except (OSError, sqlite3.Error) as error:
        raise FileTrouble(f"{archive}: {why(error)}; nothing was restored") from None
    finally:
        remove(beside)
    return counts


@dataclass(frozen=True, slots=True)
class Verified:
    """An archive whose every part is what its manifest says.

    `rows` of each table, how many `parts`, when it was `made`, the hash of its newest log, its
    newest `step`, and the `schema` that its tables have.
    """

    rows: dict[str, int]
    parts: int
    made: str
    log_hash: str
    step: int
    schema: int


def verify(archive: Path) -> Verified:
    """Look at every part of an archive by its SHA-256; nothing is written.

    Raises CatalogueProblem where one is damaged, changed or missing, and FileTrouble where the
    file cannot be read.
    """
    with _read(archive) as package:
        parts = _checked_parts(package)
        manifest = _manifest(package, parts)
        told = json.loads(package.read("manifest.json"))
        rows: dict[str, int] = {}
        log_hash, step = "", 0
        for name, part in manifest.items():
            if name.startswith("tables/"):
                table, count = _table_of(name), 0
                for row in _rows(package, name, str(part.get("sha256"))):
                    count += 1
                    if table == "step":
                        log_hash = str(row.get("log_hash") or log_hash)
                        step = max(step, int(row.get("id") or 0))
                if count != part.get("rows"):
                    raise BadArchive(f"{name}: {count} rows, not {part.get('rows')}")
                rows[table] = count
            elif hashlib.sha256(package.read(name)).hexdigest() != part.get("sha256"):
                raise BadArchive(f"{name} was changed: its checksum differs")
        made = str(told.get("made", ""))[:40]
        return Verified(rows, len(parts), made, log_hash, step, int(told["schema"]))


def archived_rows(archive: Path) -> Iterator[tuple[str, dict[str, Any]]]:
    """Each row of an archive and its table; of a picture's thumbnail the SHA-256.

    Raises as `verify`.
    """
    with _read(archive) as package:
        manifest = _manifest(package, _checked_parts(package))
        for name, part in manifest.items():
            if not name.startswith("tables/"):
                continue
            for row in _rows(package, name, str(part.get("sha256"))):
                if name == f"tables/{PICTURE_TABLE}.jsonl":
                    thumbnail = manifest.get(f"thumbnails/{row.get('digest')}.jpg", {})
                    row["thumbnail"] = thumbnail.get("sha256")
                yield _table_of(name), row


def _table_of(name: str) -> str:
    return name[len("tables/") : -len(".jsonl")]


@contextmanager
def _read(archive: Path) -> Iterator[zipfile.ZipFile]:
    """An archive to be looked at; what is wrong with it is raised as CatalogueProblem."""
    try:
        with open_plain(archive) as opened, zipfile.ZipFile(opened) as package:
            yield package
    except zipfile.BadZipFile as error:
        raise CatalogueProblem(f"{archive}: not an archive, or a damaged one ({error})") from None
    except (BadArchive, zlib.error, NotImplementedError, RuntimeError, EOFError) as problem:
        raise CatalogueProblem(f"{archive}: {problem}") from None
    except (TypeError, ValueError):
        raise CatalogueProblem(f"{archive}: rows that no archive has") from None
    except OSError as error:
        raise FileTrouble(f"{archive}: {why(error)}") from None


def _check_room(path: Path) -> None:
    """Raise CatalogueProblem where a catalogue is, or SQLite's files of one that crashed.

    A log that was left there would be played over the restored file and spoil it.
    """
    left = companions(path)
    if path.exists() and left:
        raise CatalogueProblem(
            f"{path}: there is a catalogue already, in {names_of([path, *left])}, and its newest"
            f" work may be in the latter. `markrules box check --catalogue {path}` takes it into"
            " the one file, which can then be moved away; or name another with --catalogue"
        )
    if path.exists():
        raise CatalogueProblem(
            f"{path}: there is a catalogue already; name another with --catalogue, or move it away"
        )
    if left:
        raise CatalogueProblem(
            f"{path}: still there of another catalogue: {names_of(left)}. Its newest work may lie"
            " in that. Put the catalogue back beside it and run `markrules box check`, or move what"
            " is left away; or name another place with --catalogue; nothing was restored"
        )


def _put_in_place(beside: Path, path: Path) -> None:
    """Give the finished file its name; never over another that came meanwhile."""
    if companions(path):
        raise BadArchive(f"{names_of(companions(path))} has appeared meanwhile")
    try:
        put_in_place(beside, path)
    except FileExistsError:
        raise BadArchive(f"{path} has appeared meanwhile") from None


def _build(package: zipfile.ZipFile, beside: Path) -> dict[str, int]:
    parts = _checked_parts(package)
    manifest = _manifest(package, parts)
    with Catalogue(beside) as catalogue, catalogue.change():
        counts = {
            table: _fill(catalogue, package, table, manifest)
            for table in archived_tables(catalogue)
        }
        _check_whole(catalogue, manifest, counts)
    return counts


def _checked_parts(package: zipfile.ZipFile) -> dict[str, zipfile.ZipInfo]:
    """The parts by name. Nothing is unpacked under its name, but strange names are refused."""
    found = package.infolist()
    if len(found) > MOST_PARTS:
        raise BadArchive(f"it has {len(found):,} parts; {MOST_PARTS:,} at most are taken")
    parts: dict[str, zipfile.ZipInfo] = {}
    for part in found:
        if not _NAME.fullmatch(part.filename) or part.filename in parts:
            raise BadArchive(f"it holds a part that no archive has: {part.filename[:80]!r}")
        parts[part.filename] = part
        if not part.filename.endswith((".json", ".jsonl")) and part.file_size > LARGEST_BYTES:
            raise BadArchive(
                f"{part.filename}: {part.file_size:,} bytes are too many for a picture"
            )
        # Small tables pack better than any limit would allow, and do no harm.
        if part.file_size > 1_000_000 and part.file_size > GREATEST_RATIO * part.compress_size:
            raise BadArchive(f"{part.filename}: packed more than {GREATEST_RATIO} to 1")
    if sum(part.file_size for part in found) > LARGEST_UNPACKED:
        raise BadArchive(f"it would unpack to more than {LARGEST_UNPACKED:,} bytes")
    return parts


def _manifest(
    package: zipfile.ZipFile, parts: dict[str, zipfile.ZipInfo]
) -> dict[str, dict[str, Any]]:
    """What the manifest says of each part. Every part must be named in it, and be there."""
    if "manifest.json" not in parts or parts["manifest.json"].file_size > LARGEST_MANIFEST:
        raise BadArchive("it has no manifest, or one that is too large")
    try:
        manifest = json.loads(package.read("manifest.json"))
        form, schema, named = manifest["form"], int(manifest["schema"]), manifest["parts"]
        digests = {name: str(part["sha256"]) for name, part in named.items()}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise BadArchive("its manifest cannot be read") from None
    if form != FORM:
        raise BadArchive(f"its form is {str(form)[:40]!r}, not {FORM}")
    if schema > SCHEMA_VERSION:
        raise BadArchive(
            f"it was made by a newer markrules (schema {schema}; this: {SCHEMA_VERSION})"
        )
    missing = sorted(set(digests) ^ (set(parts) - {"manifest.json"}))
    if missing:
        raise BadArchive(f"its manifest and its parts differ: {missing[0][:80]}")
    return {name: dict(named[name]) for name in digests}


def _fill(
    catalogue: Catalogue,
    package: zipfile.ZipFile,
    table: str,
    manifest: dict[str, dict[str, Any]],
) -> int:
    name = f"tables/{table}.jsonl"
    if name not in manifest:
        return 0
    columns = set(catalogue.db[table].columns_dict)
    count = 0
    # A row may point to one that comes later, in its own table or in another.
    catalogue.rows("pragma defer_foreign_keys = on")
    for row in _rows(package, name, manifest[name]["sha256"]):
        # Names of columns become SQL: none that the catalogue has not is let through.
        if not set(row) <= columns:
            raise BadArchive(f"{name}: a column that no catalogue has")
        if table == PICTURE_TABLE:
            row.update(_picture(package, row, manifest))
        elif table == ORIGINAL_TABLE:
            row["bytes"] = _original(package, row, manifest)
        check_forms(table, row)
        try:
            catalogue.insert(table, row)
        except sqlite3.IntegrityError as error:
            raise BadArchive(f"{name}, row {count + 1}: {error}") from None
        count += 1
    if count != manifest[name].get("rows"):
        raise BadArchive(f"{name}: {count} rows, not {manifest[name].get('rows')}")
    return count


def _rows(package: zipfile.ZipFile, name: str, digest: str) -> Iterator[dict[str, Any]]:
    found = hashlib.sha256()
    with package.open(name) as handle:
        # One byte more than allowed tells a longer line without taking it in.
        while line := handle.readline(LONGEST_LINE + 1):
            if len(line) > LONGEST_LINE:
                raise BadArchive(f"{name}: a row of more than {LONGEST_LINE:,} bytes")
            found.update(line)
            try:
                row = json.loads(line)
            except (ValueError, RecursionError):
                raise BadArchive(f"{name}: a row that is not JSON") from None
            if not isinstance(row, dict) or not all(map(is_plain, row.values())):
                raise BadArchive(f"{name}: a row that is not columns and plain values")
            yield row
    if found.hexdigest() != digest:
        raise BadArchive(f"{name} was changed: its checksum differs")


def _picture(
    package: zipfile.ZipFile, row: dict[str, Any], manifest: dict[str, dict[str, Any]]
) -> dict[str, bytes]:
    found = {}
    for column, folder in (("bytes", "pictures"), ("thumbnail", "thumbnails")):
        name = f"{folder}/{row.get('digest')}.jpg"
        if name not in manifest:
            raise BadArchive(f"{name} is missing")
        data = package.read(name)
        right = hashlib.sha256(data).hexdigest() == manifest[name]["sha256"]
        # What a browser is told to be a picture must be one, whoever made the archive.
        if not right or not data.startswith(b"\xff\xd8\xff"):
            raise BadArchive(f"{name} was changed: its checksum differs, or it is no JPEG picture")
        found[column] = data
    if hashlib.sha256(found["bytes"]).hexdigest() != row["digest"]:
        raise BadArchive(f"picture {row['digest']}: its name is not the checksum of its bytes")
    return found


def _original(
    package: zipfile.ZipFile, row: dict[str, Any], manifest: dict[str, dict[str, Any]]
) -> bytes:
    name = original_name(row)
    if name not in manifest:
        raise BadArchive(f"{name} is missing")
    data = package.read(name)
    if not (hashlib.sha256(data).hexdigest() == manifest[name]["sha256"] == row["digest"]):
        raise BadArchive(f"{name} was changed: its checksum differs")
    return data


def _check_whole(
    catalogue: Catalogue, manifest: dict[str, dict[str, Any]], counts: dict[str, int]
) -> None:
    unknown = [
        name for name in manifest if name.startswith("tables/") and _table_of(name) not in counts
    ]
    if unknown:
        raise BadArchive(f"{unknown[0]}: no catalogue has this table")
    if catalogue.rows("pragma foreign_key_check", seconds=inf):
        raise BadArchive("rows point to rows that are not there")
    catalogue.log.index_all_marks()
