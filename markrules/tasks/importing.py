"""Pieces out of a table: columns matched to what a catalogue keeps, every bad line told."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import NewPiece
from markrules.catalogue.tables import Row
from markrules.frozen import dataclass
from markrules.knowledge.observation import Observation
from markrules.reading.observing import WordProblem, nearest, observe
from markrules.reading.reader import Reader
from markrules.tasks.entering import new_piece

FIELDS = {
    "note": ("note", "notes", "description", "details", "text", "what it is", "remarks"),
    "title": ("title", "name", "item", "object", "short title"),
    "told": ("told", "story", "what was told", "history", "seller says", "from the owner"),
    "mark": ("mark", "marks", "marking", "markings", "stamp", "stamps", "signature"),
}
"""What a column may be taken for, and the headings that say so; features come beside them."""


@dataclass(frozen=True, slots=True)
class Columns:
    """Which heading is taken for which field or feature, and the headings that are not taken."""

    taken: Mapping[str, str]
    left: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Imported:
    """The pieces of a table, each with its line, and the lines that could not be understood."""

    pieces: tuple[tuple[int, NewPiece], ...]
    errors: tuple[tuple[int, str], ...]


def match_columns(
    reader: Reader, headings: Sequence[str], given: Mapping[str, str] | None = None
) -> Columns:
    """Which column is what: as `given` (field to heading; an empty heading takes none), else by
    the headings themselves, where they name a field, or a feature of the rules.

    Raises CatalogueProblem, with the nearest good word, for a field or heading not known, and
    where nothing says which column holds the notes, titles, marks or a feature.
    """
    wanted = dict(given or {})
    names = {**_features(reader), **{_plain(w): f for f, words in FIELDS.items() for w in words}}
    for field, heading in wanted.items():
        _known(field, names.values(), "column")
        if heading:
            _known(heading, headings, "heading")
    taken = {field: heading for field, heading in wanted.items() if heading}
    for heading in headings:
        field = names.get(_plain(heading), "")
        if field and field not in wanted and field not in taken and heading not in taken.values():
            taken[field] = heading
    if not taken:
        raise CatalogueProblem(
            f"no column is headed like a note; the headings are: {', '.join(headings[:20])}."
            " Say which with --column note=HEADING"
        )
    left = tuple(each for each in headings if each not in taken.values())
    return Columns(taken, left)


def _features(reader: Reader) -> dict[str, str]:
    """The headings that name a feature; a unit in brackets belongs to the feature."""
    found: dict[str, str] = {}
    for feature in reader.base.features.values():
        for word in (feature.name, *feature.also):
            found.setdefault(_plain(word), feature.name)
            if feature.unit:
                found.setdefault(_plain(f"{word} ({feature.unit})"), feature.name)
    return found


def _known(word: str, known: Iterable[str], what: str) -> None:
    words = list(dict.fromkeys(known))
    if word not in words:
        by_small = {each.casefold(): each for each in words}
        near = nearest(word, by_small)
        hint = f'; nearest: "{by_small[near]}"' if near else ""
        raise CatalogueProblem(f'no {what} is called "{word}"{hint}')


def pieces_of(reader: Reader, rows: Iterable[Row], columns: Columns) -> Imported:
    """The pieces that the rows describe. A row that says nothing is an error, like a bad one."""
    pieces: list[tuple[int, NewPiece]] = []
    errors: list[tuple[int, str]] = []
    for row in rows:
        if row.error:
            errors.append((row.line, row.error))
            continue
        try:
            pieces.append((row.line, _piece(reader, row, columns)))
        except (CatalogueProblem, WordProblem) as problem:
            errors.append((row.line, str(problem)))
    return Imported(tuple(pieces), tuple(errors))


def _piece(reader: Reader, row: Row, columns: Columns) -> NewPiece:
    cells = {field: row.cells.get(heading, "") for field, heading in columns.taken.items()}
    if not any(cells.values()):
        raise CatalogueProblem("nothing in the columns that are taken")
    marks = [Observation("mark", text, words=text) for text in _parts(cells.get("mark", ""))]
    observations = [
        observe(reader.base, f"{field}={part}")
        for field, text in cells.items()
        if field not in FIELDS
        for part in _parts(text)
    ]
    return new_piece(
        reader,
        cells.get("note", ""),
        title=cells.get("title", ""),
        told=cells.get("told", ""),
        observations=(*observations, *marks),
    )


def _parts(text: str) -> list[str]:
    return [part.strip() for part in text.split(";") if part.strip()]


def _plain(text: str) -> str:
    return re.sub(r"[\s\-_]+", " ", text.casefold()).strip()
