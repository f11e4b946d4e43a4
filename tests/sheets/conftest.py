"""One knowledge base and reader for all tests of sheets, and pieces made up for them."""

from __future__ import annotations

import hashlib
from collections.abc import Callable

import pytest
from sheets_building import jpeg
from sheets_notes import NOTES
from shipped_base import shipped_base, shipped_reader

from markrules.knowledge.base import KnowledgeBase
from markrules.reading.reader import Reader, Request
from markrules.sheets.matter import Owner, SeenLine, SheetMatter, SheetPhoto
from markrules.tasks.gathering_for_sheets import marks_beside

LAST_YEAR = 2026


@pytest.fixture(scope="session")
def base() -> KnowledgeBase:
    return shipped_base()


@pytest.fixture(scope="session")
def reader(base: KnowledgeBase) -> Reader:
    return shipped_reader()


def photo(place: str = "front") -> SheetPhoto:
    data = jpeg()
    digest = hashlib.sha256(data).hexdigest()
    return SheetPhoto(data, "image/jpeg", 320, 240, digest, place, ((0.5, 0.5, place),))


MakeMatter = Callable[..., SheetMatter]


@pytest.fixture(scope="session")
def make_matter(reader: Reader) -> MakeMatter:
    """A function from a note, and fields to set, to the matter of a sheet."""

    def make(note: str, **fields: object) -> SheetMatter:
        reading = reader.read(Request(note=note))
        seen = tuple(
            SeenLine(each, "Invented Observer", "2026-06-14T10:00:00Z")
            for each in reading.observations
        )
        values: dict[str, object] = {
            "reading": reading,
            "base": reader.base,
            "seen": seen,
            "metals": reader.metals(reading.observations),
            "marks": marks_beside(reader, reading),
            "note": note,
            "account": reading.account,
            "made_on": "2026-06-15",
            **fields,
        }
        return SheetMatter(**values)  # type: ignore[arg-type]

    return make


@pytest.fixture(scope="session")
def whole(make_matter: MakeMatter) -> SheetMatter:
    """A piece of which everything is known that a sheet can show."""
    return make_matter(
        NOTES[0],
        told="It was bought in Vienna.",
        title="Red flower brooch",
        uid="abcdefghijklmnop",
        box="Invented tin",
        number=7,
        photos=(photo("front"), photo("back")),
        owners=(
            Owner("1930", "Vienna", "a shop", "bought new"),
            Owner("2026-05-02", "Springfield", "Invented Seller", "", True),
        ),
    )
