"""What holds of every listed name of one word, wherever it stands in a note.

A listed name is no slip of the pen for another word, is the whole of a mark where the note says
that it is signed so, and ends before what the note tells next.
"""

from __future__ import annotations

import pytest
from notes_base import lines, shipped
from shipped_base import shipped_base

LOOKS_LIKE_TWO_WORDS = {"Castlemark"}  # a castle mark is that of Edinburgh


def names() -> list[str]:
    """Names of one word in Latin letters, five or more, as a title has them."""
    found = {
        text
        for maker in shipped_base().makers.values()
        for text in (maker.title.partition(" (")[0], *maker.also)
        if text.isascii() and text.isalpha() and len(text) > 4
    }
    assert len(found) > 300
    return sorted({each.capitalize() for each in found} - LOOKS_LIKE_TWO_WORDS)


def test_a_listed_name_in_a_title_is_no_slip_of_the_pen() -> None:
    wrong = {
        name: told.assumed
        for name in names()
        for told in (shipped(f"brooch, {name}"),)
        if any(" read as " in each for each in told.assumed)
    }

    assert wrong == {}


@pytest.mark.parametrize("pattern", ["brooch, signed {}, gilt", "gilt brooch signed {}"])
def test_a_signed_name_is_the_whole_mark(pattern: str) -> None:
    wrong = {}
    for name in names():
        told = lines(shipped(pattern.format(name)))
        marks = [each for each in told if each.startswith("mark=")]
        if marks != [f"mark={name}"] or "finish=gilt" not in told:
            wrong[name] = told

    assert wrong == {}
