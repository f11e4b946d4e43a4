"""A catalogue file from somebody else: opened so that nothing in it runs, or holds up, or misleads.

SQLite's own advice for files that may be hostile (sqlite.org/security.html): check the schema,
set `trusted_schema` off, `cell_size_check` on and the defensive flag, and limit the time.
"""

from __future__ import annotations

import functools
import re
import sqlite3
import time

from markrules.catalogue.problems import FileTrouble
from markrules.catalogue.schema import MIGRATIONS, statements

Schema = dict[tuple[str, str], str]

QUICK_SECONDS = 0.5
"""How long the quick look for damage may take when a command opens the file."""
_SHADOWS = "piece_text_"
"""Tables that the text index makes for itself, as its version likes."""


def harden(connection: sqlite3.Connection) -> None:
    """Let nothing in the schema call functions that do harm, and no odd page be read."""
    connection.execute("pragma trusted_schema = off")
    connection.execute("pragma cell_size_check = on")
    connection.text_factory = _text
    set_config = getattr(connection, "setconfig", None)  # Python 3.12
    defensive = getattr(sqlite3, "SQLITE_DBCONFIG_DEFENSIVE", None)
    if set_config is not None and defensive is not None:
        set_config(defensive, True)


def _text(data: bytes) -> str:
    """A text as kept; where its bytes are no UTF-8, with marks in place of them."""
    return data.decode("utf-8", "replace")


def check_schema(connection: sqlite3.Connection, path: object) -> None:
    """Raise FileTrouble where tables, views or triggers are not those of a catalogue."""
    found, wanted = _schema_of(connection), _expected()
    for kind, name in sorted(found.keys() ^ wanted.keys()):
        has = "has" if (kind, name) in found else "lacks"
        raise FileTrouble(f"{path}: not a catalogue as it should be: it {has} the {kind} {name}")
    for key, text in sorted(found.items()):
        if text != wanted[key]:
            kind, name = key
            raise FileTrouble(
                f"{path}: not a catalogue as it should be: the {kind} {name} is another"
            )
    # The schema is our own, word for word: its triggers may use the text index, which older
    # versions of SQLite count among what only a trusted schema may use.
    connection.execute("pragma trusted_schema = on")


def _schema_of(connection: sqlite3.Connection) -> Schema:
    found: Schema = {}
    for kind, name, text in connection.execute("select type, name, sql from sqlite_schema"):
        if str(name).startswith("sqlite_"):
            continue
        shadow = str(name).startswith(_SHADOWS)
        found[str(kind), str(name)] = "" if shadow else _plain(str(text))
    return found


_STRING_OR_NOT_SAID = re.compile(r"('(?:[^']|'')*')|--[^\n]*|\s+")


def _plain(text: str) -> str:
    """What a statement says: without comments and blanks, which differ between versions."""
    return _STRING_OR_NOT_SAID.sub(lambda found: found[1] or "", text).casefold()


@functools.cache
def _expected() -> Schema:
    """The schema of a new catalogue, as this version of SQLite writes it."""
    connection = sqlite3.connect(":memory:")
    try:
        for step in MIGRATIONS:
            for statement in statements(step):
                connection.execute(statement)
        return _schema_of(connection)
    finally:
        connection.close()


def quick_damage(connection: sqlite3.Connection, seconds: float = QUICK_SECONDS) -> str:
    """What is damaged, as far as a quick look shows; empty where nothing was found in the time."""
    until = time.monotonic() + seconds
    connection.set_progress_handler(lambda: time.monotonic() > until, 10_000)
    try:
        row = connection.execute("pragma quick_check(1)").fetchone()
        return "" if row is None or row[0] == "ok" else str(row[0])
    except sqlite3.OperationalError as error:
        return "" if "interrupted" in str(error) else str(error)
    except sqlite3.DatabaseError as error:
        return str(error)
    finally:
        connection.set_progress_handler(None, 0)
