"""Two years of different meaning on one piece: which dates it, and what is said of the other.

Each pair follows from what the years are: nothing is assayed, boxed or patented before it exists,
and what was bought or worn in a year was made then or before.
"""

from __future__ import annotations

import pytest
from shipped_base import shipped_reader
from together import every_case

from markrules.inference.reading import Reading
from markrules.reading.reader import Request


def reading_of(first: str, second: str) -> Reading:
    note = f"silver brooch, {first}, {second}"
    return shipped_reader().read(Request(note=note, next_looks=0))


@every_case(
    ("first", "second", "kind"),
    [
        ("design of 1890", "hallmarked Birmingham 1935", "reissue"),
        ("design of 1890", "London import mark for 1935", "reissue"),
        ("design of 1890", "registered design of 1935", "other-year"),
        ("registered design of 1890", "hallmarked Birmingham 1935", "other-year"),
        ("engraved 1890", "hallmarked Birmingham 1935", "other-year"),
        ("engraved 1890", "registered design of 1935", "other-year"),
        ("engraved 1890", "design of 1935", "other-year"),
        ("box dated 1890", "hallmarked Birmingham 1935", "married"),
        ("box dated 1890", "registered design of 1935", "married"),
        ("box dated 1890", "design of 1935", "married"),
        ("said to be 1890", "hallmarked Birmingham 1935", "told-claim"),
        ("made in 1890", "Chester hallmark for 1935", "told-claim"),
    ],
)
@every_case("turned", [False, True])
def test_the_later_year_dates_it(first: str, second: str, kind: str, turned: bool) -> None:
    reading = reading_of(second, first) if turned else reading_of(first, second)

    assert kind in {each.kind for each in reading.misleading if each.stated}
    assert reading.date.span.first >= 1930


@every_case(
    ("first", "second"),
    [
        ("hallmarked Birmingham 1890", "bought in 1935"),
        ("hallmarked Birmingham 1890", "sold in 1935"),
        ("hallmarked Birmingham 1890", "worn in 1935"),
        ("registered design of 1890", "worn by her at a ball in 1935"),
        ("hallmarked Birmingham 1890", "given to her in 1935"),
        ("box dated 1890", "bought in 1935"),
    ],
)
def test_a_year_of_having_it_is_no_contradiction(first: str, second: str) -> None:
    reading = reading_of(first, second)

    assert not [each.name for each in reading.misleading if each.stated]
    assert reading.date.span.last < 1925


def test_a_letter_before_the_design_is_of_another_cycle() -> None:
    reading = reading_of("hallmarked Birmingham 1890", "registered design of 1935")

    assert "other-cycle" in {each.kind for each in reading.misleading if each.stated}
    assert reading.date.span.first >= 1930


@pytest.mark.parametrize("inscribed", ["engraved 1935", "engraved 'M.K. 1935'"])
def test_what_is_engraved_need_not_be_made_then(inscribed: str) -> None:
    reading = reading_of("hallmarked Birmingham 1890", inscribed)

    assert "other-year" in {each.kind for each in reading.misleading if each.stated}
    assert reading.date.span.last < 1900


@every_case(
    ("words", "feature", "year"),
    [
        ("designed 1905", "introduced-year", 1905),
        ("designed c1905", "introduced-year", 1905),
        ("Reg. Sept 1899", "patent-year", 1899),
        ("patd 1902", "patent-date", 1902),
        ("Pat.1933576", "us-patent", 1933),
        ("PAT. SEPT. 16, 1873", "patent-date", 1873),
        ("engraved 17 October, 1868", "inscribed-year", 1868),
        ("engraved '62", "inscribed-year", 1962),
        ("Swedish marks T9", "swedish-year-mark", 1969),
        ("Finnish mark U7", "finnish-year-mark", 1973),
    ],
)
def test_a_year_is_typed_by_how_it_is_written(words: str, feature: str, year: int) -> None:
    reading = shipped_reader().read(Request(note=f"silver brooch, {words}", next_looks=0))

    (first, last), *_ = [each.years for each in reading.observations if each.feature == feature]
    assert first <= year <= last


@every_case(
    "day",
    [
        *("OCT.3.1905", "OCT. 3, 1905", "Oct. 3rd, 1905", "3 October, 1905", "OCT3.1905"),
        *("Oct. 3rd 05", "OCT.3.05", "Oct-3-05", "3/10/05", "10-3-05", "10.3.05", "Oct. '05"),
        *("1905 oct 3", "'05", "SEPT.5.1905", "Sept. 5th 05"),
    ],
)
@every_case(
    ("lead", "feature"),
    [
        ("PAT'D", "patent-date"),
        ("Pat.", "patent-date"),
        ("Reg.", "patent-year"),
        ("engraved", "inscribed-year"),
        ("box dated", "label-year"),
    ],
)
def test_a_day_is_read_however_it_is_typed(lead: str, day: str, feature: str) -> None:
    """A day in October or September of 1905, written as stampers and sellers write it."""
    reading = shipped_reader().read(Request(note=f"silver brooch, {lead} {day}", next_looks=0))

    found = [each.years for each in reading.observations if each.feature == feature]
    assert any(first <= 1905 <= last for first, last in filter(None, found))
    assert not [each.value for each in reading.observations if each.feature == "colour"]


