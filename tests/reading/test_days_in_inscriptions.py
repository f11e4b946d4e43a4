"""A day that was cut in among names dates its piece as a gift's year does, and is no copyright."""

from __future__ import annotations

import pytest
from shipped_base import shipped_reader
from together import every_case

from markrules.reading.reader import Request


def _clues(note: str) -> set[str]:
    read = shipped_reader().read(Request(note=note))
    return {each.clue for each in read.clues}


@pytest.mark.parametrize(
    "note",
    [
        'wedding band engraved inside "JH to MR 6-12-31"',
        'ring, inside "A.B. 12/25/45"',
        'bracelet engraved "Mary 4/7/62"',
        "ring, inside engraved 'Love Always 3-6-54'",
        "ring, inside: M.E.K. to J.B.R. June 4 1919",
        'locket engraved "From Bob, Xmas 25.12.1944"',
    ],
)
def test_a_day_among_names_was_cut_in(note: str) -> None:
    clues = _clues(note)
    assert "inscribed-year-read" in clues
    assert "copyright-year-read" not in clues


@pytest.mark.parametrize("note", ["brooch, marked JJ 1988", "brooch marked TRIFARI © 1955"])
def test_a_year_alone_beside_a_maker_is_of_the_design(note: str) -> None:
    clues = _clues(note)
    assert "copyright-year-read" in clues
    assert "inscribed-year-read" not in clues


def test_a_day_in_figures_is_rather_of_the_last_century() -> None:
    """The share of the rules, by hand: one of before 1900 in so many of a hundred."""
    reader = shipped_reader()
    share = reader.base.setting("number-old-figures")
    mark = next(
        each for each in reader.decode("A.B. 12/25/45").observations if each.years == (1845, 1945)
    )
    assert dict(mark.weights) == pytest.approx({1845: share, 1945: 1 - share})
    in_words = reader.decode("A.B. 25 Dec 45").observations[0]
    assert dict(in_words.weights) == pytest.approx({1845: 0.5, 1945: 0.5})


@every_case(
    ("text", "feature"),
    [
        ("JH 6-12-31", "inscribed-year"),
        ("AB 1888", "inscribed-year"),  # before the American law of 1909
        ("JJ 1988", "copyright-year"),
        ("PAT. MAR 31 1931", "patent-date"),
    ],
)
def test_a_text_alone_is_taken_as_in_a_note(text: str, feature: str) -> None:
    assert [each.feature for each in shipped_reader().decode(text).observations] == [feature]
