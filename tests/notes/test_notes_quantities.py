"""Years and measures as people write them, each at its limits, counted out here.

Units are exact by NIST Handbook 44 (2024), appendix C; thirds of a decade or century are whole
years, the last of them the longest.
"""

from __future__ import annotations

import itertools

import pytest
from little_base import little_vocabulary
from notes_base import shipped, small_vocabulary
from together import every_case

from markrules.notes.folding import Folding
from markrules.notes.items import WrittenMeasure, WrittenYears
from markrules.notes.quantities import (
    measure_at,
    measure_in_words,
    number_of,
    years_at,
    years_told,
)
from markrules.notes.tokens import tokens_of

DASHES = ("-", "–", "—", " - ")


def years(text: str, start: int = 0) -> WrittenYears | None:
    return years_at(tokens_of(text, Folding()), start)


@every_case("year", [1600, 1601, 1899, 1900, 1999, 2000, 2098, 2099])
def test_four_figures_are_a_year(year: int) -> None:
    assert years(f"{year}") == WrittenYears(1, year, year, True)
    assert years(f"a {year} b", 1) == WrittenYears(2, year, year, True)


@every_case("text", ["1599", "2100", "160", "16000", "1599s", "2100s", "0950", "۱۹۵۰"])
def test_what_lies_outside_is_none(text: str) -> None:
    assert years(text) is None


def test_a_decade_has_ten_years_and_a_century_a_hundred() -> None:
    for first in range(1600, 2100, 10):
        last = first + (99 if first % 100 == 0 else 9)
        assert years(f"{first}s") == WrittenYears(2, first, last, False), first
        assert years(f"{first}'s x") == WrittenYears(2, first, last, False), first
    assert years("1925s") == WrittenYears(2, 1925, 1934, False)
    assert years("1950 s") == WrittenYears(2, 1950, 1959, False)
    assert years("1950  s") == WrittenYears(1, 1950, 1950, True)


def test_a_range_ends_with_its_last_year() -> None:
    for dash in DASHES:
        for first, last in ((1950, 1951), (1950, 1999), (1899, 1901), (1600, 2099)):
            assert years(f"{first}{dash}{last} x") == WrittenYears(2, first, last, False)
        for first, last in ((1950, 51), (1950, 99), (1901, 2)):
            whole = first // 100 * 100 + last
            assert years(f"{first}{dash}{last:02} x") == WrittenYears(2, first, whole, False)
        for first, last in (
            (1950, "1950"),
            (1950, "1949"),
            (1950, "50"),
            (1950, "49"),
            (2050, "2100"),
        ):
            assert years(f"{first}{dash}{last}") == WrittenYears(1, first, first, True)
        for last in ("1", "195", "19551"):
            assert years(f"1950{dash}{last}") == WrittenYears(1, 1950, 1950, True)
    for between in (" ", ", ", " to ", "+", "/ "):
        assert years(f"1950{between}1960") == WrittenYears(1, 1950, 1950, True), between


def test_a_range_of_decades_ends_with_the_decade() -> None:
    assert years("1920-30s x") == WrittenYears(3, 1920, 1939, False)
    assert years("1925-30s") == WrittenYears(3, 1925, 1939, False)
    assert years("1920-35s") == WrittenYears(2, 1920, 1935, False)
    for between in ("-", "–", "—", "/", " / "):
        assert years(f"1920s{between}30s x") == WrittenYears(4, 1920, 1939, False), between
        assert years(f"1920s{between}1940s") == WrittenYears(4, 1920, 1949, False), between
    for text in ("1920s-20s", "1920s-10s", "1920s-35s", "1920s-1935s", "1920s, 30s", "1920s-300s"):
        assert years(text) == WrittenYears(2, 1920, 1929, False), text
    assert years("1920s-30") == WrittenYears(2, 1920, 1929, False)
    assert years("1900s-1910s") == WrittenYears(2, 1900, 1999, False)
    assert years("2080s-2090s") == WrittenYears(4, 2080, 2099, False)


