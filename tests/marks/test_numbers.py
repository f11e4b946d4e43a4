"""Reading stamped numbers, against a small register made up for these tests."""

from __future__ import annotations

import pytest
from engine_numbers import setting_entries
from growth import grows_as_its_length
from hypothesis import given
from hypothesis import strategies as st
from together import every_case

from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Feature, Register, Row
from markrules.marks.number_grammar import StampedDate, number_slots, stamped_number, whole_date
from markrules.marks.numbers import (
    NumberReading,
    _within,
    find_numbers,
    observations_from_numbers,
)
from markrules.marks.registers import Bracket, years_of_number
from markrules.marks.stamped import fold, tokens


def numbers(*pairs: tuple[int, int] | tuple[int, int, int]) -> tuple[Row, ...]:
    return tuple(Row(str(pair[0]), pair[1], pair[-1]) for pair in pairs)


BASE = KnowledgeBase(
    "made up",
    settings=setting_entries({"machine-usual-from": 1925}),
    registers={
        "machine": Register(
            "machine",
            "machine",
            "number",
            ("PAT #", "PATENT NO #"),
            rows=numbers((1, 1840), (1000, 1900), (2000, 1901), (5000, 1905, 1906), (9000, 1910)),
        ),
        "shape": Register(
            "shape",
            "shape",
            "number",
            ("D #", "DES PAT #", "PAT #"),
            rows=numbers((1, 1850), (9999, 1950)),
        ),
        "kite": Register(
            "kite",
            "kite",
            "letter",
            ("KITE #",),
            columns=("corner",),
            rows=(
                Row("X", 1842, 1842, qualifiers=(("corner", "at the top"),)),
                Row("X", 1868, 1868, qualifiers=(("corner", "on the right"),)),
            ),
        ),
    },
    features={"grant-date": Feature("grant-date", "year", also=("pat'd", "patented"))},
)


def one(text: str) -> NumberReading:
    (reading,) = find_numbers(text, BASE)
    return reading


@every_case("text", ["PATENT NO. 1,234", "Patent N° 1234", "patent no.1.234", "PATENT NO 1 234"])
def test_spelling_is_forgiven(text: str) -> None:
    assert (one(text).number, one(text).first, one(text).last) == ("1234", 1900, 1900)


@every_case("before", [0, 1, 7, 8, 30, 40, 44, 200])
def test_words_are_looked_for_behind_a_letter_wherever_it_stands(before: int) -> None:
    text = "." * before + " KITE X at the "

    assert (one(text + "top").first, one(text + "right").first) == (1842, 1868)
    assert (one(text).first, one(text).last) == (1842, 1868)
    # What stands 40 letters on is of something else.
    far = text.strip().ljust(len(text.strip()) + 40)
    assert (one(far + "top").first, one(far + "top").last) == (1842, 1868)


def test_gap_in_the_table_gives_all_years_between() -> None:
    assert (one("PATENT NO 2500").first, one("PATENT NO 2500").last) == (1901, 1905)


def test_number_issued_within_a_year_bounds_both_sides() -> None:
    # Row 5000 in 1905 to 1906: issued within 1905.
    assert years_of_number(BASE, "machine", 4999).last == 1905  # type: ignore[union-attr]
    assert years_of_number(BASE, "machine", 5000).first == 1905  # type: ignore[union-attr]


def test_end_of_the_table_leaves_the_bracket_open() -> None:
    reading = one("PATENT NO 9500")
    assert (reading.first, reading.last) == (1910, None)
    (observation,) = observations_from_numbers(BASE, [reading])
    assert observation.years is not None
    assert observation.years[0] == 1910
    assert observation.years[1] > 2026


def test_a_year_beside_a_number_counts_where_the_table_has_no_end() -> None:
    """Beyond the last row any later year fits, and no earlier one."""
    open_ended = Bracket(1910, None, ())
    assert _within(open_ended, StampedDate("1950", (1950,))) == Bracket(1950, 1950, ())
    assert _within(open_ended, StampedDate("10", (1810, 1910, 2010))) == Bracket(1910, 2010, ())
    assert _within(open_ended, StampedDate("1909", (1909,))) is None


