"""Edges of reading notes that a small change of the program would move unseen."""

from __future__ import annotations

import pytest
from shipped_base import shipped_reader
from together import every_case

from markrules.notes.vocabulary import HALLMARK_YEAR
from markrules.reading.reader import Request


def _seen(note: str) -> dict[str, str]:
    reading = shipped_reader().read(Request(note=note, next_looks=0))
    return {each.feature: each.value for each in reading.observations if each.state == "seen"}


@every_case(
    ("note", "of_the_hallmark"),
    [
        ("silver brooch, Chester 1909", True),
        ("silver brooch, hallmarked Birmingham 1924", True),
        ("Chester 1909, silver brooch", True),
        ("silver brooch, bought in Chester 1909", False),
        ("silver brooch from Chester 1909", False),
        ("silver brooch, Chester, in 1909", False),
    ],
)
def test_a_year_is_of_a_hallmark_right_behind_its_office(note: str, of_the_hallmark: bool) -> None:
    assert (HALLMARK_YEAR in _seen(note)) is of_the_hallmark


@pytest.mark.parametrize("note", ["brooch, GERMAN silver", "old pin with SAFETY catch"])
def test_capitals_within_a_phrase_that_the_rules_know_are_no_mark(note: str) -> None:
    seen = _seen(note)
    assert "mark" not in seen
    assert len(seen) >= 1


def test_the_word_before_a_text_is_one_of_the_rules() -> None:
    reader = shipped_reader()
    leading = {
        text
        for wording in reader.base.wordings.values()
        if wording.role == "mark"
        for text in wording.words
    }
    assert reader.vocabulary.mark_word in leading
    assert _seen(f"brooch, {reader.vocabulary.mark_word} QUELLBORN")["mark"] == "QUELLBORN"


def seen_years(note: str) -> list[tuple[int, int]]:
    found = shipped_reader().understand(note).observations
    return [each.years for each in found if each.years is not None]


@every_case(
    ("words", "years"),
    [
        ("made in the 1950s", [(1950, 1959)]),
        ("50s", [(1950, 1959)]),
        ("'60s", [(1960, 1969)]),
        ("1900s", [(1900, 1999)]),
        ("1955-60", [(1955, 1960)]),
        ("1955-1960", [(1955, 1960)]),
        ("1960-55", [(1960, 1960)]),
        ("1955-1950", [(1955, 1955), (1950, 1950)]),
        ("1990-2150", [(1990, 1990)]),
    ],
)
def test_a_decade_is_no_year_and_a_range_never_runs_backwards(
    words: str, years: list[tuple[int, int]]
) -> None:
    note = f"brooch, {words}"
    assert seen_years(note) == years
    values = [
        each.value
        for each in shipped_reader().understand(note).observations
        if each.years is not None
    ]
    assert values == [str(a) if a == b else f"{a}-{b}" for a, b in years]


@every_case(
    ("words", "fault", "number"),
    [
        ("2 missing", "missing-stones", 2),
        ("missing 2", "missing-stones", 2),
        ("about 3 missing", "missing-stones", 3),
        ("2 of them missing", "missing-stones", 2),
        ("clear stones, 2 of them missing", "missing-stones", 2),
        ("2 cm wide missing stones", "missing-stones", None),
        ("2 parts, missing stones", "missing-stones", None),
        ("2 replaced", "replaced-part", 2),
    ],
)
def test_a_number_beside_missing_counts_what_is_missing(
    words: str, fault: str, number: int | None
) -> None:
    found = shipped_reader().understand(f"brooch, {words}").observations
    assert [(e.value, e.number) for e in found if e.feature == "fault"] == [(fault, number)]
