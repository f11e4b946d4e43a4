"""All that a sheet needs to know of one piece, gathered once: what follows from it is pure."""

from __future__ import annotations

from dataclasses import dataclass

from markrules.inference.observation import Observation
from markrules.inference.reading import Citation, Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.marks.metal import MetalReading


@dataclass(frozen=True, slots=True)
class SeenLine:
    """One thing seen: by whom, when (ISO 8601, may be empty), and on which photo (from 0)."""

    observation: Observation
    who: str = ""
    when: str = ""
    photo: int | None = None


@dataclass(frozen=True, slots=True)
class SheetPhoto:
    """A photo: its bytes (JPEG or PNG), size in pixels, and the place on the piece it shows.

    `digest` is the SHA-256 of the picture as kept, in hexadecimal, also where `data` is a smaller
    copy. `pins` are (x, y, words) with x and y from 0 to 1 from the upper left.
    """

    data: bytes
    media_type: str
    width: int
    height: int
    digest: str
    place: str = ""
    pins: tuple[tuple[float, float, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Owner:
    """One step in the chain of ownership, as it was recorded: when, where, from whom, a note."""

    when: str
    where: str
    who_from: str
    note: str
    of_box: bool = False


@dataclass(frozen=True, slots=True)
class MarkBeside:
    """A mark as read beside the mark as recorded, letter over letter.

    `read`, `agreement` and `struck` are lines that stand one below the other; `agreement` has
    the signs of `markrules.marks.alignment`. `recorded` is the mark as the rules hold it.
    """

    text: str
    maker: str
    recorded: str
    read: str
    agreement: str
    struck: str
    probability: float
    cites: tuple[Citation, ...] = ()


@dataclass(frozen=True, eq=False)
class SheetMatter:
    """One piece: what was seen, told and read of it, and the knowledge behind the reading.

    `uid` is the piece's own identifier, empty for a piece in no catalogue. `told` is what an
    owner or seller said. `made_on` is the date of the sheet (ISO 8601).
    """

    reading: Reading
    base: KnowledgeBase
    seen: tuple[SeenLine, ...] = ()
    metals: tuple[MetalReading, ...] = ()
    marks: tuple[MarkBeside, ...] = ()
    photos: tuple[SheetPhoto, ...] = ()
    owners: tuple[Owner, ...] = ()
    told: str = ""
    note: str = ""
    title: str = ""
    uid: str = ""
    box: str = ""
    number: int | None = None
    made_on: str = ""
