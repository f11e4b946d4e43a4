"""Files of rules as they were parsed, kept on disk: of 150 that stand together one changes.

What is kept of a file hangs on its text alone, so it is found by the hash of that. All is kept that
the checks look at, places too. The whole is trusted and damaged as other files of the cache are.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TypeAlias

from markrules import __version__
from markrules.knowledge.codec import Decoder, Encoder, signature
from markrules.knowledge.kept_parts import Places, as_json, from_json, opened, together
from markrules.knowledge.lazy import DAMAGE
from markrules.knowledge.own_files import OwnFile, checksum, of_part, write_whole
from markrules.knowledge.workings import code
from markrules.language.collector import paused
from markrules.language.grammar_sources import grammar_sources
from markrules.language.problems import Problem
from markrules.language.tree import Book

MAGIC = "markrules parsed files 1"
NAME = "parsed-files.json"
MOST = 400
"""Files that are kept at most; those of the last rules go before."""

Parsed: TypeAlias = tuple[Book, tuple[Problem, ...]]
Parse: TypeAlias = Callable[[str, str], Parsed]


class KeptBooks:
    """The parsed files that a cache folder keeps, and those that are to be added."""

    def __init__(self, folder: Path) -> None:
        """Read where each lies; of a file that is not as written nothing is used."""
        self._path = folder / NAME
        self._key = _key()
        self._read: Callable[[int, int], bytes] | None = None
        self._places: Mapping[str, tuple[int, int, bytes]] | Places = {}
        self._used: dict[str, bytes] = {}
        self._changed = False
        with contextlib.suppress(OSError, *DAMAGE):
            file = OwnFile(self._path)
            said, places = opened(file.read)
            if (said["what"], said["key"]) == (MAGIC, self._key):
                self._places, self._read = places, file.read

    def parsed(self, text: str, file: str, parse: Parse) -> Parsed:
        """A file as `parse` gives it, or as it was kept; `file` is its name in messages."""
        name = checksum(text.encode("utf-8", "surrogatepass"))
        with contextlib.suppress(OSError, *DAMAGE):
            row = self._row(name)
            if row is not None:
                found = _from_row(row, file)
                self._used[name] = row
                return found
        made = parse(text, file)
        self._used[name] = _row_of(made, file)
        self._changed = True
        return made

    def keep(self) -> None:
        """Keep what was used, and what was kept before; where that fails, do without."""
        if not self._changed:
            return
        rows = dict(self._used)
        for name in self._places:
            if len(rows) >= MOST:
                break
            with contextlib.suppress(OSError, *DAMAGE):
                row = self._row(name) if name not in rows else None
                if row is not None:
                    rows[name] = row
        with contextlib.suppress(OSError):
            write_whole(self._path, together(rows, what=MAGIC, key=self._key))
        self._changed = False

    def _row(self, name: str) -> bytes | None:
        """What is kept under a name; None where there is nothing, or it is damaged."""
        if self._read is None or name not in self._places:
            return None
        start, end, told = self._places[name]
        row = self._read(start, end)
        return row if of_part(row) == told else None


def _row_of(parsed: Parsed, file: str) -> bytes:
    book, problems = parsed
    codec = Encoder([file], every_span=True)
    return as_json(
        [
            [[type(entry).__name__, codec.encode(entry)] for entry in book.entries],
            book.broken,
            [codec.encode(problem) for problem in problems],
        ]
    )


def _from_row(row: bytes, file: str) -> Parsed:
    codec = Decoder([file], every_span=True)
    entries, broken, problems = from_json(row)
    decode = codec.decoder(Problem.__name__)
    with paused():  # no circles are made here
        book = Book(
            file,
            tuple([codec.decoder(kind)(entry) for kind, entry in entries]),
            tuple([(kind, name) for kind, name in broken]),
        )
        return book, tuple([decode(problem) for problem in problems])


def _key() -> str:
    """A hash of all that a parsed file depends on, but for its text."""
    said = "\0".join((MAGIC, __version__, signature(), code())).encode() + grammar_sources()
    return checksum(said)