@every_case(
    ("day", "year"),
    [
        ("4.10.1887", 1887),
        ("17/10/1868", 1868),
        ("10/17/1868", 1868),
        ("1887.10.4", 1887),
        ("31.12.1600", 1600),
        ("12/31/2099", 2099),
        ("1.1.1900", 1900),
        ("0.4.1887", None),
        ("13.13.1887", None),
        ("32.1.1887", None),
        ("4.10.1599", None),
        ("4.10.2100", None),
        ("123.4.1887", None),
    ],
)
def test_a_day_in_figures_is_of_its_year(day: str, year: int | None) -> None:
    assert years(day) == (None if year is None else WrittenYears(1, year, year, True))


@every_case(
    ("day", "short"),
    [
        ("4.10.87", 87),
        ("17/10/68", 68),
        ("10/17/68", 68),
        ("1/1/00", 0),
        ("13/13/68", None),
        ("0/4/68", None),
        ("32/1/68", None),
        ("4.10/68", None),
        ("4.10.687", None),
    ],
)
def test_a_day_with_two_figures_is_of_either_century(day: str, short: int | None) -> None:
    expected = None if short is None else WrittenYears(1, 1800 + short, 1900 + short, False)
    assert years(day) == expected


def test_a_year_and_one_behind_a_slash() -> None:
    for first, last, whole in ((1880, "90", 1890), (1885, "6", 1886), (1899, "9", None)):
        told = None if whole is None else WrittenYears(1, first, whole, False)
        assert years(f"{first}/{last}") == told
    for text in ("1880/80", "1880/79", "1880/1890", "1599/60", "1600/601"):
        assert years(text) is None, text
    assert years("1600/01") == WrittenYears(1, 1600, 1601, False)
    assert years("2090/99") == WrittenYears(1, 2090, 2099, False)


@every_case(
    ("text", "told"),
    [
        ("c1950", WrittenYears(2, 1950, 1950, True)),
        ("c. 1950 x", WrittenYears(2, 1950, 1950, True)),
        ("c.1950s", WrittenYears(3, 1950, 1959, False)),
        ("c 1950-60", WrittenYears(3, 1950, 1960, False)),
        ("c, 1950", None),
        ("c catch", None),
        ("c", None),
        ("C17th", WrittenYears(3, 1600, 1699, False)),
        ("C16th", None),
        ("C20th x", WrittenYears(3, 1900, 1999, False)),
        ("C 20th", None),
        ("C20 th", WrittenYears(3, 1900, 1999, False)),
    ],
)
def test_a_c_stands_for_about_or_for_a_century(text: str, told: WrittenYears | None) -> None:
    assert years(text) == told


@every_case(
    ("text", "told"),
    [
        ("'60s", WrittenYears(2, 1960, 1969, False)),
        ("’60s x", WrittenYears(2, 1960, 1969, False)),
        ("60s", WrittenYears(2, 1960, 1969, False)),
        ("65s", None),
        ("'62", WrittenYears(1, 1962, 1962, True)),
        ("x '62", None),
        ("'30", WrittenYears(1, 1930, 2030, False)),
        ("'31", WrittenYears(1, 1931, 1931, True)),
        ("62", None),
        ("'6", None),
    ],
)
def test_two_figures_behind_an_apostrophe(text: str, told: WrittenYears | None) -> None:
    assert years(text) == told


def test_an_apostrophe_behind_a_letter_is_of_its_word() -> None:
    assert years("x '62", 1) == WrittenYears(2, 1962, 1962, True)
    assert years("2'62", 1) is None


@pytest.mark.parametrize(
    ("word", "decade", "century"),
    [("early", (0, 2), (0, 32)), ("mid", (3, 5), (33, 65)), ("late", (6, 9), (66, 99))],
)
def test_a_third_of_a_decade_or_century(
    word: str, decade: tuple[int, int], century: tuple[int, int]
) -> None:
    vocabulary = little_vocabulary()

    def told(text: str, start: int = 1) -> WrittenYears | None:
        return years_told(vocabulary, tokens_of(text, vocabulary.folding), start)

    assert told(f"{word} 1920s x") == WrittenYears(3, 1920 + decade[0], 1920 + decade[1], False)
    assert told(f"{word} 1800s x") == WrittenYears(3, 1800 + century[0], 1800 + century[1], False)
    assert told(f"{word} 1950") == WrittenYears(2, 1950, 1950, True)
    assert told(f"{word} 1950-60") == WrittenYears(3, 1950, 1960, False)
    assert told(f"{word} 1950-58") == WrittenYears(3, 1950, 1958, False)
    assert told(f"1920s {word}", 0) == WrittenYears(2, 1920, 1929, False)
    assert told(f"{word} x") is None