def test_number_far_beyond_the_table_is_no_number_of_it() -> None:
    assert find_numbers("PATENT NO 99,999", BASE) == ()


def test_unread_digits_give_the_years_of_all_that_it_can_be() -> None:
    reading = one("PATENT NO 1?00")
    assert (reading.first, reading.last) == (1900, 1900)
    reading = one("PATENT NO ?500")
    assert (reading.first, reading.last) == (1840, None)


@every_case(
    ("text", "read"),
    [
        ("PAT 12", False),
        ("PAT 123", True),
        ("D 1234", False),
        ("D 12345", False),
        ("D 9998", False),
    ],
)
def test_a_number_needs_digits_enough(text: str, read: bool) -> None:
    assert bool(find_numbers(text, BASE)) is read


def test_doubt_after_the_number_is_no_digit() -> None:
    assert (one("PATENT NO 1500?").number, one("PATENT NO 1500?").first) == ("1500", 1900)


def test_ambiguous_number_gives_both_and_says_so() -> None:
    reading = one("PAT 1234")

    assert reading.register == "shape"
    assert [each.register for each in reading.alternatives] == ["machine"]
    assert reading.weight + reading.alternatives[0].weight == pytest.approx(1)
    (observation,) = observations_from_numbers(BASE, [reading])
    assert observation.feature == "shape"
    assert observation.certainty != "sure"
    assert "machine" in observation.assumed


def test_several_numbers_after_one_word() -> None:
    readings = find_numbers(
        "D 12,345 & 23,456", KnowledgeBase("x", settings=setting_entries(), registers={"s": LONG})
    )
    assert [reading.number for reading in readings] == ["12345", "23456"]


LONG = Register("s", "s", "number", ("D #",), rows=numbers((1, 1850), (50000, 1950)))


@every_case(
    "text",
    [
        "PAT'D MAR 31 1931",
        "PATENTED 31ST MARCH 1931",
        "Pat'd. Mar. 31, 1931",
        "patented mch. 31st 1931",
        "PAT'D 1931",
        "PAT'D 31 3 1931",
    ],
)
def test_date_of_a_patent(text: str) -> None:
    reading = one(text)
    assert (reading.register, reading.first, reading.last) == ("grant-date", 1931, 1931)
    (observation,) = observations_from_numbers(BASE, [reading])
    assert (observation.number, observation.years) == (1931, (1931, 1931))


def test_two_digit_year_is_read_in_each_century() -> None:
    assert [year for year, _ in one("PAT'D 3-31-31").years] == [1831, 1931]


def test_letter_with_and_without_its_corner() -> None:
    assert one("KITE X").years == ((1842, 0.5), (1868, 0.5))
    assert one("kite x, top").years == ((1842, 1.0),)


@every_case(
    "text", ["", "PAT. PEND.", "D 30 mm", "????", "brooch 5 cm, 23 g", "PAT", "1,234", "PAT -"]
)
def test_what_is_no_register_number_gives_nothing(text: str) -> None:
    assert find_numbers(text, BASE) == ()


@given(st.text(max_size=300))
def test_any_text_is_read_without_complaint(text: str) -> None:
    readings = find_numbers(text, BASE)
    for reading in readings:
        assert text[reading.start : reading.end] == reading.words
    assert len(observations_from_numbers(BASE, readings)) == len(readings)


@given(st.lists(st.sampled_from(["PAT", "D", "1,2", "?", ".", "/", "1234", "KITE", "X", "'", " "])))
def test_pieces_of_marks_in_any_order_are_read_without_complaint(pieces: list[str]) -> None:
    find_numbers(" ".join(pieces), BASE)
    find_numbers("".join(pieces), BASE)


