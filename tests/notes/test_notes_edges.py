"""Edges of reading notes that a small change of the program would move unseen."""

from __future__ import annotations

import pytest
from shipped_base import shipped_reader

from markrules.notes.vocabulary import HALLMARK_YEAR
from markrules.reading.reader import Request


def _seen(note: str) -> dict[str, str]:
    reading = shipped_reader().read(Request(note=note, next_looks=0))
    return {each.feature: each.value for each in reading.observations if each.state == "seen"}


@pytest.mark.parametrize(
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
