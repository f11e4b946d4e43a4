"""The small steps of reading a note: folding, cutting, measures, years, phrases."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from notes_base import shipped, small_vocabulary
from together import every_case

from markrules.notes.folding import Folding, plain, singular
from markrules.notes.quantities import measure_at, number_of, years_at
from markrules.notes.segments import segments_of
from markrules.notes.senses import Sense, SensePhrases
from markrules.notes.tokens import tokens_of
from markrules.notes.vocabulary import UNITS


# NIST Handbook 44 (2024), appendix C: 1 inch = 25.4 mm and 1 foot = 304.8 mm exactly, 1 ounce
# avoirdupois = 28.349523125 g exactly, 1 pennyweight = 1.55517384 g exactly, 1 carat = 200 mg.
@every_case(
    ("unit", "size"),
    [
        ("mm", 1.0),
        ("cm", 10.0),
        ("in", 25.4),
        ("ft", 304.8),
        ("g", 1.0),
        ("oz", 28.349523125),
        ("dwt", 1.55517384),
        ("ct", 0.2),
    ],
)
def test_units_are_those_of_handbook_44(unit: str, size: float) -> None:
    assert UNITS[unit][1] == size


def test_pennyweight_and_ounce_agree_with_the_grain() -> None:
    # The same handbook: 1 grain = 64.79891 mg exactly, 24 grains to a pennyweight, 437.5 to an
    # avoirdupois ounce.
    assert UNITS["dwt"][1] == pytest.approx(24 * 0.06479891, abs=1e-12)
    assert UNITS["oz"][1] == pytest.approx(437.5 * 0.06479891, abs=1e-12)


@every_case(
    ("plural", "one"),
    [
        ("brooches", "brooch"),
        ("pins", "pin"),
        ("lilies", "lily"),
        ("ties", "tie"),
        ("boxes", "box"),
        ("crosses", "cross"),
        ("cameos", "cameo"),
        ("glass", "glass"),
        ("lotus", "lotus"),
        ("iris", "iris"),
        ("as", "as"),
    ],
)
def test_regular_plurals_fold_to_the_singular(plural: str, one: str) -> None:
    assert singular(plural) == one


@every_case(
    ("word", "fold"),
    [("Repoussé", "repousse"), ("maker’s", "maker"), ("Øresund", "oresund"), ("PAT'D", "patd")],
)
def test_case_accents_and_apostrophes_do_not_matter(word: str, fold: str) -> None:
    assert plain(word) == fold


def test_spellings_and_number_words_fold_to_one() -> None:
    folding = Folding({"colour": "color", "leaves": "leaf"}, {"two": "2"})

    assert [folding[word] for word in ("Colours", "Leaves", "two", "twos")] == [
        "color",
        "leaf",
        "2",
        "two",
    ]


@every_case(
    ("note", "segments"),
    [
        ("a, b; c\nd", ["a", "b", "c", "d"]),
        ("PAT. 1,798,867, gilt", ["PAT. 1,798,867", "gilt"]),
        ("5,5 cm,gilt", ["5,5 cm", "gilt"]),
        ('marked "A, B", gilt', ['marked "A, B"', "gilt"]),
        ("Signed Tillander. Back smooth.", ["Signed Tillander", "Back smooth"]),
        ("C.H. on the back", ["C.H. on the back"]),
        ("marked STER. SILVER here", ["marked STER. SILVER here"]),
        ("2.5 cm. Gilt", ["2.5 cm", "Gilt"]),
        ("gilt? Silver back", ["gilt?", "Silver back"]),
        (" , ,", []),
    ],
)
def test_segments(note: str, segments: list[str]) -> None:
    assert [each.text for each in segments_of(note, lambda: frozenset({"pat"}))] == segments


@every_case(
    ("text", "number"),
    [
        ("2", 2.0),
        ("2.5", 2.5),
        (".5", 0.5),
        ("2½", 2.5),
        ("¾", 0.75),
        ("⅓", pytest.approx(1 / 3)),
        ("1⅔", pytest.approx(5 / 3)),
        ("1/2", 0.5),
        ("1,200", 1200.0),
    ],
)
def test_numbers(text: str, number: float) -> None:
    assert number_of(text, text) == number


def test_a_point_before_a_number_counts_where_folding_drops_it() -> None:
    assert number_of(".5", "5") == 0.5


@every_case(
    ("text", "first", "last", "after"),
    [
        ("'62 brooch", 1962, 1962, 1),
        ("'12 brooch", 1912, 2012, 1),
        ("'60s brooch", 1960, 1969, 2),
        ("C19th brooch", 1800, 1899, 3),
    ],
)
def test_short_years_end_where_they_end(text: str, first: int, last: int, after: int) -> None:
    years = years_at(tokens_of(text, Folding()), 0)

    assert years is not None
    assert (years.first, years.last, years.end) == (first, last, after)


@pytest.mark.parametrize("text", ["50 pieces", "C 19th", "60 mm"])
def test_a_count_before_a_word_is_no_decade_and_no_century(text: str) -> None:
    assert years_at(tokens_of(text, Folding()), 0) is None


@every_case("text", ["1/0", "1/2/3", "", "9" * 400 + "/" + "1"])
def test_what_is_no_number_gives_none_or_a_finite_one(text: str) -> None:
    assert number_of(text, text) is None


@given(st.floats(0.1, 500), st.sampled_from(["mm", "cm", "in"]))
def test_a_measure_is_its_number_times_its_unit(number: float, unit: str) -> None:
    vocabulary = small_vocabulary()
    written = f"{number:.2f} {unit}"
    measure = measure_at(vocabulary, tokens_of(written, vocabulary.folding), 0)

    assert measure is not None
    assert measure.numbers == pytest.approx((round(number, 2) * UNITS[unit][1],), rel=1e-9)


@every_case(
    ("text", "first", "last"),
    [("1909", 1909, 1909), ("1950s", 1950, 1959), ("1900's", 1900, 1999), ("1955-60", 1955, 1960)],
)
def test_years(text: str, first: int, last: int) -> None:
    years = years_at(tokens_of(text, Folding()), 0)

    assert years is not None
    assert (years.first, years.last) == (first, last)


@every_case("text", ["1599", "2669", "19", "1,909", "19090"])
def test_other_numbers_are_no_years(text: str) -> None:
    assert years_at(tokens_of(text, Folding()), 0) is None


def test_longest_phrase_wins_and_little_words_may_stand_inside() -> None:
    phrases = SensePhrases(Folding())
    phrases.add("stone", Sense("value", "a", "stone"))
    phrases.add("stone missing", Sense("value", "fault", "missing"))
    words = tokens_of("stones are all missing", Folding())

    found = phrases.longest(words.folded, words.numeric, 0, frozenset({"are", "all"}))

    assert found is not None
    assert (found[0], found[1].senses) == (4, (Sense("value", "fault", "missing"),))


def test_a_slot_takes_any_number_but_no_word() -> None:
    phrases = SensePhrases(Folding())
    phrases.add("PAT #", Sense("number", "us-patent"))
    number, word = tokens_of("pat 1,798,867", Folding()), tokens_of("pat pending", Folding())

    assert phrases.longest(number.folded, number.numeric, 0) is not None
    assert phrases.longest(word.folded, word.numeric, 0) is None


@every_case("text", ["1950s", "'50s", "1900s", "1950-59"])
def test_a_decade_or_a_range_is_no_exact_year(text: str) -> None:
    years = years_at(tokens_of(text, Folding()), 0)
    assert years is not None
    assert not years.exact
    assert years.last > years.first


def test_years_written_backwards_are_no_range() -> None:
    years = years_at(tokens_of("1960-1950", Folding()), 0)
    assert years is not None
    assert (years.first, years.last, years.exact) == (1960, 1960, True)


@pytest.mark.parametrize("text", ["1950-late", "1950-era", "1950-up"])
def test_a_word_after_a_year_ends_no_range(text: str) -> None:
    years = years_at(tokens_of(text, Folding()), 0)
    assert years is not None
    assert (years.first, years.last, years.exact) == (1950, 1950, True)


@every_case(
    ("note", "piece"),
    [
        # A bail is that of a pendant; ends of ribbon are met on necklaces and pendants alike.
        ("folded bail, ribbon ends", "pendant"),
        ("ribbon ends, folded bail", "pendant"),
        ("hidden hinge, matching clasp", "bracelet"),
        ("hidden hinge, ribbon ends", "bracelet"),
        # What no piece has both of tells of none.
        ("lobster clasp, screw back", ""),
    ],
)
def test_two_parts_tell_the_one_piece_that_may_have_both(note: str, piece: str) -> None:
    assert shipped(note).piece_type == piece
