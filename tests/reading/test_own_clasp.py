"""A clasp of one's own beside the shipped ones: understood, dated, told, offered, exclusive."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from markrules.book.book import Book
from markrules.inference.reading import Reading
from markrules.knowledge.conditions import Facts, evaluate
from markrules.knowledge.loading import load
from markrules.knowledge.places import cache_folder, shipped_rules
from markrules.language.conditions import Is
from markrules.reading.reader import Reader, Request
from markrules.tasks.looking import ALL_LOOKS
from markrules.tasks.questions import offer_of

LAST_YEAR = 2026
VALUE = "clasp/stamped-bow"
OWN = """more clasp
    value stamped-bow "a stamped bow"
        also  "ribbon knot closer"
    value lobster-clasp
        also  "crayfish closer"

more necklace
    kind  piece
    also  "throat band"

clue grandmothers-bow
    when   clasp is stamped-bow
    made   mostly 1921 to 1926
    trust  moderate
    why    "On three dated pieces of one family."
    cite   from-memory
"""


@pytest.fixture(scope="module")
def reader() -> Iterator[Reader]:
    with tempfile.TemporaryDirectory() as held:
        (Path(held) / "family.rules").write_text(OWN, encoding="utf-8")
        base, problems = load([shipped_rules(), Path(held)], cache_folder=cache_folder())
        assert [each for each in problems if "family" in each.place.file] == []
        yield Reader(base, LAST_YEAR)


def read(reader: Reader, note: str, looks: int = 0) -> Reading:
    return reader.read(Request(note, next_looks=looks))


def seen(reading: Reading) -> set[tuple[str, str | None]]:
    return {(each.feature, each.value) for each in reading.observations}


@pytest.mark.parametrize("words", ["stamped bow", "ribbon knot closer", "a stamped bow clasp"])
def test_it_is_understood_dated_and_told(reader: Reader, words: str) -> None:
    reading = read(reader, f"necklace, {words}")

    assert ("clasp", "stamped-bow") in seen(reading)
    assert "grandmothers-bow" in {each.clue for each in reading.clues}
    assert 1915 < reading.date.range.first <= 1921
    assert 1926 <= reading.date.range.last < 1932


def test_it_shuts_the_other_clasps_out(reader: Reader) -> None:
    reading = read(reader, "necklace, stamped bow")
    facts = Facts(reading.observations, reader.base, reading.piece_type)
    others = [
        each.when
        for each in reader.base.clues.values()
        if isinstance(each.when, Is)
        and each.when.feature.name == "clasp"
        and "stamped-bow" not in {name.name for name in each.when.values}
    ]

    assert len(others) > 5
    assert {evaluate(each, facts, reading.findings) for each in others} == {False}


def test_it_is_offered_where_the_clasp_is_asked_for(reader: Reader) -> None:
    looks = read(reader, "necklace, glass beads", ALL_LOOKS).next
    assert "clasp" in {each.feature for each in looks}

    offer = offer_of(reader.base, reader.base.features["clasp"])
    grouped = [each for group in offer.groups for each in group.values]

    assert "stamped-bow" in {each.name for each in (*grouped, *offer.common, *offer.rare)}


def test_further_words_lead_to_what_is_shipped(reader: Reader) -> None:
    assert ("clasp", "lobster-clasp") in seen(read(reader, "throat band, crayfish closer"))
    assert read(reader, "throat band, crayfish closer").piece_type == "necklace"


def test_the_book_tells_of_it(reader: Reader) -> None:
    held = Book(reader.base, LAST_YEAR).addresses

    pages = {held[each].split("#")[0] for each in (("value", VALUE), ("feature", "clasp"))}
    assert len(pages) == 1
    assert ("clue", "grandmothers-bow") in held
    assert {("more", "clasp"), ("more", "necklace")} <= held.keys()
