"""The catalogue's file: opened safely, brought up to date, backed up before it changes shape."""

from __future__ import annotations

import contextlib
import datetime
import errno
import glob
import os
import re
import secrets
import shutil
import sqlite3
import time
from contextlib import closing
from pathlib import Path

from markrules.catalogue.problems import CatalogueProblem, FileTrouble, why
from markrules.catalogue.schema import APPLICATION_ID, MIGRATIONS, SCHEMA_VERSION, statements
from markrules.catalogue.soundness import check_schema, harden

__all__ = [
    "CatalogueProblem",
    "FileTrouble",
    "catalogue_place",
    "companions",
    "connect",
    "fold_in",
    "statements",
]

BUSY_SECONDS = 60.0
"""How long one writer waits for another before giving up."""

ROOM_OF_A_NEW_ONE = 1_000_000
"""Bytes that an empty catalogue and its journal take at most."""

COMPANIONS = ("-wal", "-shm", "-journal")
"""What SQLite keeps beside a file while it is written, and leaves there after a crash."""


def catalogue_place() -> Path:
    """Where a catalogue lies when none is named: the user's data folder."""
    import platformdirs

    return Path(platformdirs.user_data_dir("markrules", appauthor=False)) / "catalogue.db"


def companions(path: Path) -> list[Path]:
    """The files that SQLite has left beside the catalogue: its newest work may be in them."""
    beside = [path.with_name(path.name + ending) for ending in COMPANIONS]
    return [each for each in beside if each.exists()]


def names_of(files: list[Path]) -> str:
    """File names for a message: `a, b and c`."""
    names = [str(each) for each in files]
    return " and ".join(filter(None, [", ".join(names[:-1]), names[-1] if names else ""]))


def connect(path: Path, *, create: bool = True) -> sqlite3.Connection:
    """An open connection with foreign keys on and a write-ahead log, at the newest schema.

    A file of an older schema is copied to `NAME.schema-N.MOMENT.db` first. A file that cannot
    be written is opened to be read; a new one is private to the person. Raises FileTrouble for
    a file that is not a catalogue, is newer than this program, or cannot be used, and where the
    log of a crashed catalogue stands without its catalogue: a new one would destroy it.
    """
    if path.is_dir():
        raise FileTrouble(f"{path}: this is a folder, not a catalogue")
    if path.exists() and not path.is_file():
        raise FileTrouble(f"{path}: not a plain file, and no catalogue")
    try:
        if not _is_there(path):
            if not create:
                raise FileTrouble(f"{path}: there is no such catalogue")
            _make(path)
        # Never made by SQLite itself: a file that was moved away meanwhile stays away.
        where = f"{path.absolute().as_uri()}?mode=rw"
        try:
            connection = sqlite3.connect(
                where, uri=True, timeout=BUSY_SECONDS, isolation_level=None
            )
        except sqlite3.OperationalError:
            still = _to_be_read(path)
            if still is None:
                raise
            return still
    except (OSError, sqlite3.Error) as error:
        raise FileTrouble(f"{path}: {why(error)}") from None
    try:
        connection.row_factory = sqlite3.Row
        harden(connection)
        _bring_up_to_date(connection, path)
        check_schema(connection, path)
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


def _is_there(path: Path) -> bool:
    """Whether there is a file with something in it. Raises FileTrouble for a log without one."""
    there = path.exists()
    # A file of 0 bytes is what a crash leaves of one that was being made: the log may hold it all.
    if there and (not path.is_file() or path.stat().st_size):
        return there
    left = [each for each in companions(path) if each.stat().st_size and not _is_index(each)]
    if left:
        raise FileTrouble(
            f"{path}: it is missing or empty, but {names_of(left)} of a catalogue that was not"
            " closed still stands there, with its newest work. Put the catalogue back beside it,"
            " or move it away; nothing was changed"
        )
    return there


def _is_index(companion: Path) -> bool:
    """Whether it is `-shm`, which holds no work: SQLite makes it anew of the log."""
    return companion.name.endswith("-shm")