@every_case(
    ("had", "made", "stated"),
    [(1890, 1935, True), (1935, 1890, False), (1934, 1935, False), (1900, 1903, True)],
)
def test_nothing_is_had_before_it_is_made(had: int, made: int, stated: bool) -> None:
    for note in (f"worn {had}, made {made}", f"made in {made}, bought in {had}"):
        reading = shipped_reader().read(Request(note=f"silver brooch, {note}", next_looks=0))
        names = {each.name for each in reading.misleading if each.stated}
        assert ("had-before-it-was-made" in names) == stated


@every_case(
    ("day", "years"),
    [
        *(("25.XII.1900", (1900, 1900)), ("25 XII 1900", (1900, 1900)), ("9/1900", (1900, 1900))),
        *(("25. Dezember 1900", (1900, 1900)), ("1. 6. 1900", (1900, 1900))),
        *(("25 de diciembre de 1900", (1900, 1900)), ("le 25 décembre 1900", (1900, 1900))),
        *(("1900-12-25", (1900, 1900)), ("09.1900", (1900, 1900)), ("25 dec 1900", (1900, 1900))),
        *(("Xmas 1900", (1900, 1900)), ("anno 1900", (1900, 1900)), ("A.D. 1900", (1900, 1900))),
        *(("in the year 1900", (1900, 1900)), ("Tuesday 25 December 1900", (1900, 1900))),
        *(("1900/01", (1900, 1901)), ("1900 or 1901", (1900, 1901))),
        ("between 1890 and 1900", (1890, 1900)),
    ],
)
@every_case(
    ("lead", "features"),
    [
        ("patented", {"patent-date", "patent-year"}),
        ("registered", {"patent-year"}),
        ("engraved", {"inscribed-year"}),
        ("box dated", {"label-year"}),
        ("postmarked", {"label-year"}),
        ("made", {"told-date"}),
    ],
)
def test_a_date_of_any_land_keeps_its_year_and_its_meaning(
    day: str, years: tuple[int, int], lead: str, features: set[str]
) -> None:
    note = f"silver brooch, {lead} {day}, 40 mm wide"
    reading = shipped_reader().read(Request(note=note, next_looks=0))

    found = {each.feature: each.years for each in reading.observations if each.years}
    first, last = next(found[name] for name in sorted(features) if name in found)
    assert years[0] <= first <= last <= years[1]
    assert not {"subject", "motif", "us-patent", "uk-registered-design"} & {
        each.feature for each in reading.observations
    }
    typed = " ".join(each.words for each in reading.account)
    assert day.rsplit(maxsplit=1)[-1] in typed


@every_case(
    ("words", "feature", "year"),
    [
        ("Rd.No.234567", "uk-registered-design", 1894),
        ("RdNo234567", "uk-registered-design", 1894),
        ("Rd N° 234567", "uk-registered-design", 1894),
        ("Rd#234567", "uk-registered-design", 1894),
        ("U.S.PAT.1,933,576", "us-patent", 1933),
        ("pat 1 933 576", "us-patent", 1933),
        ("Des. No. 124503", "us-design-patent", 1941),
        ("Regd 1900", "patent-year", 1900),
        ("T9 (Swedish year letter)", "swedish-year-mark", 1969),
        ("Swedish date letter T 9", "swedish-year-mark", 1969),
        ("three crowns, S, A9", "swedish-year-mark", 1951),
        ("Stockholm K8 and three crowns", "swedish-year-mark", 1936),
        ("Lapponia 925H U7", "finnish-year-mark", 1973),
        ("Chanel, season code 97 A", "couture-season", 1997),
        ("Chanel (season 97 A)", "couture-season", 1997),
        ("signed Chanel 2 ◊ 8", "couture-season", 1989),
        ("oval plaque CHANEL 02 CC P MADE IN FRANCE", "couture-season", 2002),
        ("plaque reads Chanel, Made in France, B 14 A", "couture-season", 2014),
        ("signed Acme ©87", "copyright-year", 1987),
    ],
)
def test_a_number_dates_however_it_is_typed(words: str, feature: str, year: int) -> None:
    """US patents and British designs by the tables of the offices, Nordic letters by their rounds
    of 24 from A9 in 1951 (Sweden) and A7 in 1954 (Finland).
    """
    reading = shipped_reader().read(Request(note=f"silver brooch, {words}", next_looks=0))

    first, last = next(each.years for each in reading.observations if each.feature == feature)
    assert first <= year <= last


@every_case("year", [1873, 1885, 1900])
@every_case("lead", ["patented", "PAT'D", "Pat."])
def test_nothing_is_older_than_its_patent(lead: str, year: int) -> None:
    note = f"silver brooch, {lead} {year}"
    reading = shipped_reader().read(Request(note=note, next_looks=0))

    assert reading.date.span.first >= year - 1
