"""Season codes on plaques: years only beside the house, and no name of a maker."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from samples import samples
from shipped_base import shipped_base, shipped_reader
from together import every_case

from markrules.knowledge.observation import Observation
from markrules.marks.season_codes import is_season_code, season_observations
from markrules.reading.reader import Request


def years(*texts: str) -> tuple[int, int] | None:
    found = season_observations([Observation("mark", text) for text in texts], shipped_base())
    return found[0].years if found else None


@every_case(
    ("text", "expected"),
    [
        ("94 P", (1993, 1994)),
        ("94P", (1993, 1994)),
        ("9 4 P", (1993, 1994)),
        ("97 © CC A", (1997, 1997)),
        ("2 CC 6", (1986, 1989)),
        ("01 P", (2000, 2001)),
        ("CHANEL 05 V", (2005, 2005)),
    ],
)
def test_a_code_is_read_however_it_is_spaced(text: str, expected: tuple[int, int]) -> None:
    assert years("CHANEL", text) == expected


@every_case("text", ["26", "94 X", "STERLING", "925", "94 P 17 B", ""])
def test_what_is_no_code_tells_nothing(text: str) -> None:
    assert years("CHANEL", text) is None


def test_a_code_tells_nothing_without_its_house() -> None:
    assert years("94 P") is None
    assert years("MONET", "94 P") is None


@settings(max_examples=samples(60))
@given(st.text(max_size=12))
def test_any_text_beside_the_house_is_safe(text: str) -> None:
    found = season_observations(
        [Observation("mark", "CHANEL"), Observation("mark", text)], shipped_base()
    )

    assert is_season_code(text, found, shipped_base()) is bool(found)


def test_a_code_dates_the_piece_and_names_no_maker() -> None:
    reading = shipped_reader().read(
        Request(note="Chanel earrings, plaque stamped 94 P made in France", next_looks=0)
    )

    assert reading.makers[0].maker == "chanel"
    assert all(each.first >= 1990 and each.last <= 1999 for each in reading.date.years)
