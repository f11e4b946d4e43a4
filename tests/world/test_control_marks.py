"""Marks of states and offices in words against the years that published lists give them."""

from __future__ import annotations

from shipped_base import shipped_reader
from together import every_case

from markrules.reading.reader import Request

BOETTCHER = "D. Boettcher, Hallmarking Imports (order of 1904, changes of 1906, end of 1998)"
MARTENS = "Merkenlijst, Martens-Mulder Stichting"
WELDONS = "Irish silver commemorative hallmarks, Weldons of Dublin"
PIAC = "Changes of the Hungarian marks from 1 January 2016, Ékszer Piac"

PUBLISHED = [
    ("pendant, gold, sun's face import mark", 1904, 1906, BOETTCHER),
    ("brooch, silver, acorn import mark", 1904, 1962, BOETTCHER),
    ("ring, birmingham import triangle", 1904, 1998, BOETTCHER),
    ("brooch, gold, dutch dolphin mark", 1859, 1893, MARTENS),
    ("brooch, silver, dutch cursive i", 1906, 1953, MARTENS),
    ("brooch, silver, three castles 1988", 1988, 1988, WELDONS),
    ("bangle, 1916 anniversary mark", 2016, 2016, WELDONS),
    ("ring, hungarian letter a mark", 1999, 2005, PIAC),
    ("ring, hungarian letter b mark", 2006, 2015, PIAC),
]


@every_case(("note", "first", "last", "source"), PUBLISHED)
def test_a_mark_in_words_is_read_within_its_published_years(
    note: str, first: int, last: int, source: str
) -> None:
    found = shipped_reader().read(Request(note=note, next_looks=0))

    assert found.not_understood == ()
    assert any(each.feature == "hallmark-mark" for each in found.observations), source
    assert first <= found.date.range.first, source
    assert found.date.range.last <= last + 1, source  # letter years and stock run over


def test_like_marks_of_two_lands_are_told_apart() -> None:
    """Sources as above: the mark for imports is not the mark for home work."""
    reader = shipped_reader()

    home, brought = (
        {each.value for each in reader.read(Request(note=note, next_looks=0)).observations}
        for note in ("brooch, three crowns hallmark", "brooch, three crowns in an oval")
    )

    assert "swedish-crowns" in home
    assert "swedish-import-crowns" in brought
    assert "swedish-crowns" not in brought
