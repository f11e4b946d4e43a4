"""A name that somebody said stands beside how the marks look, and is heard once."""

from __future__ import annotations

import pytest
from shipped_base import shipped_reader
from together import every_case

from markrules.reading.reader import Request


def _share(note: str, maker: str) -> float:
    reading = shipped_reader().read(Request(note=note, next_looks=0))
    return sum(each.probability for each in reading.makers if each.maker == maker)


@pytest.mark.parametrize("look", ["crown mark", "script mark", "oval plaque"])
def test_a_told_name_is_not_lost_beside_a_look(look: str) -> None:
    told = "my aunt said it was Trifari"
    plain = _share(f"brooch, {look}", "trifari")
    assert _share(f"brooch, {look}, {told}", "trifari") > max(2 * plain, 0.05)


def test_the_same_name_said_by_two_is_heard_once() -> None:
    one = _share("brooch, my aunt said it was Trifari", "trifari")
    two = _share("brooch, my aunt said it was Trifari, the seller said Trifari", "trifari")
    assert 0 < two == pytest.approx(one, abs=0.02)


def _says(note: str, name: str) -> bool:
    found = shipped_reader().read(Request(note=note, next_looks=0)).misleading
    return any(each.name == name for each in found)


def _against(note: str) -> bool:
    return _says(note, "told-of-one-maker-and-signed-by-another")


@pytest.mark.parametrize(
    ("note", "others"),
    [
        ("brooch, marked DA, sold as Trifari", True),
        ("ring, marked GJ, sold as Georg Jensen", False),
        ("ring, marked GJ", False),
    ],
)
def test_initials_are_given_to_no_maker_whose_they_are_not_known_to_be(
    note: str, others: bool
) -> None:
    assert _says(note, "initials-given-to-a-maker") == others


@pytest.mark.parametrize(
    "note",
    [
        "brooch, sold as Trifari, marked MONET",
        "brooch, attributed to Miriam Haskell, signed ZORBLAX",
    ],
)
def test_a_told_maker_is_held_against_the_name_on_the_piece(note: str) -> None:
    assert _against(note)


@every_case(
    "note",
    [
        "brooch, sold as Trifari, marked TRIFARI PAT PEND",
        "brooch, sold as Haskell, marked MIRIAM HASKELL",
        "brooch, sold as Trifari, marked T",
        "brooch, sold as Trifari, marked STERLING",
        "brooch, sold as Trifari, marked MADE IN FRANCE",
        "brooch, sold as Zorblax, marked MONET",
        "brooch, marked MONET",
    ],
)
def test_the_same_name_and_what_names_nobody_speak_for_no_other_maker(note: str) -> None:
    assert not _against(note)


def test_a_maker_who_is_named_stands_for_all_its_marks() -> None:
    # The mark that is spelled like the title was used to 1940, another one from 1958.
    reader = shipped_reader()
    named = reader.read(Request(note="Henkel & Grosse brooch", next_looks=0)).date.range
    mark = Request(note="brooch", marks=("HENKEL & GROSSE",), next_looks=0)
    assert named.last >= 1958
    assert named.last >= reader.read(mark).date.range.last


@every_case("name", ["Georg Jensen", "David Andersen", "Boucher", "Trifari"])
def test_a_name_before_the_piece_is_asked_about(name: str) -> None:
    """Also where some rule looks for that very text on a piece."""
    assert 0.05 < _share(f"{name} brooch", "") < 0.2


@pytest.mark.parametrize(
    ("text", "maker"), [("GEORG JENSEN", "georg-jensen"), ("NAPIER", "napier")]
)
def test_a_mark_of_the_name_alone_may_be_one_that_is_not_listed(text: str, maker: str) -> None:
    """The maker's years count beside those of its listed marks, which are shown all the same."""
    reader = shipped_reader()
    found = reader.read(Request(note="brooch", marks=(text,), next_looks=0)).makers[0]
    assert found.maker == maker
    assert found.mark_text
    evidence = reader.marks.evidence(text)
    assert "" in {each.mark for each in evidence.candidates if each.maker == maker}
