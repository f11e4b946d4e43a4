"""A weight or size that a listing tells, held against the one on record."""

from __future__ import annotations

import pytest
from shipped_base import shipped_reader
from together import every_case

from markrules.reading.reader import Request
from markrules.sheets.claims import Flag, check_text, rewritten

CLAIM = "another-measure"


def measured(note: str, text: str) -> list[Flag]:
    reader = shipped_reader()
    flags = check_text(reader.base, text, reader.read(Request(note=note)))
    return [flag for flag in flags if flag.claim == CLAIM]


@every_case(
    ("note", "text", "flagged"),
    [
        ("chain, weight 6.2 grams", "Chain. Weight 9.8g. Curb links.", ["9.8g"]),
        ("chain, weight 6.2 grams", "Chain. Weight 6.2g. Curb links.", []),
        ("chain, weight 6.2 grams", "Chain, about 6 g.", []),
        ("chain, weight 6.2 grams", "Chain, 6.4 grams on kitchen scales.", []),
        ("chain, weight 6.2 grams", "Chain, 8 grams on kitchen scales.", ["8 grams"]),
        ("chain, 41g", "Weighs 52g.", ["52g"]),
        # Other units, and what numbers are rounded by.
        ("necklace, 18 inches long", "Necklace, 45.7 cm long.", []),
        ("necklace, 18 inches long", "Necklace, 46 cm long.", []),
        ("necklace, 18 inches long", "Necklace, 60 cm long.", ["60 cm"]),
        ("brooch, 5 x 3 cm", "Brooch, 3 cm wide and 5 cm tall.", []),
        ("brooch, 5 x 3 cm", "Brooch, 7 cm tall.", ["7 cm"]),
        # Nothing on record, or of something else.
        ("chain, gold tone", "Weighs 52g, 60 cm long.", []),
        ("chain, 41g", "Chain, 60 cm long.", []),
        ("brooch, 5 cm long", "Brooch, 5 cm long, set with a 5 mm pearl.", []),
        ("chain, 41g", "Bought in 1980 for 52 pounds.", []),
    ],
)
def test_measures_that_are_told(note: str, text: str, flagged: list[str]) -> None:
    assert [flag.words for flag in measured(note, text)] == flagged


def test_the_measure_on_record_is_told_and_put_in() -> None:
    text = "Gold-coloured chain.\nWeight 9.8g."
    (flag,) = measured("chain, gold coloured, weight 6.2 grams", text)
    assert "6.2 grams" in flag.say
    assert (flag.line, text[flag.start : flag.end]) == (2, "9.8g")
    assert rewritten(text, [flag]) == "Gold-coloured chain.\nWeight 6.2 grams."


@pytest.mark.parametrize("text", ["9.8g " * 5000, "Weight 9.8g. " * 5000, "\x00 9,9,9 g ½½ g"])
def test_hostile_texts_end_soon(text: str) -> None:
    for flag in measured("chain, weight 6.2 grams", text):
        assert text[flag.start : flag.end] == flag.words
