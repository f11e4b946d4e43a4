"""What can go wrong with a catalogue, in plain words."""

from __future__ import annotations

import sqlite3


class CatalogueProblem(Exception):
    """What was asked of the catalogue cannot be done; the message says why and what could be."""


class FileTrouble(CatalogueProblem):
    """The catalogue's file, or another file, cannot be read or written."""


class BrokenRow(CatalogueProblem):
    """A row of the catalogue holds what it cannot hold; the message names it."""


def why(error: Exception) -> str:
    """What an error of the file system or of SQLite means to a person."""
    text = str(error)
    low = text.casefold()
    for part, meaning in _MEANINGS:
        if part in low:
            return meaning
    if isinstance(error, OSError) and not isinstance(error, sqlite3.Error):
        return error.strerror or text
    return text


_MEANINGS = (
    ("readonly", "the file or its folder cannot be written"),
    ("read-only", "the file or its folder cannot be written"),
    ("is full", "the disk is full"),
    ("no space", "the disk is full"),
    ("disk i/o", "the disk cannot be written (full, or a limit on the size of files)"),
    ("not a database", "not a catalogue, or a damaged one"),
    ("malformed", "the catalogue is damaged; the newest archive or backup can be restored"),
    ("locked", "another program holds the catalogue; try again"),
    ("interrupted", "looking through the catalogue took too long; it was broken off"),
    ("could not decode", "a text in the catalogue is no text (`box check` tells more)"),
    ("unable to open", "the file cannot be opened"),
)
