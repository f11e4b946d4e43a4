"""All that a sheet needs to know of one piece, gathered once: what follows from it is pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import field

from markrules.frozen import dataclass
from markrules.inference.reading import Citation, Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Accounted, Observation
from markrules.language.tree import Cite
from markrules.marks.metal import MetalReading
from markrules.telling.words import visible


@dataclass
class Footnotes:
    """Numbers sources. `base` adds what a reading does not carry: author, year, where to find."""

    base: KnowledgeBase
    numbers: dict[tuple[str, str], int] = field(default_factory=dict)
    texts: list[str] = field(default_factory=list)

    def numbers_of(self, cites: Iterable[Citation]) -> list[int]:
        """The numbers of the citations, each once."""
        found = [self._number(each.source, each.place, each.title) for each in cites]
        return list(dict.fromkeys(found))

    def _number(self, name: str, place: str, title: str) -> int:
        key = (name, place)
        if key not in self.numbers:
            self.numbers[key] = len(self.numbers) + 1
            self.texts.append(visible(self._text(name, place, title)))
        return self.numbers[key]

    def _text(self, name: str, place: str, title: str) -> str:
        source = self.base.sources.get(name)
        if source is None:
            return ", ".join(part for part in (title, place) if part)
        year = str(source.year) if source.year and str(source.year) not in source.title else ""
        author = source.author if source.author not in source.title else ""
        parts = (author, source.title, source.where, year, place)
        return ", ".join(part for part in parts if part)


def citations(base: KnowledgeBase, cites: Iterable[Cite]) -> tuple[Citation, ...]:
    """Citations of an entry in the form in which a reading gives them."""
    return tuple(
        Citation(each.source.name, source.title if source else each.source.name, each.place, kind)
        for each in cites
        for source in (base.sources.get(each.source.name),)
        for kind in (source.kind if source else "",)
    )


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
    owner or seller said. `made_on` is the date of the sheet (ISO 8601). With `people`, names of
    people and their addresses are shown on what is made of it. `of_set` is the name of the set
    that the piece belongs to, `mates` what the others of it are. `account` tells of every word of
    the note what became of it.
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
    people: bool = False
    of_set: str = ""
    mates: tuple[str, ...] = ()
    account: tuple[Accounted, ...] = ()
