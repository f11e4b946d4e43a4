"""Dates and numbers as people type them come through their punctuation.

The years: US patent 1,933,576 is of 31 October 1933 (US register of patents); the Swedish letter
T9 is 1969 and the Finnish U7 is 1973, by the published tables of both lands' year letters; US
patents issue on Tuesdays, and 16 September 1873 was one.
"""

from __future__ import annotations

import datetime
import itertools
import re

import pytest
from command import answer
from hypothesis import given
from hypothesis import strategies as st
from samples import some_of
from together import every_case

from markrules.knowledge.roman_figures import roman_year
from markrules.notes.folding import Folding
from markrules.notes.quantities import years_at
from markrules.notes.tokens import tokens_of


def years(note: str) -> dict[str, tuple[int, int]]:
    """The years read, by feature; told ones left out."""
    return {
        each["feature"]: tuple(each["years"])
        for each in answer("read", note, "--looks", "0")["observations"]
        if each.get("years") and not each.get("heard")
    }


@every_case(
    ("note", "feature", "expected"),
    [
        ("9ct ring 1973 Sheffield", "hallmark-year", (1973, 1973)),
        ("gold ring inscribed 1962 inside the shank", "inscribed-year", (1962, 1962)),
        ("gold ring inscribed 1944 to 1946 inside the shank", "inscribed-year", (1944, 1946)),
        ("bangle, engraved July the 4th, 1944", "inscribed-year", (1944, 1944)),
        ("bangle, engraved October, 1887", "inscribed-year", (1887, 1887)),
        ("bangle, engraved 4.JUL.68", "inscribed-year", (1868, 1968)),
        ("bangle, dated on the back 4.7.'16", "inscribed-year", (1816, 1916)),
        ("bangle, engraved 17.10.'87", "inscribed-year", (1887, 1987)),
        ("bangle, engraved · 1944 ·", "inscribed-year", (1944, 1944)),
        ("silver bangle, engraved MB MCMLXII", "inscribed-year", (1962, 1962)),
        ('bracelet, engraved "To Mary MCMXVI"', "inscribed-year", (1916, 1916)),
        ('bracelet, engraved "To Mary \'68"', "inscribed-year", (1868, 1968)),
        ("ring engraved E.R. to J.B. 17 October 1916, 22ct", "inscribed-year", (1916, 1916)),
        ("earrings, clip marked PAT. October 17th, 1922", "patent-date", (1922, 1922)),
        ("hat pin, Pat. OCTR. 17TH 1904", "patent-date", (1904, 1904)),
        ("brooch marked © MCMLXXVIII", "copyright-year", (1978, 1978)),
        ("brooch marked © (1991)", "copyright-year", (1991, 1991)),
        ("brooch, Pat.1933576, rhinestones", "us-patent", (1933, 1933)),
        ("cuff button, marked PAT. SEPT. 16, 1873", "patent-date", (1873, 1873)),
        ("bangle, engraved 17 October, 1868", "inscribed-year", (1868, 1868)),
        ("bangle, engraved Oct. 17, 1868, silver", "inscribed-year", (1868, 1868)),
        ("bangle, engraved 3rd of May, 1871", "inscribed-year", (1871, 1871)),
        ("ring, engraved with love '62, 9ct", "inscribed-year", (1962, 1962)),
        ("bangle, engraved 4.10.1887", "inscribed-year", (1887, 1887)),
        ("bangle, engraved 17/10/1868", "inscribed-year", (1868, 1868)),
        ("bangle, dated 1887.10.4", "inscribed-year", (1887, 1887)),
        ("bangle, dated 1880/90", "inscribed-year", (1880, 1890)),
        ("bangle, inscribed Oct.1887", "inscribed-year", (1887, 1887)),
        ("bangle, engraved MDCCCLXXXVII", "inscribed-year", (1887, 1887)),
        ("bangle, inscribed 25-XII-1944", "inscribed-year", (1944, 1944)),
        ("bangle, inscribed 17/10/68", "inscribed-year", (1868, 1968)),
        ("cuff button, pat. 8.9.81", "patent-date", (1881, 1981)),
        ("cuff button, PAT. APR. 8. 1884", "patent-date", (1884, 1884)),
        ("earrings, plaque marked CHANEL 95 P", "couture-season", (1994, 1995)),
        ("earrings, plaque marked CHANEL 2 CC 6", "couture-season", (1986, 1989)),
        ("cuff button, PAT. MAR. 30. 1875", "patent-date", (1875, 1875)),
        ("pin, dated 1912 in enamel", "inscribed-year", (1912, 1912)),
        ("pin, copyright W.D.P. 1935 in raised letters", "copyright-year", (1935, 1935)),
        ("brooch, silver, Edinburgh 1953 hallmark", "hallmark-year", (1953, 1953)),
        ("earrings, gold, London import mark of 1908", "hallmark-year", (1908, 1908)),
        ("locket, Birmingham 9ct with mark of 1871", "hallmark-year", (1871, 1871)),
        ("cuff button, PAT. APL. 7. 85", "patent-date", (1885, 1985)),
        ("cuff button, patented 17 October, 1868", "patent-date", (1868, 1868)),
        ("bangle, Chester 1903-04", "hallmark-year", (1903, 1904)),
        ("bangle, hallmarked 1903/4", "hallmark-year", (1903, 1904)),
    ],
)
def test_a_date_comes_through(note: str, feature: str, expected: tuple[int, int]) -> None:
    assert years(note)[feature] == expected


