"""The pieces of a box as a person sorts them: found by what is known of them, and put in order.

One query reads a light line for each piece; what is asked of it is worked out here, so that a
filter, an order and the choices offered always agree.
"""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from markrules.catalogue.problems import BrokenRow, CatalogueProblem
from markrules.catalogue.records import Box, Listed
from markrules.catalogue.store import Catalogue
from markrules.frozen import dataclass
from markrules.named_tuple import NamedTuple

LIKELY = 0.5
"""A maker at least this likely is named in lists and found by its name."""


class Bearer(NamedTuple):
    """What a list says of who made a piece: the entry name of a maker, or else a signature, as a
    text that is in no list or was read `in_part`. All empty where there is nothing to say.
    """

    maker: str = ""
    signature: str = ""
    in_part: bool = False


def bearer_of(listed: Listed) -> Bearer:
    """Who is named beside a piece in a list: nobody who is less than `LIKELY`."""
    if listed.maker and listed.maker_probability >= LIKELY:
        return Bearer(listed.maker)
    if listed.unlisted:
        return Bearer(signature=listed.unlisted)
    return Bearer(signature=listed.in_part, in_part=bool(listed.in_part))


class BoxLine(NamedTuple):
    """A piece as it is sorted. `decade` is that of the middle of its years; None where unread."""

    id: int
    number: int
    gone: bool
    first: int | None
    last: int | None
    maker: str
    gain: float
    piece_type: str
    faults: tuple[str, ...]
    decision: str
    photo: bool
    unknown: bool

    @property
    def decade(self) -> int | None:
        """The first year of the decade in which the middle of its years lies."""
        if self.first is None or self.last is None:
            return None
        return (self.first + self.last) // 20 * 10


@dataclass(frozen=True, slots=True)
class Sorting:
    """Which pieces of a box are wanted, and in which order; empty fields ask for nothing.

    `state` is one of `STATES`, `order` one of `ORDERS`, `decade` the first year of one.
    """

    state: str = ""
    decision: str = ""
    piece_type: str = ""
    decade: str = ""
    maker: str = ""
    fault: str = ""
    order: str = ""

    @property
    def plain(self) -> bool:
        """Whether every piece of the box is wanted, in the order of the numbers."""
        return self == Sorting()


@dataclass(frozen=True, slots=True)
class Choices:
    """What the pieces of a box can be found by: values with the number of their pieces."""

    decisions: tuple[tuple[str, int], ...]
    types: tuple[tuple[str, int], ...]
    decades: tuple[tuple[str, int], ...]
    makers: tuple[tuple[str, int], ...]
    faults: tuple[tuple[str, int], ...]


STATES: dict[str, Callable[[BoxLine], bool]] = {
    "": lambda line: not line.gone,
    "open": lambda line: not line.gone and not line.decision,
    "decided": lambda line: not line.gone and bool(line.decision),
    "no-photo": lambda line: not line.gone and not line.photo,
    "unknown-words": lambda line: not line.gone and line.unknown,
    "left": lambda line: line.gone,
}

_LATE = 9999
ORDERS: dict[str, Callable[[BoxLine], Any]] = {
    "": lambda line: line.number,
    "years": lambda line: (line.first or _LATE, line.last or _LATE),
    "width": lambda line: -((line.last or _LATE) - (line.first or 0)),
    "gain": lambda line: -line.gain,
    "maker": lambda line: (not line.maker, line.maker),
    "type": lambda line: (not line.piece_type, line.piece_type),
    "decision": lambda line: (bool(line.decision), line.decision),
}

_LINES = """
select piece.id, piece.number, piece.gone <> '' as gone, piece.not_understood <> '[]' as unknown,
    reading.first_year, reading.last_year, reading.maker, reading.maker_probability,
    reading.gain_bits, reading.piece_type, reading.faults,
    (select choice from decision where piece_id = piece.id and decision.gone = ''
        order by decision.id desc limit 1) as choice,
    exists (select 1 from photo where photo.piece_id = piece.id and photo.gone = '') as photo
from piece left join reading on reading.id =
    (select max(id) from reading as other where other.piece_id = piece.id)
where piece.box_id = ? order by piece.number
"""


def lines_of_box(catalogue: Catalogue, box: Box) -> list[BoxLine]:
    """Every piece of a box, those that left it too, by their numbers."""
    return catalogue.each(_line, catalogue.rows(_LINES, (box.id,)))


def _line(row: sqlite3.Row) -> BoxLine:
    """A line of a row. Raises BrokenRow, with its number, where the row holds other things."""
    try:
        return BoxLine(
            int(row["id"]),
            int(row["number"]),
            bool(row["gone"]),
            row["first_year"] and int(row["first_year"]),
            row["last_year"] and int(row["last_year"]),
            str(row["maker"]) if float(row["maker_probability"] or 0.0) >= LIKELY else "",
            float(row["gain_bits"] or 0.0),
            str(row["piece_type"] or ""),
            tuple((row["faults"] or "").split()),
            str(row["choice"] or ""),
            bool(row["photo"]),
            bool(row["unknown"]),
        )
    except (ValueError, TypeError, AttributeError, OverflowError):
        raise BrokenRow(f"piece with row number {row['id']!r}: its line cannot be read") from None


def found_in(lines: Iterable[BoxLine], wanted: Sorting) -> list[BoxLine]:
    """The lines that are wanted, in the order asked. Raises CatalogueProblem for an unknown one."""
    if wanted.state not in STATES:
        raise CatalogueProblem(f'no pieces are found by the state "{wanted.state[:40]}"')
    if wanted.order not in ORDERS:
        raise CatalogueProblem(f'pieces cannot be put in the order "{wanted.order[:40]}"')
    stands = STATES[wanted.state]
    found = [each for each in lines if stands(each) and _fits(each, wanted)]
    return sorted(found, key=ORDERS[wanted.order]) if wanted.order else found


def _fits(line: BoxLine, wanted: Sorting) -> bool:
    return (
        (not wanted.decision or line.decision == wanted.decision)
        and (not wanted.piece_type or line.piece_type == wanted.piece_type)
        and (not wanted.decade or str(line.decade) == wanted.decade)
        and (not wanted.maker or line.maker == wanted.maker)
        and (not wanted.fault or wanted.fault in line.faults)
    )


def choices_in(lines: Sequence[BoxLine]) -> Choices:
    """What the pieces can be found by, the most frequent first; decades by year."""
    there = [each for each in lines if not each.gone]
    decades = Counter(str(each.decade) for each in there if each.decade is not None)
    return Choices(
        _counted(each.decision for each in there),
        _counted(each.piece_type for each in there),
        tuple(sorted(decades.items())),
        _counted(each.maker for each in there),
        _counted(fault for each in there for fault in each.faults),
    )


def _counted(values: Iterable[str]) -> tuple[tuple[str, int], ...]:
    return tuple(Counter(each for each in values if each).most_common())


def decided_of(catalogue: Catalogue, box: Box) -> tuple[int, int]:
    """How many pieces of a box have a decision, and how many there are."""
    row = catalogue.rows(
        "select count(*), coalesce(sum(exists (select 1 from decision where"
        " decision.piece_id = piece.id and decision.gone = '')), 0)"
        " from piece where box_id = ? and gone = ''",
        (box.id,),
    )[0]
    return int(row[1]), int(row[0])
