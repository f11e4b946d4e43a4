"""Names and marks behind a colon, before their lead word, and with how they are lettered."""

from __future__ import annotations

import pytest
from shipped_base import shipped_reader
from together import every_case

from markrules.reading.reader import Request

LEADS = ("marked", "signed", "stamped", "mark", "signature", "maker's mark", "maker")


def marks(note: str) -> list[str]:
    reading = shipped_reader().read(Request(note=note, next_looks=0))
    return [each.value for each in reading.observations if each.feature == "mark" and each.value]


@every_case("lead", LEADS)
@every_case("name", ["Grandstaff", "GRANDSTAFF", "grandstaff", "Quimbley & Dorsch"])
def test_a_name_behind_a_colon_is_read_whole(lead: str, name: str) -> None:
    assert marks(f"brooch, rhinestones, {lead}: {name}") == [name]


@every_case("text", ["750", "14K", "sterling", "made in france"])
def test_so_is_what_is_no_name(text: str) -> None:
    assert marks(f"brooch, marked: {text}") == [text]


@every_case("word", ["unknown", "Unknown", "none", "yes", "n/a", "see photo"])
@every_case("lead", ["marked", "maker", "signature"])
def test_an_answer_to_a_heading_is_no_name(lead: str, word: str) -> None:
    assert marks(f"brooch, {lead}: {word}") == []


@pytest.mark.parametrize("lead", ["marked", "signature", "maker's mark"])
def test_one_that_cannot_be_read_is_there(lead: str) -> None:
    assert marks(f"brooch, {lead}: illegible") == ["..."]


@pytest.mark.parametrize("lead", ["mark", "signed", "stamped on the clasp"])
def test_partners_before_their_lead_word_are_one_mark(lead: str) -> None:
    assert marks(f"brooch, Whiting & Davis {lead}") == ["Whiting & Davis"]


@pytest.mark.parametrize(
    "note",
    ["brooch, signed in script, Grandstaff", "Grandstaff in script, brooch", "made by grandstaff"],
)
def test_a_name_with_how_it_is_lettered_or_made_by(note: str) -> None:
    assert marks(note) == ["Grandstaff" if "Grand" in note else "grandstaff"]


def test_a_sign_takes_the_name_before_it() -> None:
    assert marks("brooch, Grandstaff (c)") == ["Grandstaff \N{COPYRIGHT SIGN}"]
    assert marks("Large brooch (c)") == ["\N{COPYRIGHT SIGN}"]


@pytest.mark.parametrize("rest", ["lovely colour", "Beautiful stones"])
def test_what_is_told_behind_the_lettering_is_no_name(rest: str) -> None:
    assert marks(f"brooch, signed in script, {rest}") == ["..."]  # a mark of which nothing is told


@every_case(
    "note",
    [
        "brooch, said to be by Trifari",
        "brooch, said to be Trifari",
        "brooch, told it is Hollycraft",
        "brooch, attributed to Hollycraft",
    ],
)
def test_what_is_only_told_weighs_little_and_not_nothing(note: str) -> None:
    """However it is said, and under whichever of its names the maker is listed."""
    reading = shipped_reader().read(Request(note=note, next_looks=0))
    shares = [each.probability for each in reading.makers if each.maker]
    assert len(shares) == 1
    assert 0.15 < shares[0] < 0.5
