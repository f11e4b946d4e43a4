"""Decoding marks of metal content, against a few marks made up for these tests."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from engine_numbers import setting_entries
from growth import grows_as_its_length
from hypothesis import given
from hypothesis import strategies as st
from shipped_base import shipped_base
from together import every_case

from markrules.knowledge.base import KnowledgeBase
from markrules.language.conditions import Is, Says
from markrules.language.spans import Named
from markrules.language.tree import Clue, Finding, MetalMark
from markrules.language.windows import Window, Year
from markrules.marks.figure_limits import metal_limits
from markrules.marks.metal import MetalReading, find_metal_marks, metal_observations
from markrules.marks.metal_grammar import fineness, fraction, karat, metal_slots, written
from markrules.marks.metal_value import (
    Range,
    fine_grams,
    melt_value,
    price_per_gram,
    whole_piece,
)
from markrules.marks.stamped import tokens

MARKS = (
    MetalMark("solid", ("{karat}K", "{karat}K GOLD"), "gold", quote="Stamped {karat}K", allow=42),
    MetalMark("special", ("14K",), "gold", fineness=(583, 585), allow=3),
    MetalMark(
        "bonded",
        ("{fraction} {karat}K BD", "{fraction} BD", "BD"),
        "gold",
        "filled",
        "base metal",
        share=(0.03, 0.1),
        claim="{fraction} {karat}K bonded",
    ),
    MetalMark("coat", ("COATED", "{karat}K COATED"), "gold", "plated", share=(0.0, 0.01)),
    MetalMark("both", ("{karat}K {fineness}",), "gold"),
    MetalMark("silver-950", ("950", "950/1000"), "silver", fineness=(950, 950), weight=3),
    MetalMark("platinum-950", ("950",), "platinum", fineness=(950, 950)),
    MetalMark("white", ("MOCK SILVER", "M S"), "none", "none", fineness=(0, 0), share=(0, 0)),
    MetalMark("old-84", ("84",), "silver", fineness=(875, 875)),
    MetalMark("sterling", ("STERLING",), "silver", fineness=(925, 925), allow=10),
)


def clue(name: str, feature: str, value: str, first: int, last: int | None) -> Clue:
    window = Window(Year(first), None, None, Year(last) if last else None)
    return Clue(name, Is(Named(feature), (Named(value),)), window, Named("weak"), "", ())


BASE = KnowledgeBase(
    "made up",
    settings=setting_entries(),
    metal_marks={mark.name: mark for mark in MARKS},
    clues={
        "a": clue("a", "metal-mark", "bonded", 1900, None),
        "b": clue("b", "metal-mark", "bonded", 1910, 1980),
        "c": clue("c", "metal", "argent", 1850, None),
    },
    findings={
        "silver": Finding(
            "silver",
            Is(Named("metal-mark"), (Named("sterling"),)),
            means=(Named("metal"), Named("argent")),
        )
    },
)
LIMITS = metal_limits(BASE)


def one(text: str) -> MetalReading:
    (reading,) = find_metal_marks(text, BASE)
    return reading


@every_case("text", ["12K", "12 K.", "12k gold", "12 K GOLD", "12-K"])
def test_spelling_is_forgiven(text: str) -> None:
    reading = one(text)
    assert (reading.mark, reading.karat, reading.fineness) == ("solid", 12, (500, 500))
    assert reading.fine_share == pytest.approx((0.458, 0.5))


def test_figure_written_out_in_a_rule_beats_a_pattern() -> None:
    assert one("14K").mark == "special"
    assert one("14K").fine_share == pytest.approx((0.58, 0.585))


def test_fraction_and_karat_multiply() -> None:
    for text in ("1/20 12K BD", "1/20TH 12K B.D.", "1/20 12 K B D"):
        reading = one(text)
        assert (reading.fraction, reading.karat) == (Fraction(1, 20), 12)
        assert reading.fine_share == pytest.approx((0.025, 0.025))
        assert reading.claim == reading.besides == "1/20 12K bonded"


def test_figure_that_was_not_read_falls_out_of_the_words() -> None:
    assert one("1/20 BD").claim == "1/20 bonded"
    assert one("BD").claim == "bonded"
    assert one("BD").fine_share is None


def test_figures_that_contradict_are_read_apart() -> None:
    assert one("18K 750").mark == "both"
    assert [each.mark for each in find_metal_marks("18K 950", BASE)] == ["solid", "silver-950"]


def test_one_text_with_two_meanings_gives_both() -> None:
    reading = one(".950")
    assert (reading.mark, reading.weight) == ("silver-950", 0.75)
    assert [each.mark for each in reading.alternatives] == ["platinum-950"]
    (observation,) = metal_observations(BASE, [reading])
    assert (observation.feature, observation.value) == ("metal-mark", "silver-950")
    assert observation.certainty == "fair"
    assert "platinum" in observation.assumed


def test_bare_figure_of_two_digits_counts_only_alone() -> None:
    assert one("84").mark == "old-84"
    assert find_metal_marks("ACME 84", BASE) == ()


def test_two_letters_that_may_be_initials_are_a_guess() -> None:
    (observation,) = metal_observations(BASE, find_metal_marks("M.S.", BASE))
    assert observation.certainty == "guess"


def test_two_signs_with_a_karat_are_no_guess() -> None:
    (observation,) = metal_observations(BASE, find_metal_marks("9K", BASE))
    assert observation.certainty != "guess"


def test_marks_within_other_words_are_found_in_place() -> None:
    text = "ACME 1/20 12K BD, pat. pend. STERLING"
    readings = find_metal_marks(text, BASE)
    assert [each.mark for each in readings] == ["bonded", "sterling"]
    assert [text[each.start : each.end] for each in readings] == ["1/20 12K BD", "STERLING"]


@every_case("text", ["", "ACME", "STERLINGTON", "5.5 cm", "1/1/1", "K", "99K"])
def test_what_is_no_mark_gives_nothing(text: str) -> None:
    assert find_metal_marks(text, BASE) == ()


def test_years_come_from_the_clue_that_limits_most() -> None:
    assert one("BD").years == (1910, None, None, 1980)
    assert one("STERLING").years == (1850, None, None, None)
    assert one("950").years is None


@every_case(
    ("text", "thousandths"),
    [("925", 925), (".925", 925), ("0.925", 925), ("0,925", 925), ("92.5", 925), ("925/1000", 925)],
)
def test_thousandths(text: str, thousandths: int) -> None:
    taken = fineness(LIMITS, tokens(text), 0)
    assert taken is not None
    assert taken == (len(tokens(text)), thousandths)


@given(st.integers(6, 24))
def test_karat_is_a_24th(number: int) -> None:
    assert karat(LIMITS, tokens(f"{number}K"), 0) == (1, Fraction(number))


@given(st.integers(1, 5), st.integers(6, 200))
def test_fraction_is_exact_and_written_back(top: int, bottom: int) -> None:
    taken = fraction(LIMITS, tokens(f"{top}/{bottom}"), 0)
    assert taken == (3, Fraction(top, bottom))
    assert fraction(LIMITS, tokens(written(Fraction(top, bottom))), 0) == taken


@every_case("text", ["14/20", "0/20", "20/1", "1/0", "1/", "/20"])
def test_what_is_no_fraction(text: str) -> None:
    assert not tokens(text) or fraction(LIMITS, tokens(text), 0) is None


def test_grams_of_fine_metal_and_what_they_melt_for() -> None:
    grams = fine_grams(one("1/20 12K BD"), gross_g=12, stones_g=2)
    assert grams == pytest.approx((0.25, 0.25))
    assert grams is not None
    assert melt_value(grams, price_per_gram(100, "g")) == pytest.approx((25, 25))
    assert fine_grams(one("BD"), 10) is None
    assert fine_grams(one("MOCK SILVER"), 10) == Range(0, 0)


@pytest.mark.parametrize(("gross", "stones"), [(-1, 0), (1, 2), (1, -1)])
def test_impossible_weights_are_refused(gross: float, stones: float) -> None:
    with pytest.raises(ValueError, match="weights"):
        fine_grams(one("14K"), gross, stones)


def test_impossible_prices_are_refused() -> None:
    with pytest.raises(ValueError, match="unknown unit"):
        price_per_gram(1, "stone")
    for price in (-1, float("nan")):
        with pytest.raises(ValueError, match="price"):
            price_per_gram(price)


def test_piece_is_counted_by_its_coat() -> None:
    coated = whole_piece(find_metal_marks("14K 18K COATED", BASE))
    assert coated is not None
    assert coated.mark == "coat"
    assert whole_piece(find_metal_marks("14K STERLING", BASE)) is None
    assert whole_piece(()) is None


@given(st.floats(0.01, 1e4), st.floats(0, 1), st.sampled_from(["14K", "1/20 12K BD", "STERLING"]))
def test_grams_never_pass_the_weight(gross: float, part: float, text: str) -> None:
    grams = fine_grams(one(text), gross, gross * part)
    assert grams is not None
    assert 0 <= grams.low <= grams.high <= gross * (1 - part) + 1e-9


@given(st.text(max_size=300))
def test_any_text_is_read_without_complaint(text: str) -> None:
    for reading in find_metal_marks(text, BASE):
        assert text[reading.start : reading.end] == reading.words
        assert reading.weight + sum(each.weight for each in reading.alternatives) <= 1 + 1e-9


@given(st.lists(st.sampled_from(["1/20", "14", "K", "BD", ".", "950", "/", "1000", "GOLD", "M"])))
def test_pieces_of_marks_in_any_order_are_read_without_complaint(pieces: list[str]) -> None:
    find_metal_marks(" ".join(pieces), BASE)
    find_metal_marks("".join(pieces), BASE)


@every_case("text", ["1/20 " * 20_000, "K" * 100_000, "M S " * 30_000, "9" * 100_000])
def test_hostile_text_takes_bounded_time(text: str) -> None:
    assert grows_as_its_length(lambda some: find_metal_marks(some, BASE), text)


@every_case("slot", metal_slots(BASE).values())
def test_slots_read_nothing_at_the_end(slot: object) -> None:
    assert callable(slot)
    assert slot((), 0) is None


@every_case(("stamped", "of_24"), [("5K", None), ("6K", 6), ("8K", 8), ("24K", 24), ("25K", None)])
def test_a_karat_is_no_less_than_six_and_no_more_than_fine(stamped: str, of_24: int | None) -> None:
    found = karat(LIMITS, tokens(stamped), 0)
    assert (found and found[1]) == of_24


@pytest.mark.parametrize(
    ("text", "solid"), [("14K P.F.", True), ("14K P", False), ("18K R.G.", False)]
)
def test_a_letter_of_initials_does_not_qualify_a_figure(text: str, solid: bool) -> None:
    """P. F. signs; a P apart may be plumb gold or plate, and R.G. may be rolled gold."""
    first = find_metal_marks(text, shipped_base())[0]

    assert (first.how == "solid") is solid


def test_a_claim_quotes_the_mark_and_then_says_what_it_means() -> None:
    def base(quote: str, claim: str) -> KnowledgeBase:
        mark = MetalMark("m", ("{karat}K",), "gold", quote=quote, claim=claim)
        return KnowledgeBase("made up", settings=setting_entries(), metal_marks={"m": mark})

    for quote, claim, said, besides in (
        ("Stamped {karat}K", "{karat} parts.", "Stamped 14K; 14 parts.", "14 parts."),
        ("Stamped {karat}K", "", "Stamped 14K.", ""),
        ("", "Gold, as stamped.", "Gold, as stamped.", "Gold, as stamped."),
        ("", "", "", ""),
    ):  # fmt: skip
        (reading,) = find_metal_marks("14K", base(quote, claim))
        assert (reading.claim, reading.besides) == (said, besides)


@pytest.mark.parametrize(("beside", "known"), [("DENMARK", True), ("ZORBLE", False)])
def test_words_that_a_clue_says_leave_a_mark_as_sure_as_it_is(beside: str, known: bool) -> None:
    where = Clue("d", Says(Named("mark"), ("DENMARK",)), Window(), Named("strong"), "…", ())
    base = replace(BASE, clues={"d": where})

    alone, other = find_metal_marks("14K", base)[0], find_metal_marks(f"14K {beside}", base)[0]

    assert (other.how == alone.how) is known


@every_case("word", ["TOPIC", "BOARD", "MESH", "SUSPENDER", "SAMPLE", "COVENANT", "SKY", "AVE"])
def test_a_word_of_a_longer_name_beside_a_fineness_leaves_it_unsure(word: str) -> None:
    """It stands in the name of some maker, whom it does not name by itself."""
    for text in (f"14K {word}", f"{word} 14K", f"{word.lower()} 585"):
        found = find_metal_marks(text, shipped_base())
        assert found, text
        assert all(each.how == "not sure" for each in found), text


@every_case(
    "text", ["14K KREMENTZ", "KREMENTZ & CO 14K", "HOT TOPIC 925", "14K BERMUDA", "14K ROSE GOLD"]
)
def test_a_makers_name_a_place_and_a_colour_take_nothing_back(text: str) -> None:
    assert find_metal_marks(text, shipped_base())[0].how == "solid"


def test_of_words_of_no_list_none_leaves_a_fineness_solid() -> None:
    """Ordinary words that are no maker, place or inscription of the rules, drawn for this test."""
    words = (
        "ribbon gallop hasten thicket burrow candid pilfer morsel lattice quarrel timber wander "
        "sullen drizzle anvil bramble cudgel dapple ferret grapple hobble inkling jostle kindle"
    )
    solid = [
        text
        for word in words.upper().split()
        for text in (f"14K {word}", f"{word} 14K", f"585 {word}", f"{word} STERLING")
        if any(each.how == "solid" for each in find_metal_marks(text, shipped_base()))
    ]
    assert solid == []