def _make(path: Path) -> None:
    """A new catalogue, which appears whole or not at all, and which only its owner may read."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    sweep(path, "new")
    beside = beside_of(path, "new")
    try:
        open_private(beside)
        with closing(sqlite3.connect(beside, isolation_level=None)) as connection:
            _bring_up_to_date(connection, beside)
        with contextlib.suppress(FileExistsError):  # another was a little faster
            put_in_place(beside, path)
    except sqlite3.DatabaseError as error:
        if shutil.disk_usage(path.parent).free < ROOM_OF_A_NEW_ONE:
            # SQLite may call a file malformed that was cut off where the disk ended.
            raise OSError(errno.ENOSPC, "the disk is full") from error
        raise
    finally:
        remove(beside)


def open_private(path: Path) -> None:
    """Make an empty file that only its owner may read. Raises FileExistsError for one there."""
    os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))


def beside_of(path: Path, purpose: str) -> Path:
    """The name under which a file is built before it takes its own; it tells whose work it is."""
    return path.with_name(f".{path.name}.{purpose}-{os.getpid()}-{secrets.token_hex(4)}")


def sweep(path: Path, purpose: str) -> None:
    """Remove what work for `path` that was killed has left beside it."""
    with contextlib.suppress(OSError):
        for each in path.parent.glob(f".{glob.escape(path.name)}.{purpose}-*"):
            number = re.search(rf"\.{purpose}-([0-9]+)", each.name)
            # A living process may still be at work on its file.
            if number is not None and not _runs(int(number[1])):
                remove(each)


def _runs(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    # It runs under another user, or its number is none of this system: left alone.
    except (OSError, OverflowError):
        return True
    return True


def remove(database: Path) -> None:
    """Remove a file and what SQLite keeps beside it, where they are there."""
    for ending in ("", *COMPANIONS):
        with contextlib.suppress(OSError):
            database.with_name(database.name + ending).unlink(missing_ok=True)


def put_in_place(beside: Path, path: Path) -> None:
    """Give a finished file its name; raises FileExistsError rather than write over another."""
    try:
        os.link(beside, path)
    except FileExistsError:
        raise
    except OSError:  # a file system without links
        if path.exists():
            raise FileExistsError(str(path)) from None
        os.replace(beside, path)


def fold_in(connection: sqlite3.Connection) -> None:
    """Take the write-ahead log into the file, so that the file alone is the whole catalogue.

    Nobody is waited for: where another reads or writes at this moment, as much as can be is
    taken in, and the rest with the next change or when the other closes.
    """
    with contextlib.suppress(sqlite3.Error):
        connection.execute("pragma busy_timeout = 0")
        connection.execute("pragma wal_checkpoint(truncate)").fetchall()
    with contextlib.suppress(sqlite3.Error):
        connection.execute(f"pragma busy_timeout = {int(BUSY_SECONDS * 1000)}")


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
            harden(connection)
            check_schema(connection, path)
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
        # Asked again inside the transaction: another process may have been faster.
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
            # Others hold the file for milliseconds while they make the same switch.
            time.sleep(0.02)


def _migrate(connection: sqlite3.Connection, path: Path) -> None:
    """Take the steps from the file's version to the newest, within the caller's transaction."""
    version = _version(connection)
    if 0 < version < SCHEMA_VERSION:
        back_up(path, version)
    for step in MIGRATIONS[version:]:
        # One by one: `executescript` would commit before it begins.
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
    beside = beside_of(path, "migrating")
    try:
        sweep(path, "migrating")
        open_private(beside)
        with (
            closing(sqlite3.connect(path)) as source,
            closing(sqlite3.connect(beside)) as target,
        ):
            source.backup(target)
            # So that the copy is one file, and can be moved as one.
            target.execute("pragma journal_mode = delete")
        # Only a whole copy bears the name that a person would trust.
        os.replace(beside, copy)
    except (OSError, sqlite3.Error) as error:
        raise FileTrouble(f"{copy}: {why(error)}; the catalogue was left as it is") from None
    finally:
        remove(beside)
    return copy
