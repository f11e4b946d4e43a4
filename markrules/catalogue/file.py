"""The catalogue's file: opened safely, brought up to date, backed up before it changes shape."""

from __future__ import annotations

import datetime
import sqlite3
from pathlib import Path

from markrules.catalogue.schema import APPLICATION_ID, MIGRATIONS, SCHEMA_VERSION

BUSY_SECONDS = 30.0
"""How long one writer waits for another before giving up."""


class CatalogueProblem(Exception):
    """Something is wrong with the catalogue or with what was asked of it, in plain words."""


def catalogue_place() -> Path:
    """Where a catalogue lies when none is named: the user's data folder."""
    import platformdirs

    return Path(platformdirs.user_data_dir("markrules")) / "catalogue.db"


def connect(path: Path, *, create: bool = True) -> sqlite3.Connection:
    """An open connection with foreign keys on and a write-ahead log, at the newest schema.

    A file of an older schema is copied to `NAME.before-N.db` first. Raises CatalogueProblem
    for a file that is not a catalogue, is newer than this program, or cannot be used.
    """
    if not create and not path.exists():
        raise CatalogueProblem(f"{path}: there is no such catalogue")
    if path.is_dir():
        raise CatalogueProblem(f"{path}: this is a folder, not a catalogue")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        connection = sqlite3.connect(path, timeout=BUSY_SECONDS, isolation_level=None)
    except (OSError, sqlite3.Error) as error:
        raise CatalogueProblem(f"{path}: {_why(error)}") from None
    try:
        connection.row_factory = sqlite3.Row
        connection.execute("pragma foreign_keys = on")
        _bring_up_to_date(connection, path)
    except sqlite3.Error as error:
        connection.close()
        raise CatalogueProblem(f"{path}: {_why(error)}") from None
    except CatalogueProblem:
        connection.close()
        raise
    return connection


def _bring_up_to_date(connection: sqlite3.Connection, path: Path) -> None:
    version = connection.execute("pragma user_version").fetchone()[0]
    if version == SCHEMA_VERSION and _is_ours(connection):
        connection.execute("pragma synchronous = normal")
        return
    if version > SCHEMA_VERSION:
        raise CatalogueProblem(
            f"{path}: made by a newer markrules (schema {version}; this one knows"
            f" {SCHEMA_VERSION}); nothing was changed"
        )
    connection.execute("pragma journal_mode = wal")
    connection.execute("begin immediate")
    try:
        version = connection.execute("pragma user_version").fetchone()[0]
        tables = connection.execute("select count(*) from sqlite_schema").fetchone()[0]
        if tables and not _is_ours(connection):
            raise CatalogueProblem(f"{path}: a database, but not a catalogue of markrules")
        if 0 < version < SCHEMA_VERSION:
            _back_up(path, version)
        for step in MIGRATIONS[version:]:
            for statement in statements(step):
                connection.execute(statement)
        connection.execute(f"pragma user_version = {SCHEMA_VERSION:d}")
        connection.execute(f"pragma application_id = {APPLICATION_ID:d}")
        connection.execute("commit")
    except BaseException:
        connection.execute("rollback")
        raise
    connection.execute("pragma synchronous = normal")


def _is_ours(connection: sqlite3.Connection) -> bool:
    return bool(connection.execute("pragma application_id").fetchone()[0] == APPLICATION_ID)


def _back_up(path: Path, version: int) -> None:
    """Copy the file as it stands, through SQLite, so that the log beside it is in the copy."""
    stamp = datetime.datetime.now(datetime.UTC).strftime("%Y%m%d-%H%M%S")
    copy = path.with_name(f"{path.stem}.schema-{version}.{stamp}.db")
    with sqlite3.connect(path) as source, sqlite3.connect(copy) as target:
        source.backup(target)


def statements(script: str) -> list[str]:
    """The statements of a script; a trigger's body counts as one statement."""
    found, current = [], ""
    for line in script.splitlines(keepends=True):
        current += line
        if sqlite3.complete_statement(current):
            if current.strip():
                found.append(current.strip())
            current = ""
    return found


def _why(error: Exception) -> str:
    text = str(error)
    if "readonly" in text or "read-only" in text:
        return "the file cannot be written; nothing was changed"
    if "full" in text:
        return "the disk is full; nothing was changed"
    if "not a database" in text or "malformed" in text:
        return "not a catalogue, or a damaged one; nothing was changed"
    if "locked" in text:
        return "another program holds the catalogue; try again"
    if "unable to open" in text:
        return "the file cannot be opened"
    return text
