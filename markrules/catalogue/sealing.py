"""The log of what was seen, sealed: a chain of hashes tells when a line was changed or lost.

Each step that adds to the log keeps the number of its last line and SHA-256 over the hash before
and all lines since. Whoever changes a line must change every later hash too; and every archive
holds the hashes of its day.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterator

LINE = (
    "id, piece_id, feature, value, state, number, first_year, last_year, weights, certainty,"
    " heard, words, assumed, who, moment, photo_id, corrects, withdrawn, step_id"
)
"""The columns of `seen`, in the order in which they are hashed."""


def seal(connection: sqlite3.Connection, step: int) -> None:
    """Keep with a step the hash of the log up to now, within the caller's transaction."""
    newest = connection.execute("select coalesce(max(id), 0) from seen").fetchone()[0]
    found = connection.execute(
        "select log_line, log_hash from step where log_hash <> '' order by id desc limit 1"
    ).fetchone()
    line, digest = (int(found[0]), str(found[1])) if found else (0, "")
    if newest > line:
        digest = chained(digest, lines_of_log(connection, line, newest))
        connection.execute(
            "update step set log_line = ?, log_hash = ? where id = ?", (newest, digest, step)
        )


def lines_of_log(connection: sqlite3.Connection, after: int, last: int) -> Iterator[bytes]:
    """The lines of the log after one number up to another, as they are hashed."""
    rows = connection.execute(
        f"select {LINE} from seen where id > ? and id <= ? order by id", (after, last)
    )
    for row in rows:
        yield json.dumps(list(row), separators=(",", ":")).encode() + b"\n"


def chained(before: str, lines: Iterator[bytes]) -> str:
    """SHA-256, in hexadecimal, over the hash before and the lines."""
    digest = hashlib.sha256(before.encode())
    for line in lines:
        digest.update(line)
    return digest.hexdigest()


def broken_seal(connection: sqlite3.Connection) -> str:
    """What is wrong with the log by its hashes; empty where it is as it was written."""
    line, digest = 0, ""
    for row in connection.execute(
        "select id, moment, log_line, log_hash from step where log_hash <> '' order by id"
    ):
        if chained(digest, lines_of_log(connection, line, int(row[2]))) != row[3]:
            return (
                f"lines {line + 1} to {row[2]} are not those that were written up to step"
                f" {row[0]} ({row[1]}): a line was changed, added or lost"
            )
        line, digest = int(row[2]), str(row[3])
    return ""