# --- Measures ---------------------------------------------------------------------------------


def measure(text: str, start: int = 0) -> WrittenMeasure | None:
    vocabulary = little_vocabulary() if "ct" in text or "half" in text else small_vocabulary()
    return measure_at(vocabulary, tokens_of(text, vocabulary.folding), start)


MM = {"mm": 1.0, "cm": 10.0, "in": 25.4}


@every_case("unit", MM)
def test_one_number_and_its_unit(unit: str) -> None:
    for written, value in (
        ("5", 5),
        ("2.5", 2.5),
        (".5", 0.5),
        ("2 1/2", 2.5),
        ("2-1/2", 2.5),
        ("2½", 2.5),
        ("2 ½", 2.5),
        ("1/4", 0.25),
        ("5,5", 5.5),
        ("1,200", 1200),
    ):
        found = measure(f"{written} {unit} x y")
        assert found is not None, written
        assert found.numbers == pytest.approx((value * MM[unit],)), written
        assert (found.dimension, found.span) == ("length", False)
        tokens = 3 if written in ("2 1/2", "2-1/2", "2 ½") else 2
        assert found.end == tokens, written
        assert measure(f"{written}{unit}") is not None, written


@every_case(
    ("text", "numbers", "span", "end"),
    [
        ("5 x 6 cm", (50, 60), False, 4),
        ("5 x 6 x 7 cm", (50, 60, 70), False, 6),
        ("5×6 cm", (50, 60), False, 3),
        ("5*6 cm", (50, 60), False, 3),
        ("5 cm x 6 cm", (50, 60), False, 5),
        ("5 cm x 6 mm", (50, 6), False, 5),
        ("5-6 cm", (50, 60), True, 3),
        ("5–6 cm y", (50, 60), True, 3),
        ("5 cm", (50,), False, 2),
        ('2"', (50.8,), False, 1),
        ('2" x 3"', (50.8, 76.2), False, 3),
        ("2''", (50.8,), False, 1),
        ("4.5cm x 3", (45, 30), False, 4),
    ],
)
def test_several_numbers_and_their_units(
    text: str, numbers: tuple[float, ...], span: bool, end: int
) -> None:
    found = measure(text)

    assert found is not None
    assert found.numbers == pytest.approx(numbers)
    assert (found.span, found.end, found.dimension) == (span, end, "length")


@every_case(
    ("text", "inches", "end"),
    [
        ("quarter inch x", 0.25, 2),
        ("half an inch", 0.5, 3),
        ("three quarters of an inch", 0.75, 5),
        ("three quarters inch", 0.75, 3),
        ("an inch and a quarter x", 1.25, 5),
        ("a inch and three quarters", 1.75, 5),
        ("inch and half an x", 1.5, 4),
    ],
)
def test_a_measure_in_words(text: str, inches: float, end: int) -> None:
    tokens = tokens_of(text, little_vocabulary().folding)

    assert measure_in_words(little_vocabulary(), tokens, 0) == WrittenMeasure(
        end, (inches * 25.4,), "length", False
    )


@every_case(
    "text",
    [
        "inch",
        "inch and",
        "inch and an",
        "quarter",
        "quarter brooch",
        "quarter g",
        "half in",
        "x",
        "inch and x",
    ],
)
def test_other_words_are_no_measure(text: str) -> None:
    assert (
        measure_in_words(little_vocabulary(), tokens_of(text, little_vocabulary().folding), 0)
        is None
    )


@every_case(
    ("text", "number", "end"),
    [
        ("2 and a half cm", 25, 5),
        ("2 and half cm x", 25, 4),
        ("2 cm and a half", 20, 2),
        ("1 up to 3 cm and a half", 0, 0),
    ],
)
def test_a_half_more(text: str, number: float, end: int) -> None:
    found = measure_at(little_vocabulary(), tokens_of(text, little_vocabulary().folding), 0)

    assert found is not None
    if end:
        assert (found.numbers, found.end, found.span) == ((number,), end, False)
    else:
        assert (found.numbers, found.end, found.span) == ((10, 30), 5, True)


