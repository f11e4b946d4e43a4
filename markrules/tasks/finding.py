"""Finding pieces again: by words, by what was seen, by maker, by label, by where they lie.

Both faces search here. Pieces that left their box are found, too, after those that are there.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence

from markrules.appraisal.accounts import UNDONE
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Box, Listed
from markrules.catalogue.sorting import LIKELY
from markrules.catalogue.store import Catalogue
from markrules.frozen import dataclass
from markrules.knowledge.observation import Observation
from markrules.reading.reader import Reader
from markrules.tasks.finding_by_mark import find_by_mark
from markrules.telling.words import plain

_LABEL = re.compile(r"(?:.*/piece/)?([a-z2-7]{6,16})(?:[/?#].*)?", re.IGNORECASE | re.DOTALL)
"""The identifier that a label's code carries, alone or at the end of an address; or its start."""
_NUMBER = re.compile(
    r"(.*?)[\s,]*(?:\b(?:no|nr|number|piece)\b\.?|#)?\s*([0-9]{1,9})", re.IGNORECASE
)
_PART_OF_MARK = re.compile(r"\?|\.\.\.|…|\[[^\]]+\]")
MOST_OF_EACH = 2_000
"""Pieces taken from each way of finding; those beyond are not looked at."""


@dataclass(frozen=True, slots=True)
class FoundPiece:
    """A piece that was found, and why, in words: `label`, `catch: rollover`, `maker Montel`."""

    listed: Listed
    because: str


def find_pieces(
    catalogue: Catalogue, reader: Reader, text: str, *, box: Box | None = None, limit: int = 60
) -> tuple[FoundPiece, ...]:
    """The pieces that a line of words finds, best first; each once, for its first reason.

    In order: the code of a label, the owner's own number, a box with a number, the words of notes
    and marks, a mark read in part, what was seen, the maker, and where a piece is stored. An empty
    text finds nothing.
    """
    clean = " ".join(text.split())
    if not clean:
        return ()
    reasons: dict[int, str] = {}
    ways: Sequence[Callable[[Catalogue, Reader, str], Iterator[tuple[int, str]]]] = (
        _labelled,
        _own_number,
        _numbered,
        _worded,
        _marked,
        _seen,
        _made_by,
        _stored,
    )
    for way in ways:
        for piece, because in way(catalogue, reader, clean):
            reasons.setdefault(piece, because)
    listed: list[Listed] = []
    ids = list(reasons)
    for start in range(0, len(ids), MOST_OF_EACH):
        listed += catalogue.pieces.listed_by_id(ids[start : start + MOST_OF_EACH])
    kept = [each for each in listed if _is_wanted(each, box)]
    kept.sort(key=lambda each: bool(each.piece.gone))
    return tuple(FoundPiece(each, reasons[each.piece.id]) for each in kept[:limit])


def _is_wanted(listed: Listed, box: Box | None) -> bool:
    """Whether it is of the box; one whose entry was taken back never was a piece."""
    there = UNDONE not in listed.piece.gone
    return there and (box is None or listed.piece.box == box.id)


def _labelled(catalogue: Catalogue, reader: Reader, text: str) -> Iterator[tuple[int, str]]:
    del reader
    found = _LABEL.fullmatch(text)
    if found is None:
        return
    start = found[1].lower()
    rows = catalogue.rows(
        "select id from piece where uid >= :start and uid < :end limit 20",
        {"start": start, "end": start + "~"},
    )
    yield from ((row[0], "label") for row in rows)


def _own_number(catalogue: Catalogue, reader: Reader, text: str) -> Iterator[tuple[int, str]]:
    """Pieces that bear this number of the owner's, or one that it begins: `BR-00`."""
    del reader
    rows = catalogue.rows(
        "select id, own_number from piece where own_number <> ''"
        " and substr(own_number, 1, :long) = :text collate nocase"
        " order by length(own_number) > :long, own_number collate nocase, id limit :most",
        {"text": text, "long": len(text), "most": MOST_OF_EACH},
    )
    yield from ((row["id"], f"own number: {row['own_number']}") for row in rows)


def _numbered(catalogue: Catalogue, reader: Reader, text: str) -> Iterator[tuple[int, str]]:
    del reader
    found = _NUMBER.fullmatch(text)
    if found is None or not found[1].strip():
        return
    rows = catalogue.rows(
        "select piece.id from piece join box on box.id = piece.box_id"
        " where box.gone = '' and lower(box.name) = lower(?) and number = ?",
        (found[1].strip(), int(found[2])),
    )
    yield from ((row[0], "number in its box") for row in rows)


def _worded(catalogue: Catalogue, reader: Reader, text: str) -> Iterator[tuple[int, str]]:
    del reader
    for each in catalogue.pieces.search(text, limit=MOST_OF_EACH, gone=True):
        yield each.piece.id, "its words or marks"


def _marked(catalogue: Catalogue, reader: Reader, text: str) -> Iterator[tuple[int, str]]:
    if not _PART_OF_MARK.search(text):
        return
    try:
        found = find_by_mark(catalogue, reader.base, text, gone=True)
    except CatalogueProblem:  # these words are no mark
        return
    yield from ((each.piece.id, "a mark that may read so") for each in found)


def _seen(catalogue: Catalogue, reader: Reader, text: str) -> Iterator[tuple[int, str]]:
    """Pieces on which everything that the words say was seen, and still stands."""
    understood = reader.understand(text)
    if understood.not_understood:
        return
    wanted = [each for each in understood.observations if each.value and each.state == "seen"]
    named = understood.piece_type and not understood.type_by_part
    if named and not any(each.feature == "piece" for each in wanted):
        wanted.insert(0, Observation("piece", understood.piece_type))
    if not wanted:
        return
    held: set[int] | None = None
    for each in wanted:
        rows = catalogue.rows(_STANDING, {"feature": each.feature, "value": each.value})
        ids = {row[0] for row in rows}
        held = ids if held is None else held & ids
    because = ", ".join(f"{plain(each.feature)}: {plain(each.value)}" for each in wanted)
    yield from ((piece, because) for piece in sorted(held or ())[:MOST_OF_EACH])


def _made_by(catalogue: Catalogue, reader: Reader, text: str) -> Iterator[tuple[int, str]]:
    """Pieces whose latest reading names a maker that these words name."""
    words = text.casefold().split()
    named = {
        name: entry.title or name
        for name, entry in reader.base.makers.items()
        if all(word in f"{entry.title} {name}".casefold() for word in words)
    }
    if not named:
        return
    marks = ", ".join("?" * len(named))
    rows = catalogue.rows(
        f"select piece_id, maker from reading where maker in ({marks}) and maker_probability >= ?"
        " and id in (select max(id) from reading group by piece_id) limit ?",
        (*named, LIKELY, MOST_OF_EACH),
    )
    yield from ((row[0], f"maker: {named[row[1]]}") for row in rows)


def _stored(catalogue: Catalogue, reader: Reader, text: str) -> Iterator[tuple[int, str]]:
    """Pieces that lie at a place with these words in it."""
    del reader
    wanted = text.casefold()
    rows = catalogue.rows(
        "select piece_id, place from event where id in (select max(id) from event"
        " where kind = 'stored' and gone = '' group by piece_id) and place <> ''"
    )
    for row in rows:
        if wanted in str(row["place"]).casefold():
            yield row["piece_id"], f"stored: {row['place']}"


_STANDING = """
select distinct piece_id from seen where feature = :feature and value = :value
    and state = 'seen' and withdrawn = 0
    and not exists (select 1 from seen as later where later.corrects = seen.id)
"""
