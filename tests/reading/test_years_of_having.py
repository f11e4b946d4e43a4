"""A year in which somebody had a piece bounds when it was made: nothing was cut in or founded."""

from __future__ import annotations

from shipped_base import shipped_reader
from together import every_case

from markrules.inference.reading import Reading
from markrules.reading.reader import Request
from markrules.telling.limits import share_of_years

GIVEN = {
    "my mum bought this necklace in 1962": ("had-year", 1962),
    "necklace, bought in the 1960s": ("had-year", 1969),
    "necklace, mum bought it in '62": ("had-year", 1962),
    "necklace, mum bought it in 62": ("had-year", 1962),
    "necklace, bought it in the sixties": ("had-year", 1969),
    "necklace, got it in Rome in 1966": ("had-year", 1966),
    "necklace, I have had this since 1974": ("had-year", 1974),
    "necklace, in the family since 1920": ("had-year", 1920),
    "I have had this necklace since 1974": ("had-year", 1974),
    "my mother had this necklace since 1961": ("had-year", 1961),
    "since 1974 I have had this necklace": ("had-year", 1974),
    "we have owned the gilt necklace since 1988": ("had-year", 1988),
    "necklace, has been in my jewellery box since 1980": ("had-year", 1980),
    "necklace, not worn since 1965": ("had-year", 1965),
    "necklace, has been with my aunt since 1958": ("had-year", 1958),
    "necklace, belonged to a great aunt who died 1952": ("had-year", 1952),
    "necklace, worn to my wedding in 1971": ("given-year", 1971),
    "necklace, gran had this when she married in 1938": ("given-year", 1938),
    "necklace, wedding gift in the late sixties": ("given-year", 1969),
    "gold tone necklace, worn in 1985": ("given-year", 1985),
    "necklace, my mum wore it in the eighties": ("given-year", 1989),
    "necklace, I wore this to school dances in the 60s": ("given-year", 1969),
    "necklace, worn by my mother during the 1940s": ("given-year", 1949),
    "necklace given to me for Christmas 1978": ("given-year", 1978),
    "she got this necklace when she was 18 in 1961": ("given-year", 1961),
    "necklace, my mother got it for her 21st, in 1953": ("given-year", 1953),
    "dad gave mum this necklace on their engagement in 1951": ("given-year", 1951),
    "bought on our honeymoon, 1968, gold tone necklace": ("given-year", 1968),
    "necklace, came back from India in 1936 with my grandfather": ("had-year", 1936),
    "necklace, bought new from a shop in Leeds about 1975": ("new-in-year", 1975),
    "necklace, bought new in 1985": ("new-in-year", 1985),
}


def read(note: str) -> Reading:
    return shipped_reader().read(Request(note))


@every_case("note", list(GIVEN))
def test_it_was_made_by_then(note: str) -> None:
    feature, year = GIVEN[note]
    reading = read(note)
    found = {each.feature: each for each in reading.observations}

    assert found[feature].years is not None
    assert found[feature].heard  # nobody sees it on the piece
    assert feature in {clue.feature for clue in reading.clues}
    assert not any("not counted" in note for note in reading.notes)
    assert {"inscribed-year", "founded-year", "fault"}.isdisjoint(found)
    # Somebody's memory is a soft bound: most of the probability lies before it, not all.
    made_by = share_of_years(reading, None, year + 8)
    assert 0.8 < made_by < 1.0


def test_what_was_sold_as_new_is_of_those_years_and_what_was_bought_may_be_older() -> None:
    new, bought = read("necklace, bought new in 1985"), read("necklace, bought in 1985")

    assert new.date.range.first > 1965
    assert bought.date.range.first < 1935


@every_case(
    ("note", "feature"),
    [
        ("locket engraved JS died 1852", "inscribed-year"),
        ("ring, inscribed married 1901", "inscribed-year"),
        ("ring, firm established since 1878", "founded-year"),
        ("brooch, the family has owned the firm since 1950", "founded-year"),
        ("ring, jewellers since 1895", "founded-year"),
        ("this design has been made since 1962, brooch", "founded-year"),
        ("necklace, sold as 1920s", "told-date"),
        ("earrings from the eighties, worn twice", "style"),
    ],
)
def test_other_years_stay_what_they_are(note: str, feature: str) -> None:
    found = {each.feature for each in read(note).observations}

    assert feature in found
    assert {"had-year", "given-year", "new-in-year"}.isdisjoint(found)


@every_case("note", ["chain worn thin in one place, bought in 1960", "plating worn, 1960"])
def test_what_is_worn_is_still_a_fault(note: str) -> None:
    assert any(each.feature == "fault" for each in read(note).observations)


def test_a_number_behind_having_counts_what_stands_behind_it() -> None:
    found = {each.feature for each in read("ring bought in 30 pieces").observations}

    assert "had-year" not in found


def test_a_year_before_such_stones_were_made_is_told_as_what_does_not_fit() -> None:
    # Stones with that coating are sold since 1955 or 1956, as the makers of crystal tell.
    reading = read("AB rhinestone clip earrings, worn at her wedding in 1922")

    assert reading.date.range.first >= 1950
    assert reading.misleading[0].name == "had-before-the-make"
    assert any("of another piece, or misremembered" in each for each in reading.contradictions)


def test_what_else_was_told_of_a_feature_that_is_seen_counts_for_nothing() -> None:
    reading = read("brooch, rollover catch, said to have had a C catch, bought in 1950")

    assert {each.value for each in reading.observations if each.heard} == {"c-catch", "1950"}
    assert reading.counted_told == ("had-year",)
    assert any("not counted: C catch" in note for note in reading.notes)