@pytest.mark.parametrize(
    ("text", "grams", "dimension"),
    [
        ("5 g", 5, "mass"),
        ("2 oz", 56.69904625, "mass"),
        ("2 ct", 0.4, "carat"),
    ],
)
def test_weights_are_in_grams(text: str, grams: float, dimension: str) -> None:
    found = measure(text)

    assert found is not None
    assert found.dimension == dimension
    assert found.numbers == pytest.approx((grams,))


@every_case("text", ["5", "5 x 6", "5 brooches", "5 cm x 6 g", "1/0 cm", "x 5 cm", "5, 6"])
def test_what_is_no_measure(text: str) -> None:
    assert measure(text) is None


@pytest.mark.parametrize("text", ["1935 in raised figures", "1600 in", "2099 in"])
def test_in_behind_a_year_is_no_inch(text: str) -> None:
    assert measure(text) is None


def test_in_behind_another_number_is_one() -> None:
    for number in (1599, 2100, 935, 3):
        found = measure(f"{number} in")
        assert found is not None, number
        assert found.numbers == pytest.approx((number * 25.4,))


@every_case(
    ("text", "value"),
    [
        ("½", 0.5),
        ("¼", 0.25),
        ("¾", 0.75),
        ("⅓", 1 / 3),
        ("⅔", 2 / 3),
        ("⅛", 0.125),
        ("⅜", 0.375),
        ("⅝", 0.625),
        ("⅞", 0.875),
    ],
)
def test_signs_for_fractions(text: str, value: float) -> None:
    """Unicode 15, block Number Forms and Latin-1: the value of each sign is its name."""
    import unicodedata

    assert unicodedata.numeric(text) == pytest.approx(value)
    assert number_of(text, text) == pytest.approx(value)
    assert number_of(f"3{text}", f"3{text}") == pytest.approx(3 + value)


@every_case(
    ("text", "value"),
    [
        ("5,5", 5.5),
        ("5,55", 5.55),
        ("5,555", 5555),
        ("1,234,567", 1234567),
        ("3/4", 0.75),
        ("10/4", 2.5),
        (".25", 0.25),
        ("a", None),
        ("5/", None),
        ("/5", None),
        ("5/0", None),
        ("nan", None),
        ("inf", None),
        ("1e999", None),
    ],
)
def test_what_number_a_token_is(text: str, value: float | None) -> None:
    assert number_of(text, text) == (None if value is None else pytest.approx(value))


def test_no_text_of_signs_ends_in_an_error() -> None:
    vocabulary = small_vocabulary()
    signs = ("1950", "50", "s", "-", "/", "c", "'", "th", "1/2", "cm", '"', "x")
    for parts in itertools.product(signs, repeat=3):
        tokens = tokens_of("".join(parts), vocabulary.folding)
        for start in range(len(tokens)):
            for found in (years_at(tokens, start), measure_at(vocabulary, tokens, start)):
                assert found is None or start < found.end <= len(tokens)
            told = years_at(tokens, start)
            assert told is None or told.first <= told.last
            assert measure_in_words(vocabulary, tokens, start) is None


@every_case(
    ("note", "piece"),
    [
        ("sterling turquoise ring size 6.5", "ring"),
        ("ring size N 1/2", "ring"),
        ("necklace length 18 inches, gold tone", "necklace"),
        ("silver locket, chain length 18 in", "locket"),
        ("chain length 20 in, silver pendant", "pendant"),
    ],
)
def test_what_is_measured_tells_the_piece(note: str, piece: str) -> None:
    assert shipped(note).piece_type == piece


@every_case(
    ("text", "number"),
    [
        ("2,1/2", 2.5), ("0,1/2", 0.5), ("12,3/4", 12.75), ("1,200", 1200.0), ("5,5", 5.5),
        ("1/2", 0.5), ("2,1/0", None), ("1,200/2", 600.0),
    ],
)  # fmt: skip
def test_a_comma_before_a_fraction_parts_it_from_the_whole(text: str, number: float | None) -> None:
    assert number_of(text, text) == number