@every_case(
    ("note", "expected"),
    [
        ("necklace, circa 1920-30s", {"told-date": (1920, 1939)}),
        ("necklace, 1950s/1960s", {"told-date": (1950, 1969)}),
        ("necklace, 1950s-60s", {"told-date": (1950, 1969)}),
        ("necklace, 1950-60", {"told-date": (1950, 1960)}),
        ("necklace, early 1900s", {"told-date": (1900, 1932)}),
        ("necklace, late 1800s", {"told-date": (1866, 1899)}),
        ("necklace, mid-1930s", {"told-date": (1933, 1935)}),
        ("necklace, late 1937", {"told-date": (1937, 1937)}),
        ("brooch, lot 1912", {"no-year": (1912, 1912)}),
        ("brooch, tel. 1938", {"no-year": (1938, 1938)}),
        ("brooch, phone 555-1947", {"no-year": (1947, 1947)}),
        ("brooch, inventory code 1912-44", {"no-year": (1912, 1944)}),
        ("brooch, accession no. 1934.12.7", {"no-year": (1934, 1934)}),
        ("brooch, priced at 1920 lire", {"no-year": (1920, 1920)}),
        ("pendant, coin of 1921", {"coin-year": (1921, 1921)}),
        ("beads, restrung in 2005, glass", {"later-year": (2005, 2005)}),
        ("brooch, lots of stones, 1912", {"told-date": (1912, 1912)}),
    ],
)
def test_a_year_that_was_told_is_of_what_it_was_told(
    note: str, expected: dict[str, tuple[int, int]]
) -> None:
    seen = answer("read", note, "--looks", "0")["observations"]

    assert {each["feature"]: tuple(each["years"]) for each in seen if each.get("years")} == expected


A_NUMBER = (
    *("$N", "£ N", "€N", "N EUR", "CHF N", "sold for N dollars", "N kr", "N ct in all"),
    *("inv. N", "inv. no. N", "acc. N", "object no. N", "object number N", "item number N"),
    *("ref. N", "Ref: N", "catalogue number N", "stock no. N", "art. nr. N", "Art.-Nr. N"),
    *("invoice no. N", "lot N", "Lot #N", "IMG_N", "DSC_N", "IMG-N.JPG", "call 555-N"),
    *("N Elm Street", "p. N", "fig. N", "pl. N", "vol. N"),
    *("shape number N", "shape no. N", "model N", "pattern no. N", "numbered N", "#N", "№ N"),
    *("nr. N", "Nr N", "serial number N", "stamped with the number N", "a painted number N"),
    *("no. N of 2500", "limited edition of N", "N sales", "N followers", "drawer N"),
)
A_YEAR = (
    *("circa N", "c.N", "made in N", "dated N", "date: N", "N", "hallmarks for N", "date code N"),
    *("Birmingham N", "© N", "patented N", "registered N", "design of N", "pattern of N"),
    *("catalogue of N", "label N", "engraved No. 12 N", "the year N", "N Birmingham"),
    *("era: N", "stamped N", "receipt of N", "shown N"),
)
LAYOUTS = ("silver brooch, {}", "{}: silver brooch", "silver brooch ({})", "brooch. {}. Oval")


def years_and_numbers(note: str) -> set[str]:
    """The features whose years a note tells, seen or only told."""
    return {
        each["feature"]
        for each in answer("read", note, "--looks", "0")["observations"]
        if each.get("years")
    }


