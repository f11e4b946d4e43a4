"""Facts of the trade that a reading must bear out.

Common practice among dealers and collectors, no single source.
"""

from __future__ import annotations

from shipped_base import shipped_reader
from together import every_case

from markrules.inference.reading import Reading
from markrules.reading.reader import Request


def read(note: str) -> Reading:
    return shipped_reader().read(Request(note, next_looks=0))


def mass_between(reading: Reading, first: int, last: int) -> float:
    start = reading.date.first_year
    return sum(reading.date.curve[first - start : last - start + 1])


def test_austria_alone_with_resin_stones_and_worn_plating() -> None:
    reading = read("brooch, resin stones, plating worn at the edges, marked AUSTRIA")

    assert 1948 <= reading.date.range.first <= 1962
    assert 1968 <= reading.date.range.last <= 1982
    assert 1955 <= reading.date.median <= 1975


def test_made_in_austria_with_foiled_stones_and_blisters() -> None:
    reading = read("brooch, marked MADE IN AUSTRIA, foiled glass stones, plating blistering")

    assert 1945 <= reading.date.likeliest <= 1969
    assert 1950 <= reading.date.median <= 1969
    assert mass_between(reading, 1946, 1973) > 0.6


@every_case(
    ("note", "sign", "direction"),
    [
        ("brooch, glued stones", "glued", "poorer"),
        ("brooch, rough cast back", "rough", "poorer"),
        ("brooch, prong-set stones", "prong", "better"),
        ("brooch, open backs", "open", "better"),
        ("brooch, heavy", "heav", "better"),
        ("brooch, smooth finished back", "back", "better"),
    ],
)
def test_what_counts_for_make(note: str, sign: str, direction: str) -> None:
    signs = read(note).signs

    assert direction in {each.direction for each in signs}, [each.sign for each in signs]
    assert any(sign in f"{each.sign} {each.say}".casefold() for each in signs)


def test_a_heavily_textured_back_counts_for_nothing() -> None:
    signs = read("brooch, heavily textured back").signs

    assert not [each for each in signs if each.direction != "neutral"]


def test_a_replaced_catch_does_not_outvote_the_body() -> None:
    body = read("brooch, tube hinge, hair compartment, closed back setting, jet")
    repaired = read(
        "brooch, tube hinge, hair compartment, closed back setting, jet, rollover catch"
    )
    catch = next(each for each in repaired.clues if each.feature == "catch")

    assert repaired.date.median <= 1900
    assert abs(repaired.date.median - body.date.median) <= 25
    assert catch.branches.original < 0.05
    assert catch.branches.refit > max(catch.branches.misread, catch.branches.reuse)
    assert any("replaced" in text for text in repaired.contradictions)


def test_a_mark_ambiguous_by_its_letters_is_settled_by_the_catch_and_the_coating() -> None:
    """KR... fits a firm at work from the 1860s and another founded in 1943, about equally."""
    alone, old, new = (
        {each.maker: each.probability for each in read(f"brooch, mark KR..., {seen}").makers}
        for seen in (
            "",
            "c catch, tube hinge, pin extends past the edge, rose-cut stones",
            "rollover catch, AB stones",
        )
    )

    assert 0.5 < alone["krementz"] / alone["kramer"] < 2
    assert old["krementz"] / old.get("kramer", 0.001) > 5
    assert new["kramer"] / new["krementz"] > 1.4
