"""How a person writes down what is left of a mark."""

from __future__ import annotations

import pytest
from growth import grows_as_its_length
from hypothesis import given
from hypothesis import strategies as st
from together import every_case

from markrules.marks.letters import folded
from markrules.marks.reading_syntax import (
    DOUBTFUL_WEIGHT,
    MOST_CELLS,
    Cell,
    MarkSyntaxError,
    parse,
    read_text,
)


def written(text: str) -> str:
    """The cells of a reading as they were written, one after the other."""
    return " ".join(cell.shown for cell in parse(text).cells)


@every_case(
    ("text", "cells"),
    [
        ("TR?F...", "T R ? F …"),
        ("*FARI", "… F A R I"),
        ("TRI…", "T R I …"),
        ("TRI..", "T R I …"),
        ("T_F", "T ? F"),
        ("B.S.K.", "B S K"),
        ("Hob\u00e9", "H o b \u00e9"),
        ("[CG]INER", "[CG] I N E R"),
        ("C~INER", "C~ I N E R"),
        ("A ... * B", "A … B"),
        ("CS * FS", "C S F S"),
        ("*620-AR", "6 2 0 A R"),
        ("TRI*", "T R I …"),
        ("\u00c6gir", "\u00c6 \u00c6 g i r"),
        ("TRI / PAT. PEND.", "T R I P A T P E N D"),
        ("\u202eTRI\u202c\x07F", "T R I F"),
        ("T\u0336R\u0336I\u0336", "T R I"),
    ],
)
def test_reads_letters_and_wildcards(text: str, cells: str) -> None:
    assert written(text) == cells


def test_one_of_several_letters_weighs_each_alike() -> None:
    assert parse("[CG]").cells == (Cell("letter", (("C", 0.5), ("G", 0.5)), "[CG]"),)


def test_a_doubtful_letter_weighs_less() -> None:
    (cell,) = parse("C~").cells

    assert cell.letters == (("C", DOUBTFUL_WEIGHT),)


def test_any_letter_in_brackets_is_unread() -> None:
    assert parse("A[?]").cells[1].kind == "unread"


def test_words_after_a_comma_describe() -> None:
    query = parse("KTF, crown over the T, script")

    assert (written("KTF"), query.described) == ("K T F", ("crown over the T", "script"))


def test_round_brackets_describe() -> None:
    assert parse("(bird in circle) MB").described == ("bird in circle",)
    assert parse("PF (scissors (shut) below)").described == ("scissors shut below",)


def test_capitals_after_a_comma_are_letters() -> None:
    assert written("J. COLLIN, OBAN / SILVER") == "J C O L L I N O B A N S I L V E R"


def test_a_comma_in_a_number_parts_nothing() -> None:
    assert written("PAT. 1,933,576") == "P A T 1 9 3 3 5 7 6"


def test_an_equals_sign_makes_case_count() -> None:
    assert parse("=Monet").as_written
    assert not parse("Monet").as_written


def test_line_breaks_are_counted() -> None:
    assert [token.line for token in parse("A B / C /D").tokens] == [0, 0, 1, 2]


@every_case(
    ("text", "message"),
    [
        ("TR[FI", "column 3: '[' has no partner; write [CG] for a letter that is C or G"),
        ("TRF]I", "column 4: ']' has no partner; write [CG] for a letter that is C or G"),
        ("T[]", "column 2: [ ] holds no letter; write [CG] for a letter that is C or G"),
        ("~T", "column 1: '~' stands after the letter that is doubtful, as in C~"),
        ("T...~", "column 5: '~' stands after the letter that is doubtful, as in C~"),
        ("", "no letter was read; write at least one, or what the mark shows"),
        ("???", "no letter was read; write at least one, or what the mark shows"),
        (
            "?" * 90 + "A",
            "this has 91 letters and wildcards, and at most 80 are searched; write ... for a run "
            "unread",
        ),
        (
            "A" * 100_000,
            "this is 100,000 characters long, and a mark with its description is at most 400; "
            "write only what stands on the piece",
        ),
        (
            "?" * 5000,
            "this is 5,000 characters long, and a mark with its description is at most 400; "
            "write only what stands on the piece",
        ),
    ],
)
def test_says_what_is_wrong_and_where(text: str, message: str) -> None:
    with pytest.raises(MarkSyntaxError) as raised:
        parse(text)

    assert str(raised.value) == message


@given(st.text(max_size=500))
def test_any_text_is_a_query_or_a_message(text: str) -> None:
    try:
        query = parse(text)
    except MarkSyntaxError:
        return
    assert len(query.cells) <= MOST_CELLS
    assert query.described or any(cell.kind == "letter" for cell in query.cells)


@given(st.text(alphabet="AB?*[]~/.,() =\u2026\u202e\u0301", max_size=60))
def test_texts_of_signs_alone_never_break_the_parser(text: str) -> None:
    query = read_text(text)

    assert query is None or query.cells or query.described


@given(st.text(max_size=300))
def test_folding_twice_changes_nothing(text: str) -> None:
    assert folded(folded(text)) == folded(text)


@every_case("unit", ["(", ",A", "[", "A/", "~", "?", "A B ", "...A"])
def test_a_long_text_takes_time_as_its_length(unit: str) -> None:
    assert grows_as_its_length(read_text, unit * (20_000 // len(unit)))


def test_letters_of_a_doubtful_place_may_be_ranked_or_weighed() -> None:
    def letters(text: str) -> list[tuple[str, float]]:
        return [(letter, round(weight, 3)) for letter, weight in parse(text).cells[0].letters]

    assert letters("[CG]X") == [("C", 0.5), ("G", 0.5)]
    assert letters("[C>G]X") == [("C", 0.714), ("G", 0.286)]
    assert letters("[C:7 G:3]X") == letters("[C:70%,G:30%]X") == [("C", 0.7), ("G", 0.3)]
    assert letters("[5>S]X")[0][0] == "5"
    assert not parse("[C>G]X").in_full


@pytest.mark.parametrize("text", ["[>]", "[:5]", "[C:0]"])
def test_a_bracket_without_a_letter_is_told(text: str) -> None:
    with pytest.raises(MarkSyntaxError, match="holds no letter"):
        parse(f"A{text}")
