"""The catalogue's file: opened safely, brought up to date, backed up before it changes shape."""

from __future__ import annotations

import datetime
import sqlite3
import time
from contextlib import closing
from pathlib import Path

from markrules.catalogue.problems import CatalogueProblem, FileTrouble, why
from markrules.catalogue.schema import APPLICATION_ID, MIGRATIONS, SCHEMA_VERSION

__all__ = ["CatalogueProblem", "FileTrouble", "catalogue_place", "connect", "statements"]

BUSY_SECONDS = 60.0
"""How long one writer waits for another before giving up."""


def catalogue_place() -> Path:
    """Where a catalogue lies when none is named: the user's data folder."""
    import platformdirs

    return Path(platformdirs.user_data_dir("markrules", appauthor=False)) / "catalogue.db"


def connect(path: Path, *, create: bool = True) -> sqlite3.Connection:
    """An open connection with foreign keys on and a write-ahead log, at the newest schema.

    A file of an older schema is copied to `NAME.schema-N.MOMENT.db` first. A file that cannot
    be written is opened to be read. Raises FileTrouble for a file that is not a catalogue, is
    newer than this program, or cannot be used.
    """
    if path.is_dir():
        raise FileTrouble(f"{path}: this is a folder, not a catalogue")
    if not create and not path.exists():
        raise FileTrouble(f"{path}: there is no such catalogue")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        connection = sqlite3.connect(path, timeout=BUSY_SECONDS, isolation_level=None)
    except (OSError, sqlite3.Error) as error:
        raise FileTrouble(f"{path}: {why(error)}") from None
    try:
        connection.row_factory = sqlite3.Row
        _bring_up_to_date(connection, path)
        _set_habits(connection)
    except sqlite3.Error as error:
        connection.close()
        still = _to_be_read(path)
        if still is None:
            raise FileTrouble(f"{path}: {why(error)}; nothing was changed") from None
        return still
    except BaseException:
        connection.close()
        raise
    return connection


def _set_habits(connection: sqlite3.Connection) -> None:
    """Foreign keys are held to, and a commit is on the disk before it is reported."""
    connection.execute("pragma foreign_keys = on")
    connection.execute("pragma synchronous = full")


def _to_be_read(path: Path) -> sqlite3.Connection | None:
    """The file opened for reading alone, where it is whole; None where it is not.

    SQLite needs to write beside a file with a write-ahead log even to read it; a file that was
    closed properly has no log left and can be read as it lies.
    """
    if not path.is_file() or path.with_name(path.name + "-wal").exists():
        return None
    try:
        connection = sqlite3.connect(
            f"{path.absolute().as_uri()}?mode=ro&immutable=1", uri=True, isolation_level=None
        )
        connection.row_factory = sqlite3.Row
        if _version(connection) == SCHEMA_VERSION and _is_ours(connection):
            connection.execute("pragma query_only = on")
            return connection
        connection.close()
    except sqlite3.Error:
        return None
    return None


def _bring_up_to_date(connection: sqlite3.Connection, path: Path) -> None:
    if _is_current(connection, path):
        return
    _use_write_ahead_log(connection)
    connection.execute("begin immediate")
    try:
        if not _is_current(connection, path):
            _migrate(connection, path)
        connection.execute("commit")
    except BaseException:
        if connection.in_transaction:
            connection.execute("rollback")
        raise


def _is_current(connection: sqlite3.Connection, path: Path) -> bool:
    """Whether the schema is the newest. Raises FileTrouble for what must not be touched."""
    version = _version(connection)
    ours = _is_ours(connection)
    tables = connection.execute("select count(*) from sqlite_schema").fetchone()[0]
    if tables and not ours:
        raise FileTrouble(f"{path}: a database, but not a catalogue of markrules")
    if version > SCHEMA_VERSION:
        raise FileTrouble(
            f"{path}: made by a newer markrules (schema {version}; this one knows"
            f" {SCHEMA_VERSION}); nothing was changed. A newer markrules opens it"
        )
    return ours and version == SCHEMA_VERSION


def _use_write_ahead_log(connection: sqlite3.Connection) -> None:
    """Switch to a write-ahead log; SQLite does not wait for others here, so this does."""
    until = time.monotonic() + BUSY_SECONDS
    while True:
        try:
            connection.execute("pragma journal_mode = wal")
            return
        except sqlite3.OperationalError as error:
            if "locked" not in str(error) or time.monotonic() > until:
                raise
            time.sleep(0.02)


def _migrate(connection: sqlite3.Connection, path: Path) -> None:
    """Take the steps from the file's version to the newest, within the caller's transaction."""
    version = _version(connection)
    if 0 < version < SCHEMA_VERSION:
        back_up(path, version)
    for step in MIGRATIONS[version:]:
        for statement in statements(step):
            connection.execute(statement)
    connection.execute(f"pragma application_id = {APPLICATION_ID:d}")
    connection.execute(f"pragma user_version = {SCHEMA_VERSION:d}")


def _version(connection: sqlite3.Connection) -> int:
    return int(connection.execute("pragma user_version").fetchone()[0])


def _is_ours(connection: sqlite3.Connection) -> bool:
    return bool(connection.execute("pragma application_id").fetchone()[0] == APPLICATION_ID)


def back_up(path: Path, version: int) -> Path:
    """Copy the file as it stands, through SQLite, so that the log beside it is in the copy.

    Returns the copy's path. Raises FileTrouble where it cannot be written: then nothing else
    is changed either.
    """
    stamp = datetime.datetime.now(datetime.UTC).strftime("%Y%m%d-%H%M%S")
    copy = path.with_name(f"{path.stem}.schema-{version}.{stamp}.db")
    try:
        with (
            closing(sqlite3.connect(path)) as source,
            closing(sqlite3.connect(copy)) as target,
        ):
            source.backup(target)
    except sqlite3.Error as error:
        copy.unlink(missing_ok=True)
        raise FileTrouble(f"{copy}: {why(error)}; the catalogue was left as it is") from None
    return copy


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
