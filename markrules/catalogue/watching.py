"""What a page that stays open asks of the catalogue: whether anything changed, and what is beside.

Each is one small query, so that it can be asked every few seconds.
"""

from __future__ import annotations

from markrules.catalogue.records import Box, Piece
from markrules.catalogue.store import Catalogue
from markrules.frozen import dataclass


def state_of(catalogue: Catalogue) -> tuple[int, int]:
    """Two numbers, of which one grows with every step and every reading that is kept."""
    row = catalogue.rows(
        "select coalesce((select max(id) from step), 0), coalesce((select max(id) from reading), 0)"
    )[0]
    return int(row[0]), int(row[1])


def version_of(catalogue: Catalogue, piece: Piece) -> str:
    """A text that changes with anything kept of the piece."""
    row = catalogue.rows(_VERSION, {"id": piece.id})[0]
    return ".".join(map(str, row))


def last_at(catalogue: Catalogue, piece: Piece) -> str:
    """Who wrote the last line of the piece's log; empty where nobody gave a name."""
    row = catalogue.row(
        "select who from seen where piece_id = ? order by id desc limit 1", (piece.id,)
    )
    return str(row["who"]) if row is not None and row["who"] else ""


def touched_by(catalogue: Catalogue, step: int, most: int = 500) -> list[int]:
    """Row numbers of the pieces to whose logs a step wrote."""
    rows = catalogue.rows(
        "select distinct piece_id from seen where step_id = ? limit ?", (step, most)
    )
    return [row[0] for row in rows]


def numbers_in(catalogue: Catalogue, box: Box) -> tuple[list[int], list[int]]:
    """The row numbers of the pieces that are in a box, and their numbers in it, in their order."""
    rows = catalogue.rows(
        "select id, number from piece where box_id = ? and gone = '' order by number", (box.id,)
    )
    return [row[0] for row in rows], [row[1] for row in rows]


@dataclass(frozen=True, slots=True)
class Neighbours:
    """The identifiers of the pieces before and after one in its box, empty at an end; its place
    among them, from 1, and how many there are."""

    before: str
    after: str
    place: int
    pieces: int


def beside(catalogue: Catalogue, box: Box, piece: Piece) -> Neighbours:
    """What is before and after a piece in the order of the numbers."""
    row = catalogue.rows(_BESIDE, {"box": box.id, "number": piece.number})[0]
    return Neighbours(row[0] or "", row[1] or "", row[2], row[3])


def next_look(catalogue: Catalogue, piece: Piece) -> str:
    """The feature that the piece's latest reading would look at next; empty where it has none."""
    row = catalogue.row(
        "select json_extract(data, '$.next[0].feature') from reading where piece_id = ?"
        " and json_valid(data) order by id desc limit 1",
        (piece.id,),
    )
    return str(row[0]) if row is not None and row[0] else ""


_VERSION = """
select (select coalesce(max(id), 0) from seen where piece_id = :id),
    (select count(*) from photo where piece_id = :id and gone = ''),
    (select coalesce(max(id), 0) from photo where piece_id = :id),
    (select count(*) from decision where piece_id = :id and gone = ''),
    (select coalesce(max(id), 0) from decision where piece_id = :id),
    (select coalesce(max(id), 0) from event where piece_id = :id and gone = ''),
    (select coalesce(max(id), 0) || '-' || count(*) from sale
        where piece_id = :id and gone = '' and returned = ''),
    (select length(title) + length(told) + length(not_understood) + length(gone)
        from piece where id = :id)
"""

_BESIDE = """
select (select uid from piece where box_id = :box and gone = '' and number < :number
        order by number desc limit 1),
    (select uid from piece where box_id = :box and gone = '' and number > :number
        order by number limit 1),
    (select count(*) from piece where box_id = :box and gone = '' and number <= :number),
    (select count(*) from piece where box_id = :box and gone = '')
"""
