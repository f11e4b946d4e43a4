"""Date letters against a small table made up for these tests."""

from __future__ import annotations

import pytest
from engine_numbers import setting_entries
from hypothesis import given
from hypothesis import strategies as st
from together import every_case

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.language.spans import Named
from markrules.language.tree import Feature, Register, Row, Trust, Value
from markrules.marks.hallmarks import date_letter_years, hallmark_observations


def row(letter: str, year: int, case: str, style: str, trust: str = "") -> Row:
    said = (("case", case), ("style", style))
    named = Named(trust) if trust else None
    return Row(letter, year, year + 1, qualifiers=said, trust=named)


BASE = KnowledgeBase(
    "made up",
    settings=setting_entries(
        {
            "letter-case-slip": 0.1,
            "typed-case-slip": 0.4,
            "letter-style-slip": 0.2,
        }
    ),
    trusts={"weak": Trust("weak", 0.3)},
    features={
        "hallmark-office": Feature(
            "hallmark-office",
            values=(Value("hill", share=0.9), Value("dale", share=0.1), Value("none-such")),
        )
    },
    registers={
        "hill-date-letter": Register(
            "hill-date-letter",
            "Hill",
            "letter",
            columns=("case", "style", "shield"),
            rows=(
                row("R", 1850, "capital", "roman"),
                row("r", 1880, "small", "black letter"),
                row("R", 1910, "capital", "script", "weak"),
                row("I", 1890, "capital", "roman"),
            ),
        ),
        "dale-date-letter": Register(
            "dale-date-letter", "Dale", "letter", rows=(Row("R", 1935, 1935),)
        ),
        "north-year-mark": Register(
            "north-year-mark", "North", "letter", rows=(Row("Z7", 1977, 1977),)
        ),
    },
)


def weights(*arguments: str | None, **seen: str) -> dict[int, float]:
    return dict(date_letter_years(BASE, *arguments, **seen))  # type: ignore[arg-type]


def test_every_year_that_fits_is_given() -> None:
    years = weights("hill", "R")
    assert {1850, 1851, 1880, 1881, 1910, 1911} <= set(years)
    assert sum(years.values()) == pytest.approx(1)


def test_letter_as_written_counts_a_little_and_a_look_more() -> None:
    typed, looked = weights("hill", "R"), weights("hill", "R", case="capital")
    assert typed[1850] / typed[1880] == pytest.approx(0.6 / 0.4, rel=1e-6)
    assert looked[1850] / looked[1880] == pytest.approx(0.9 / 0.1, rel=1e-6)


def test_style_sorts_the_cycles() -> None:
    years = weights("hill", "r", style="black-letter", case="small")
    assert max(years, key=years.__getitem__) in {1880, 1881}
    assert years[1880] > 10 * years[1850]


def test_row_from_memory_spreads_over_its_neighbours() -> None:
    years = weights("hill", "R", case="capital", style="script")
    assert years[1909] > 0.01
    assert years[1912] == pytest.approx(years[1909])
    assert years[1910] > 5 * years[1909]


def test_i_may_be_j() -> None:
    assert 1890 in weights("hill", "J")


def test_unknown_office_weighs_all_by_how_often_they_are_met() -> None:
    years = weights(None, "R")
    assert years[1850] > years[1935] > 0


def test_several_letters_may_be_offered() -> None:
    for text in ("[RI]", "R or I", "R/I"):
        assert {1850, 1890} <= set(weights("hill", text))


def test_letter_with_a_number_is_a_year_mark() -> None:
    years = weights(None, "Z7")
    assert max(years, key=years.__getitem__) == 1977


@every_case("letter", ["", "?", "anchor", "Ω", "R" * 5_000])
def test_what_no_table_has_gives_no_year(letter: str) -> None:
    assert date_letter_years(BASE, "hill", letter) == ()


def test_office_without_a_table_gives_nothing() -> None:
    assert date_letter_years(BASE, "none-such", "R") == ()


def test_observation_joins_office_and_letter() -> None:
    seen = (
        Observation("date-letter", "R", certainty="fair", words="letter R"),
        Observation("hallmark-office", "hill"),
        Observation("date-letter-case", "capital"),
    )

    (found,) = hallmark_observations(seen, BASE)

    assert (found.feature, found.value, found.certainty) == ("hill-date-letter", "R", "fair")
    assert dict(found.weights) == weights("hill", "R", case="capital")
    assert found.years == (found.weights[0][0], found.weights[-1][0])
    assert found.assumed == ""


def test_observation_without_an_office_says_what_was_assumed() -> None:
    (found,) = hallmark_observations((Observation("date-letter", "R"),), BASE)
    assert found.feature == "hill-date-letter"
    assert "no office" in found.assumed


@every_case(
    "seen",
    [
        (),
        (Observation("hallmark-office", "hill"),),
        (Observation("date-letter", "R", heard=True),),
        (Observation("date-letter", state="absent"),),
        (Observation("date-letter", "Q"), Observation("hallmark-office", "hill")),
    ],
)
def test_without_a_letter_seen_there_is_no_observation(seen: tuple[Observation, ...]) -> None:
    assert hallmark_observations(seen, BASE) == ()


@given(st.text(max_size=40), st.sampled_from(["hill", "dale", None, "nowhere"]))
def test_any_letter_is_read_without_complaint(letter: str, office: str | None) -> None:
    years = date_letter_years(BASE, office, letter)
    assert not years or sum(weight for _, weight in years) == pytest.approx(1)