@given(st.integers(0, 9_900), st.integers(0, 9_900))
def test_years_of_two_ends_cover_every_number_between(one_end: int, other: int) -> None:
    low, high = sorted((one_end, other))
    both = years_of_number(BASE, "machine", low, high)
    middle = years_of_number(BASE, "machine", (low + high) // 2)
    if middle is not None:
        assert both is not None
        assert both.first <= middle.first
        assert both.last is None or (middle.last is not None and middle.last <= both.last)


@given(st.integers(1, 999_999_999))
def test_written_number_is_read_back(number: int) -> None:
    for text in (f"{number}", f"{number:,}", f"{number:,}".replace(",", ".")):
        read = stamped_number(text, 9)
        assert read is not None
        assert read.low == read.high == number


@every_case(
    "text", ["?" * 100_000, "PAT " * 50_000, "1," * 50_000, "D 1 " * 50_000, "\u202e\x00" * 9_000]
)
def test_hostile_text_takes_bounded_time(text: str) -> None:
    assert grows_as_its_length(lambda some: find_numbers(some, BASE), text)


def test_tokens_know_their_places() -> None:
    text = "Pat’d № 1,234"
    assert [(t.kind, t.text, text[t.start : t.end]) for t in tokens(text)] == [
        ("word", "PAT", "Pat"),
        ("word", "D", "d"),
        ("word", "NO", "№"),
        ("number", "1,234", "1,234"),
    ]
    assert fold("Modèle Nº") == "MODELE NO"


@every_case(
    ("text", "number"),
    [
        ("5 000", "5000"),
        ("1 234 567", "1234567"),
        ("5  000", "5"),
        ("1 234  567", "1234"),
        ("1234 567", "1234"),
        ("12 34", "12"),
    ],
)
def test_groups_of_a_number_stand_one_space_apart_and_have_three_digits(
    text: str, number: str
) -> None:
    found = number_slots(BASE)["#"](tokens(text), 0)
    assert found is not None
    assert found[1].text == number


@every_case(
    ("text", "bounds"),
    [
        ("???", None),
        ("?", None),
        ("?,???", None),
        ("1?", (10, 19)),
        ("?9", (9, 99)),
        ("1,7?8,867", (1708867, 1798867)),
        ("123456789", (123456789, 123456789)),
        ("1234567890", None),
        ("1,234,567,890", None),
    ],
)
def test_a_number_has_a_digit_that_was_read_and_nine_at_most(
    text: str, bounds: tuple[int, int] | None
) -> None:
    found = stamped_number(text, 9)
    assert (found and (found.low, found.high)) == bounds


def test_a_doubt_at_the_end_leaves_the_digits_that_were_read() -> None:
    found = stamped_number("17?4?", 9)
    assert found is not None
    sure = found.without_doubt()
    assert (sure.text, sure.low, sure.high) == ("17?4", 1704, 1794)


@every_case(("day", "known"), [(0, False), (1, True), (31, True), (32, False)])
def test_a_day_of_no_month_is_no_date(day: int, known: bool) -> None:
    for text in (f"PAT'D {day} MAR 1931", f"PAT'D MAR {day} 1931"):
        found = [(each.register, each.first) for each in find_numbers(text, BASE)]
        assert found == ([("grant-date", 1931)] if known else []), text


@pytest.mark.parametrize(
    ("text", "years"),
    [
        ("17/10/68", (1868, 1968)),
        ("3-31-1931", (1931,)),
        ("MARCH 31 1931", (1931,)),
        (" 8.9.81 ", (1881, 1981)),
        ("MDCCCLXXXVII", (1887,)),
        ("1931", None),  # as well a number
        ("MAR 31 1931 B", None),  # more than a date
        ("NO 17/10/68", None),
        ("MMXXXI", None),  # 2031, later than the last year that is stamped
        ("MDCCXL", None),  # 1740, before the grid
    ],
)
def test_a_text_is_a_date_where_it_is_one_from_end_to_end(
    text: str, years: tuple[int, ...] | None
) -> None:
    found = whole_date(BASE, text)
    assert (found and found.years) == years
