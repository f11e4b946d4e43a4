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

from markrules.catalogue.problems import BrokenRow

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
    line, digest = (_line_of(step, found[0]), str(found[1])) if found else (0, "")
    if newest > line:
        digest = chained(digest, lines_of_log(connection, line, newest))
        connection.execute(
            "update step set log_line = ?, log_hash = ? where id = ?", (newest, digest, step)
        )


def _line_of(step: object, line: object) -> int:
    """The last line that a step sealed. Raises BrokenRow where it is none."""
    if not isinstance(line, int):
        raise BrokenRow(
            f"a step before number {step}: its line of the log is no number; nothing was changed."
            " `markrules box check` tells more"
        )
    return line


def lines_of_log(connection: sqlite3.Connection, after: int, last: int) -> Iterator[bytes]:
    """The lines of the log after one number up to another, as they are hashed."""
    rows = connection.execute(
        f"select {LINE} from seen where id > ? and id <= ? order by id", (after, last)
    )
    for row in rows:
        try:
            line = json.dumps(list(row), separators=(",", ":"))
        except TypeError:
            raise BrokenRow(f"line {row[0]!r} of the log holds what is no text") from None
        yield line.encode() + b"\n"


def chained(before: str, lines: Iterator[bytes]) -> str:
    """SHA-256, in hexadecimal, over the hash before and the lines."""
    digest = hashlib.sha256(before.encode())
    for line in lines:
        digest.update(line)
    return digest.hexdigest()


def broken_seal(connection: sqlite3.Connection) -> str:
    """What is wrong with the log by its hashes; empty where it is as it was written."""
    try:
        return _first_broken(connection)
    except BrokenRow as broken:
        return str(broken)


def _first_broken(connection: sqlite3.Connection) -> str:
    line, digest = 0, ""
    for row in connection.execute(
        "select id, moment, log_line, log_hash from step where log_hash <> '' order by id"
    ):
        if not isinstance(row[2], int):
            return f"step {row[0]}: the line of the log up to which it was sealed is no number"
        if chained(digest, lines_of_log(connection, line, row[2])) != row[3]:
            return (
                f"lines {line + 1} to {row[2]} are not those that were written up to step"
                f" {row[0]} ({row[1]}): a line was changed, added or lost"
            )
        line, digest = row[2], str(row[3])
    return ""
