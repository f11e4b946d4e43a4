"""A maker's name that nobody read off the piece: said, or standing before the piece's type."""

from __future__ import annotations

import re

import pytest
from samples import some_of
from shipped_base import shipped_base, shipped_reader

from markrules.reading.reader import Request

LEFT = re.compile(r"\s*\(.*\)")


def _first(note: str) -> float:
    """The probability of the listed maker who comes first."""
    makers = shipped_reader().read(Request(note, next_looks=0)).makers
    return max((each.probability for each in makers if each.maker), default=0.0)


def _titles() -> list[str]:
    titles = (LEFT.sub("", each.title) for each in shipped_base().makers.values())
    # A comma, and initials that mean hallmark (H. M.), part a name from what stands before it.
    whole = (each for each in titles if not set(each) & set(";/,") and not each.startswith("H. M."))
    return some_of(whole, least=60)


def test_a_name_before_the_piece_is_never_as_sure_as_one_that_was_read() -> None:
    """Of makers with marks and without: 98 in 100 at most, and that where clues agree with it."""
    surest = {title: _first(f"{title.lower()} brooch") for title in _titles()}

    assert {title: p for title, p in surest.items() if p > 0.985} == {}
    assert sum(p > 0 for p in surest.values()) > 0.6 * len(surest)


def test_hearsay_by_itself_leads_to_no_maker_above_even_odds() -> None:
    surest = {title: _first(f"brooch, said to be {title}") for title in _titles()}

    assert {title: p for title, p in surest.items() if p > 0.55} == {}
    assert sum(p > 0 for p in surest.values()) > 0.6 * len(surest)


@pytest.mark.parametrize(
    "words", ["{} style brooch", "brooch in the style of {}", "{} inspired brooch"]
)
def test_what_is_in_the_style_of_a_maker_bears_no_mark(words: str) -> None:
    """Names that the rules also ask marks for are names all the same."""
    names = ("georg jensen", "david andersen", "chanel", "trifari", "miriam haskell")

    assert {name: _first(words.format(name)) for name in names} == dict.fromkeys(names, 0.0)


@pytest.mark.parametrize(
    ("note", "maker"),
    [
        ("brooch marked Geo. W. Shiebler, sterling", "shiebler"),
        ("brooch, signed Wm. B. Kerr, sterling", "kerr"),
    ],
)
def test_a_shortened_name_ends_no_sentence(note: str, maker: str) -> None:
    makers = shipped_reader().read(Request(note, next_looks=0)).makers

    assert makers[0].maker == maker
    assert makers[0].probability > 0.9
