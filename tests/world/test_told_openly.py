"""What a seller openly tells of upkeep is told back and raises no alarm, nor does description.

The notes are invented, in the manner of shops and letters.
"""

from __future__ import annotations

import pytest
from shipped_base import shipped_reader
from together import every_case

from markrules.inference.reading import MisleadingReading
from markrules.reading.reader import Request
from markrules.telling.misleading import misleading_words


def misleading(note: str) -> tuple[MisleadingReading, ...]:
    return shipped_reader().read(Request(note=note, next_looks=0)).misleading


@every_case(
    "note",
    [
        "bead necklace, restrung",
        "amber necklace, new clasp",
        "pearl necklace, professionally restrung last year with a new silver clasp",
        "pendant, chain added later",
        "gold locket, comes on a later chain",
        "jade pendant on a modern silver chain",
        "bead necklace, Czech glass, the clasp has been replaced",
        "earrings with new hooks, glass drops",
        "earrings, hooks replaced with new sterling ones",
    ],
)
def test_upkeep_that_is_told_openly_is_told_back(note: str) -> None:
    found = misleading(note)

    assert not [each.name for each in found if each.stated]
    assert any(each.openly_told and ": as told, " in misleading_words(each) for each in found)


@pytest.mark.parametrize(
    "note",
    [
        "Victorian bracelet, the clasp does not match the links, brighter and cast",
        "brooch, the C-catch has been exchanged for a roll-over safety catch",
    ],
)
def test_a_tell_tale_is_no_open_telling_of_upkeep(note: str) -> None:
    assert any(each.stated for each in misleading(note))


@every_case(
    "note",
    [
        "Gold knot brooch, two strands of the knot are polished whilst the other two are engraved",
        "Crown brooch marked Trifari. The firm was founded in New York in 1910 by Gustavo Trifari.",
        "Silver daisy brooch. Anton Michelsen established his company in Copenhagen in 1841.",
        "Celluloid bead necklace. Celluloid was patented in 1868 and was an early plastic.",
        "Gold bracelet, glass beads, the yellow beads are acrylic",
        "Pin in sterling, hallmarks Birmingham 1977 and Jubilee head",
        "Garnet locket brooch, it may also have been worn with a chatelaine",
        "Glass brooch, jewelry of this kind was often not marked, sold as Bohemian",
    ],
)
def test_plain_description_raises_no_alarm(note: str) -> None:
    assert not [each.name for each in misleading(note) if each.stated]


def test_the_patent_of_a_material_is_no_year_of_the_piece() -> None:
    told = "Celluloid bead necklace. Celluloid was patented in 1868 and was an early plastic."
    plain = "Celluloid bead necklace."

    first, other = (
        shipped_reader().read(Request(note=each, next_looks=0)).date for each in (told, plain)
    )

    assert abs(first.median - other.median) < 10
