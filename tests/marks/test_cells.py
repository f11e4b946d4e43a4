"""The places of a mark one by one, and the text that they stand for."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import samples
from together import every_case
from worn_marks import NUMBERS_ALONE

from markrules.marks.cells import Cells, cells_of, look_alikes, text_of
from markrules.marks.reading_syntax import MarkSyntaxError, parse


@every_case(
    ("text", "places"),
    [
        ("TR?F...", ("T", "R", "?", "F", "...")),
        ("[C>G>O]IRO", ("CGO", "I", "R", "O")),
        ("STER[LI]ING / CO", ("S", "T", "E", "R", "L=I", "I", "N", "G", "/", "C", "O")),
        ("[C:7 G:3]X~", ("C:7 G:3", "X~")),
        ("DE MONT", ("D", "E", "", "M", "O", "N", "T")),
        ("", ()),
    ],
)
def test_a_text_is_taken_apart_and_put_together(text: str, places: tuple[str, ...]) -> None:
    assert cells_of(text).places == places
    assert text_of(cells_of(text)) == text


def test_what_is_said_besides_the_letters_is_kept() -> None:
    cells = cells_of("=Tri?ari, script (crown over T)")

    assert cells.described == ("crown over T", "script")
    assert parse(text_of(cells)).as_written
    assert parse(text_of(cells)).described == cells.described


_PLACES = st.one_of(
    st.sampled_from("ABCDEFGHIJKLMNOPQRSTUVWXYZ&1é.-"),
    st.sampled_from(["?", "...", " ", " / ", "©", "C~", "[CG]", "[C>G>O]", "[C:7 G:3]", "[C?]"]),
    st.sampled_from(["[CG~]", "[C>C]", "[ CG ]", "[ß>S]", "*", "[C:7G:3]", "[C>G O]", ",", "="]),
)


@settings(max_examples=samples(600))
@given(st.lists(_PLACES, min_size=1, max_size=12), st.sampled_from(["", ", script", " (bird)"]))
def test_no_reading_is_changed_by_being_taken_apart(places: list[str], more: str) -> None:
    text = "".join(places) + more
    try:
        before = parse(text)
    except MarkSyntaxError:
        return

    after = parse(text_of(cells_of(text)))

    assert [each.cells for each in after.tokens] == [each.cells for each in before.tokens]
    assert [each.line for each in after.tokens] == [each.line for each in before.tokens]
    assert after.described == before.described
    assert after.as_written == before.as_written


@every_case(
    ("places", "text"),
    [
        (("CG", "I"), "[C>G]I"),
        (("CGOQ",), "[C>G>O>Q]"),
        (("CC", "A"), "CA"),
        (("", "A", "", "", "B", ""), "A B"),
        (("A", "/", "B"), "A / B"),
        (("?", "…", "A"), "?...A"),
        (("c=G",), "[cG]"),
    ],
)
def test_what_a_person_puts_into_places(places: tuple[str, ...], text: str) -> None:
    assert text_of(Cells(places)) == text


@pytest.mark.parametrize(
    ("place", "says"),
    [("TRIFA", "place 2: 5 letters"), ("(C)", 'place 2: "("'), (",", 'place 2: ","')],
)
def test_what_cannot_stand_at_a_place_is_refused_with_its_place(place: str, says: str) -> None:
    with pytest.raises(MarkSyntaxError, match=says.replace("(", r"\(")):
        text_of(Cells(("A", place)))


def test_look_alikes_are_what_other_alphabets_leave_out_as_alike() -> None:
    """Crockford's Base32 leaves I, L, O out beside 1 and 0, since people read one for another."""
    alike = look_alikes(NUMBERS_ALONE)

    assert {"1", "L"} <= set(alike["I"])
    assert "I" in alike["1"]
    assert "O" in alike["0"]
    assert {"G", "O"} <= set(alike["C"])
    assert all(letter not in others for letter, others in alike.items())
    assert all(len(set(others)) == len(others) >= 4 for others in alike.values())


@every_case("text", ["A ,, A", "A  /  B", "=, script", "A ,  , B /", " A"])
def test_spaces_and_commas_part_letters_once(text: str) -> None:
    again = text_of(cells_of(text))

    assert text_of(cells_of(again)) == again
    assert [each.cells for each in parse(again).tokens] == [
        each.cells for each in parse(text).tokens
    ]
    assert parse(again).as_written == parse(text).as_written
