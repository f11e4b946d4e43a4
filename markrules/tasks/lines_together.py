"""Lines of a person's own table that belong together: sets by their names, numbers given twice."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from markrules.catalogue.boxes import LONGEST_NAME
from markrules.reading.reader import Reader
from markrules.tasks.entering import PIECE
from markrules.tasks.headings import headings_that

if TYPE_CHECKING:
    from markrules.tasks.importing import TableEntry

Lines = Sequence[tuple[int, "TableEntry"]]
_SAYS_WHETHER = frozenset(headings_that("answers"))
"""What a column answers that asks whether a piece is a set, and names none."""


def sets_of_lines(
    reader: Reader, entries: Lines
) -> tuple[tuple[tuple[int, TableEntry], ...], list[tuple[int, str]]]:
    """The entries, each in a set where two lines or more name one alike, and what should be known
    of lines that name none: an answer, a count, a kind of piece, or a name that stands alone.
    """
    named = Counter(entry.set.casefold() for _, entry in entries if _is_name(reader, entry.set))
    first: dict[str, str] = {}
    kept: list[tuple[int, TableEntry]] = []
    told: list[tuple[int, str]] = []
    for line, entry in entries:
        name = entry.set.casefold()
        if named[name] > 1:
            # A name is written small and large in one table; it is one set.
            kept.append((line, replace(entry, set=first.setdefault(name, entry.set))))
            continue
        kept.append((line, replace(entry, set="")))
        if named[name]:
            told.append((line, f'names the set "{entry.set}" alone: no set is made'))
        elif name and name not in _SAYS_WHETHER:
            told.append((line, f'"{entry.set}" names no set: give its lines one name'))
    return tuple(kept), told


def _is_name(reader: Reader, text: str) -> bool:
    """Whether a cell names a set: words of its own, and not only the kinds of its pieces."""
    plain = text.casefold()
    letters = any(each.isalpha() for each in plain)
    if not letters or plain in _SAYS_WHETHER or len(text) > LONGEST_NAME:
        return False
    if plain[0].isdigit():
        return False
    said = reader.understand(text)
    more = [each for each in said.observations if each.feature != PIECE]
    return not said.piece_type or bool(more or said.not_understood)


def numbers_twice(entries: Lines) -> Iterator[tuple[int, str]]:
    """The lines whose own number another line bears, too: each is kept, and told."""
    first: dict[str, int] = {}
    for line, entry in entries:
        number = entry.piece.own_number.casefold()
        if number and first.setdefault(number, line) != line:
            yield (
                line,
                f'the own number "{entry.piece.own_number}" stands on line {first[number]}, too',
            )