def with_number(way: str, number: str) -> str:
    """A way of saying it with its number in the place of `N` that stands by itself."""
    return re.sub(r"(?<![A-Za-z])N(?![A-Za-z])", number, way)


@every_case(
    ("way", "number", "layout"),
    some_of(itertools.product(A_NUMBER, ["1875", "1943", "2001"], LAYOUTS)),
)
def test_a_number_of_something_is_no_year(way: str, number: str, layout: str) -> None:
    note = layout.format(with_number(way, number))

    assert years_and_numbers(note) - {"no-year"} == set(), note


@every_case(("way", "layout"), some_of(itertools.product(A_YEAR, LAYOUTS)))
def test_beside_other_words_it_is_a_year(way: str, layout: str) -> None:
    note = layout.format(with_number(way, "1923"))

    assert years_and_numbers(note) - {"no-year"}, note


def test_the_date_of_a_patent_is_a_tuesday() -> None:
    assert datetime.date(1873, 9, 16).strftime("%A") == "Tuesday"


@every_case(
    ("note", "expected"),
    [
        ("ring, silver, marked T9, three crowns", (1969, 1969)),
        ("silver pendant, Swedish hallmarks, T9", (1969, 1969)),
        ("silver brooch, Finland, U7", (1973, 1973)),
        ("silver brooch, marked U7, finland", (1973, 1973)),
        ("ring, Swedish year mark T9", (1969, 1969)),
        ("brooch, marked U7, Finland, 813H", (1973, 1973)),
    ],
)
def test_a_year_letter_of_the_north_is_read_by_its_land(
    note: str, expected: tuple[int, int]
) -> None:
    date = answer("read", note, "--looks", "0")["date"]

    assert (date["from"], date["to"]) == expected


@pytest.mark.parametrize("note", ["ring, engraved 45.99.1887", "ring, 925/1000, 1/20 12K GF"])
def test_what_is_no_day_is_no_year(note: str) -> None:
    assert years(note) == {}


@pytest.mark.parametrize("note", ["ring, marked T9", "ring, T9", "ring, engraved MIX, CIVIL"])
def test_a_letter_and_a_number_alone_are_no_year(note: str) -> None:
    assert years(note) == {}


@given(st.integers(1750, 2030))
def test_a_year_in_roman_figures_is_read_back(year: int) -> None:
    """Written by the usual table of figures; those of three letters or fewer are too like words."""
    table = (
        *((1000, "M"), (900, "CM"), (500, "D"), (400, "CD"), (100, "C"), (90, "XC"), (50, "L")),
        *((40, "XL"), (10, "X"), (9, "IX"), (5, "V"), (4, "IV"), (1, "I")),
    )
    left, written = year, ""
    for worth, figure in table:
        written += figure * (left // worth)
        left %= worth
    assert roman_year(written, shortest=4) == (year if len(written) >= 4 else None)


def test_a_year_cut_in_is_not_read_again_as_one_of_copyright() -> None:
    assert set(years("bangle, engraved 17 October 1868")) == {"inscribed-year"}


@pytest.mark.parametrize("note", ["ring, size 7, 1950s, gold", "beads, 16, 1960s, glass"])
def test_a_comma_between_other_things_still_parts_them(note: str) -> None:
    assert len(answer("read", note, "--looks", "0")["account"]) >= 3


@every_case(
    ("note", "year"),
    [
        ("earrings on card 1986", 1986),
        ("necklace in original box from 1972", 1972),
        ("brooch, box dated 1964", 1964),
        ("clip earrings, carded, label: Avon 1980", 1980),
    ],
)
def test_a_year_on_what_came_with_a_piece_is_read_there_and_moves_its_years(
    note: str, year: int
) -> None:
    read = answer("read", note, "--looks", "0")
    found = [each for each in read["observations"] if each["feature"] == "label-year"]

    assert [each["years"] for each in found] == [[year, year]]
    assert not found[0].get("heard")
    assert read["date"]["from"] >= year - 25
    assert read["date"]["to"] <= year + 15


@every_case(
    ("text", "expected"),
    [
        ("1930-1940", (1930, 1940)),
        ("1940-1930", (1940, 1940)),
        ("1940-30", (1940, 1940)),
        ("1940-1940", (1940, 1940)),
        ("1880/90", (1880, 1890)),
        ("1890/80", None),
        ("1890/90", None),
    ],
)
def test_years_that_run_backwards_are_no_span(text: str, expected: tuple[int, int] | None) -> None:
    found = years_at(tokens_of(text, Folding()), 0)
    assert (found and (found.first, found.last)) == expected
