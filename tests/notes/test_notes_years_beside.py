"""To what a year belongs: to the words nearest it, to an office, a place or a card, or to nobody.

Expected are what the words of `markrules/notes/dating.py` promise, over the little rules.
"""

from __future__ import annotations

from little_base import little_vocabulary
from together import every_case

from markrules.notes.dating import OF_HALLMARK, ON_THE_PIECE, ON_WHAT_CAME_WITH_IT
from markrules.notes.understanding import understand

OFFICE, PLACE, CARD, NOT_ASSUMED = OF_HALLMARK, ON_THE_PIECE, ON_WHAT_CAME_WITH_IT, ""


def read(note: str) -> list[tuple[str, str, bool, str]]:
    """The years of a note: feature, years, whether only told, and what is assumed."""
    return [
        (each.feature, each.value, each.heard, each.assumed)
        for each in understand(little_vocabulary(), note).observations
        if each.years
    ]


@every_case(
    ("note", "value"),
    [
        ("Chester 1909", "1909"),
        ("1909 Chester", "1909"),
        ("bangle 1909 Chester", "1909"),
        ("gold 1909 Chester", "1909"),
        ("bangle Chester 1909", "1909"),
        ("Chester 1909-10", "1909-1910"),
        ("Chester with mark of 1909", "1909"),
    ],
)
def test_a_year_beside_an_office_is_of_its_letter(note: str, value: str) -> None:
    assert read(note) == [("hallmark-year", value, False, OFFICE)]


@every_case(
    ("note", "feature", "value", "assumed"),
    [
        ("1842 inside the band", "inscribed-year", "1842", PLACE),
        ("inside the band 1842", "inscribed-year", "1842", PLACE),
        ("card 1986", "label-year", "1986", CARD),
        ("on card 1986", "label-year", "1986", CARD),
        ("on its card dated 1986", "label-year", "1986", CARD),
        ("flag pin, on original card dated 1993", "label-year", "1993", CARD),
        ("gift box from 1972", "label-year", "1972", CARD),
        ("dated 1912", "inscribed-year", "1912", NOT_ASSUMED),
        ("1912 dated", "inscribed-year", "1912", NOT_ASSUMED),
        ("dated about 1912", "inscribed-year", "1912", NOT_ASSUMED),
        ("dated 1912-14", "inscribed-year", "1912-1914", NOT_ASSUMED),
        ("hallmark for 1912", "hallmark-year", "1912", NOT_ASSUMED),
        ("© 1985", "copyright-year", "1985", NOT_ASSUMED),
        ('engraved "M.B. 1943"', "inscribed-year", "1943", NOT_ASSUMED),
        ('engraved "1943 M.B."', "inscribed-year", "1943", NOT_ASSUMED),
    ],
)
def test_a_year_is_of_what_stands_nearest(
    note: str, feature: str, value: str, assumed: str
) -> None:
    assert read(note) == [(feature, value, False, assumed)]


@every_case(
    ("note", "value"),
    [
        ("1912", "1912"),
        ("1920s", "1920-1929"),
        ("bangle, 1912", "1912"),
        ("Chester 1909-11", "1909-1911"),
        ("Chester 1900s", "1900-1999"),
        ("Chester in 1909", "1909"),
        ("in Chester 1909", "1909"),
        ("reverse Chester 1909", "1909"),
        ("lovely 1909 Chester", "1909"),
        ("mark of 1909", "1909"),
        ("1840s inside the band", "1840-1849"),
        ("1842 inside the band of gold", "1842"),
        ("1842 glued inside the band", "1842"),
        ("gift box 1970s", "1970-1979"),
        ("gift box glued 1972", "1972"),
        ("gift box lovely from 1972", "1972"),
        ("1972 gift box", "1972"),
        ("grandmother said Chester 1909", "1909"),
        ("grandmother said 1842 inside the band", "1842"),
        ("grandmother said gift box 1972", "1972"),
    ],
)
def test_a_year_of_nothing_is_only_told(note: str, value: str) -> None:
    assert read(note) == [("told-date", value, True, "")]


@every_case(
    "note",
    [
        'engraved "1943 1944"',
        'engraved "M.B. 1543"',
        'engraved "M.B. 19431"',
        'engraved "5/1943"',
        'marked "M.B. 1943"',
    ],
)
def test_no_year_is_made_of_these(note: str) -> None:
    assert read(note) == []


def test_each_year_has_its_own_word() -> None:
    assert read("dated 1912 1920") == [
        ("inscribed-year", "1912", False, ""),
        ("told-date", "1920", True, ""),
    ]
    assert read("dated 1912 © 1920") == [
        ("inscribed-year", "1912", False, ""),
        ("copyright-year", "1920", False, ""),
    ]
    assert read("dated 1912, Chester 1909") == [
        ("inscribed-year", "1912", False, ""),
        ("hallmark-year", "1909", False, OFFICE),
    ]
    both = read('engraved "A. 1943" and "B. 1953"')
    assert both == [("inscribed-year", year, False, "") for year in ("1943", "1953")]


def test_what_is_doubted_stays_doubted() -> None:
    (seen,) = [
        e for e in understand(little_vocabulary(), "maybe dated 1912").observations if e.years
    ]
    assert (seen.certainty, seen.number, seen.years) == ("guess", 1912.0, (1912, 1912))
    (seen,) = [e for e in understand(little_vocabulary(), "dated 1912-14").observations if e.years]
    assert (seen.certainty, seen.number, seen.years) == ("sure", 1912.0, (1912, 1914))
