"""The list beside a piece: the pieces of its box as they are sorted, and where one is in it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode

from markrules.catalogue.records import Box, Listed, Piece
from markrules.catalogue.sorting import Choices, Sorting, bearer_of, decided_of, found_in
from markrules.catalogue.watching import beside, next_look, numbers_in
from markrules.frozen import dataclass
from markrules.inference.chances import percent
from markrules.telling.words import plain, shortened, years
from markrules.web.desk import Visit, whole
from markrules.web.keeping import read_and_keep
from markrules.web.worth import choice_words

AT_ONCE = 40
READING_SECONDS = 0.05
"""How long a page of a box may wait for readings; the rest follow."""
TITLE = 90

ASKED = {
    "state": "state",
    "decision": "decision",
    "type": "piece_type",
    "decade": "decade",
    "maker": "maker",
    "fault": "fault",
    "order": "order",
}
"""The fields of an address, and what they are in a sorting."""

STATE_WORDS = {
    "": "all in the box",
    "open": "nothing decided",
    "decided": "decided",
    "no-photo": "without a photo",
    "unknown-words": "with words not understood",
    "left": "left the box",
}
ORDER_WORDS = {
    "": "number",
    "years": "oldest first",
    "width": "least certain years first",
    "gain": "most to be learned first",
    "maker": "maker",
    "type": "kind",
    "decision": "undecided first",
}


@dataclass(frozen=True, slots=True)
class TrayRow:
    """A piece as a line of its box. `missing` says what would help most, in words."""

    piece: Piece
    title: str
    photo: str
    years: str
    maker: str
    decision: str
    missing: tuple[str, ...]
    more: str = ""

    @property
    def address(self) -> str:
        """The page of the piece, in the same sorting."""
        return f"/piece/{self.piece.uid}{self.more}"


@dataclass(frozen=True, slots=True)
class Tray:
    """The list of a box: its rows, and how far the sorting is.

    `found` of `total` pieces are wanted by the sorting; `place` is where the open piece is among
    them, from 1, or 0. `back` and `on` are where the pages of the list before and after begin.
    """

    box: Box
    rows: tuple[TrayRow, ...]
    sorting: Sorting
    more: str
    choices: Choices
    decided: int
    total: int
    found: int
    place: int = 0
    back: str = ""
    on: str = ""
    waiting: int = 0


def sorting_of(visit: Visit) -> Sorting:
    """The sorting that the address asks for."""
    asked = {field: visit.query.get(name, "").strip()[:100] for name, field in ASKED.items()}
    return Sorting(**asked)


def address_of(sorting: Sorting, **more: Any) -> str:
    """The sorting as the end of an address: `?state=open`, or empty."""
    asked = {name: getattr(sorting, field) for name, field in ASKED.items()}
    given = {name: value for name, value in {**asked, **more}.items() if value}
    return f"?{urlencode(given)}" if given else ""


def tray_at(visit: Visit, box: Box, piece: Piece | None = None) -> Tray:
    """The page of the list that holds the piece, or the one that the address asks for."""
    sorting = sorting_of(visit)
    ids, numbers = _found(visit, box, sorting)
    place = ids.index(piece.id) if piece is not None and piece.id in ids else -1
    start = place // AT_ONCE * AT_ONCE if place >= 0 else _start(visit, sorting, numbers)
    shown = ids[start : start + AT_ONCE]
    listed, waiting = _read(visit, shown)
    more = address_of(sorting)
    decided, total = decided_of(visit.catalogue, box)

    def page(at: int) -> str:
        here = numbers[at] if sorting.plain else at + 1
        return f"/box/{box.id}{address_of(sorting, **{'from': here})}"

    return Tray(
        box=box,
        rows=tuple(rows_of(visit, listed, more)),
        sorting=sorting,
        more=more,
        choices=visit.desk.lines.lately(visit.catalogue, box).choices,
        decided=decided,
        total=total,
        found=len(ids),
        place=place + 1,
        back=page(max(0, start - AT_ONCE)) if start else "",
        on=page(start + AT_ONCE) if start + AT_ONCE < len(ids) else "",
        waiting=waiting,
    )


@dataclass(frozen=True, slots=True)
class Near:
    """Where a piece is in its list: the addresses before and after it, and its place from 1."""

    before: str
    after: str
    place: int
    found: int


def near(visit: Visit, box: Box, piece: Piece) -> Near | None:
    """Where a piece is among those wanted, as the list beside it shows them; None if not there."""
    sorting = sorting_of(visit)
    more = address_of(sorting)
    if sorting.plain:
        if piece.gone:
            return None
        found = beside(visit.catalogue, box, piece)
        ends = [f"/piece/{uid}" if uid else "" for uid in (found.before, found.after)]
        return Near(ends[0], ends[1], found.place, found.pieces)
    lines = found_in(visit.desk.lines.lately(visit.catalogue, box).lines, sorting)
    ids = [each.id for each in lines]
    if piece.id not in ids:
        return None
    at = ids.index(piece.id)
    around = {
        place: f"/piece/{visit.catalogue.pieces.by_id(ids[place]).uid}{more}"
        for place in (at - 1, at + 1)
        if 0 <= place < len(ids)
    }
    return Near(around.get(at - 1, ""), around.get(at + 1, ""), at + 1, len(ids))


def own_row(visit: Visit, box: Box, piece: Piece) -> tuple[TrayRow, int, int]:
    """The line of one piece as it is now, and the decided and all pieces of its box."""
    listed = visit.catalogue.pieces.listed_by_id([piece.id])
    row = rows_of(visit, listed, address_of(sorting_of(visit)))[0]
    return row, *decided_of(visit.catalogue, box)


def _found(visit: Visit, box: Box, sorting: Sorting) -> tuple[list[int], list[int]]:
    """The row numbers and the numbers in the box of the pieces wanted, in their order."""
    if sorting.plain:
        return numbers_in(visit.catalogue, box)
    lines = found_in(visit.desk.lines.of(visit.catalogue, box).lines, sorting)
    return [each.id for each in lines], [each.number for each in lines]


def _start(visit: Visit, sorting: Sorting, numbers: Sequence[int]) -> int:
    """Where the page asked for begins: at a number of the box, or at a place of the list."""
    wanted = max(1, whole(visit.query.get("from", ""), "from", 1))
    if not sorting.plain:
        return min(wanted - 1, max(0, len(numbers) - 1))
    from bisect import bisect_left

    return min(bisect_left(numbers, wanted), max(0, len(numbers) - 1))


def _read(visit: Visit, ids: Sequence[int]) -> tuple[tuple[Listed, ...], int]:
    """The pieces with their readings, and how many are still to be read when nobody waits."""
    listed = visit.catalogue.pieces.listed_by_id(ids)
    stale = [each.piece.id for each in listed if not each.fresh]
    if not stale:
        return listed, 0
    waiting = read_and_keep(visit.desk.read_to_keep, visit.catalogue, stale, READING_SECONDS)
    visit.desk.keeper.later(waiting)
    return visit.catalogue.pieces.listed_by_id(ids), len(waiting)


def rows_of(visit: Visit, listed: Sequence[Listed], more: str = "") -> list[TrayRow]:
    """The lines of a list, with decisions and with what is missing."""
    return [_row(visit, each, more) for each in listed]


def _row(visit: Visit, listed: Listed, more: str) -> TrayRow:
    bearer = bearer_of(listed)
    maker = visit.base.makers.get(bearer.maker)
    how = "read in part" if bearer.in_part else "not in these rules"
    signed = f"“{bearer.signature}”, {how}" if bearer.signature else ""
    decisions = visit.catalogue.decisions.of(listed.piece)
    return TrayRow(
        piece=listed.piece,
        title=title_of(listed.piece),
        photo=listed.photo,
        years=years(listed.first_year, listed.last_year) if listed.first_year else "",
        maker=f"{maker.title}, {percent(listed.maker_probability)}" if maker else signed,
        decision=choice_words(decisions[-1].choice) if decisions else "",
        missing=_missing(visit, listed),
        more=more,
    )


def _missing(visit: Visit, listed: Listed) -> tuple[str, ...]:
    """Words not understood, no photo; and the look that would settle most, where one is kept."""
    wanted = []
    if listed.piece.not_understood:
        wanted.append("words not understood")
    if not listed.photo:
        wanted.append("no photo")
    feature = visit.base.features.get(next_look(visit.catalogue, listed.piece))
    if feature is not None:
        wanted.append(f"next look: {plain(feature.name)}")
    return tuple(wanted)


def title_of(piece: Piece) -> str:
    """The title, else the beginning of the note, else the number."""
    text = " ".join((piece.title or piece.note).split())
    return shortened(text, TITLE) if text else f"Piece {piece.number}"
