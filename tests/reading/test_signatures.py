"""Signatures as the reading takes them: in full, in part, heard; and names that no list holds."""

from __future__ import annotations

from functools import cache

import pytest
from together import every_case

from markrules.inference.reading import MarkReading, Reading
from markrules.knowledge.loading import load
from markrules.knowledge.places import shipped_rules
from markrules.reading.reader import Reader, Request


@cache
def reader() -> Reader:
    base, _ = load([shipped_rules()], cache_folder=None)
    return Reader(base, last_year=2026)


def read(note: str) -> Reading:
    return reader().read(Request(note=note, next_looks=0))


def share(note: str, maker: str = "") -> float:
    return sum(each.probability for each in read(note).makers if each.maker == maker)


def mark(note: str) -> MarkReading:
    (found,) = read(note).marks
    return found


@every_case(
    "note",
    [
        "ring, signed VALO KORU",
        "brooch, maker's mark J.C & S",
        'brooch, rhinestones, rollover catch, marked "NOVAK"',
        "brooch, marked CIOFFI",
        "brooch, signed GRANDSTAFF",
        "necklace, lobster claw clasp, tag marked ZARA",
        "brooch, marked OSTROWSKI",
        "earrings, marked FENWICK & DALY",
    ],
)
def test_a_legible_name_in_no_list_is_of_no_listed_maker(note: str) -> None:
    assert share(note) > 0.9
    assert mark(note).unlisted


@pytest.mark.parametrize(
    ("text", "maker"),
    [
        ("EISEN...", "eisenberg"),
        ("MAZ...", "mazer"),
        ("SCHREIN...", "schreiner"),
    ],
)
def test_the_only_listed_fit_of_a_head_leads(text: str, maker: str) -> None:
    first = read(f"brooch, marked {text}").makers[0]

    assert first.maker.startswith(maker)
    assert first.probability > 0.7


def test_the_name_of_a_listed_maker_finds_it() -> None:
    first = read("bracelet, marked BELL TRADING").makers[0]

    assert first.title == "Bell Trading Post"
    assert first.probability > 0.9


def test_certainty_changes_the_answer() -> None:
    """A name one letter off a listed one: the surer the look, the less it was misread."""
    said = [
        share(f"brooch, {hedge}marked TRIFABI", "trifari")
        for hedge in ("clearly ", "", "probably ", "maybe ")
    ]

    assert said == sorted(said)
    assert said[0] < 0.5 < said[2]
    assert said[3] - said[0] > 0.5


@every_case(
    ("note", "how"),
    [
        ("brooch, marked NOVAK", "in full"),
        ("brooch, clearly marked NOVAK", "in full"),
        ("brooch, marked NOV?K", "in part"),
        ("brooch, marked NOV...", "in part"),
        ("brooch, marked NO[VW]AK", "in part"),
        ("brooch, marked NOVAK~", "in part"),
        ("brooch, maybe marked NOVAK", "in part"),
    ],
)
def test_how_a_mark_was_read(note: str, how: str) -> None:
    assert mark(note).how == how


def test_what_was_said_counts_for_a_little() -> None:
    said = share("brooch, said to be Trifari", "trifari")

    assert 0.02 < said < 0.4
    assert share("brooch", "trifari") == 0
    assert share("brooch, said to be Trifari, marked NOVAK", "trifari") < 0.01


def test_the_nearest_listed_mark_is_told_with_what_was_misread() -> None:
    found = mark("brooch, clearly marked TRIFABI")

    assert found.unlisted
    assert found.maker == "trifari"
    assert found.only_if == ("R read as B",)


def test_a_listed_mark_is_not_called_unlisted() -> None:
    for note in ("brooch, marked TRIFARI", "pin, signed Miriam Haskell", "brooch, marked HASKELL"):
        assert not any(each.unlisted for each in read(note).marks)


@every_case(
    "text", ["MIZPAH", "BABY", "MOTHER", "BALLOU", "SIZE 7", "NEW YORK", "HANDMADE", "STYLE 123"]
)
def test_words_that_name_no_maker_are_never_one(text: str) -> None:
    reading = read(f"brooch, marked {text}")

    assert [each.maker for each in reading.makers if each.probability > 0.05] == [""]
    assert not reading.marks


def test_a_style_number_is_of_no_brand_that_is_a_number() -> None:
    assert share("brooch, marked 7462P") > 0.99
    assert share("brooch, marked 1928", "co1928") > 0.99


def test_a_brand_that_is_a_number_is_no_year() -> None:
    """The rules forbid to read it as a year: no hard limit comes of it."""
    reading = read("brooch, marked 1928")
    other = read("brooch, marked 1927")

    assert reading.date.not_before is None or reading.date.not_before > 1960
    assert not any(each.feature == "copyright-year" for each in reading.observations)
    assert reading.makers[0].maker == "co1928"
    assert any(each.feature == "copyright-year" for each in other.observations)


@every_case(
    ("note", "text", "certainty"),
    [
        ("brooch, sgd TRIFARI", "TRIFARI", "sure"),
        ("brooch mkd Novak", "Novak", "sure"),
        ("brooch signed Novak on back", "Novak", "sure"),
        ("Trifari mark", "Trifari", "sure"),
        ("mark of Trifari", "Trifari", "sure"),
        ("maker: Trifari", "Trifari", "fair"),
        ("brooch by Trifari", "Trifari", "fair"),
        ("trifari crown brooch", "trifari", "fair"),
        ("earrings, Novak on the clips", "Novak", "sure"),
        ("ring hallmarked NOVAK", "NOVAK", "sure"),
        ("brooch (c) TRIFARI", "© TRIFARI", "sure"),
        ("brooch, T with a crown above it", "T", "sure"),
    ],
)
def test_marks_as_people_write_them(note: str, text: str, certainty: str) -> None:
    marks = [each for each in read(note).observations if each.feature == "mark"]

    assert [(each.value, each.certainty, each.heard) for each in marks] == [
        (text, certainty, False)
    ]


def test_a_name_before_the_piece_is_probably_its_mark_and_asks() -> None:
    """Less likely than a mark that was read, and far likelier than what was only told."""
    reading = read("trifari crown brooch")
    (seen,) = [each for each in reading.observations if each.feature == "mark"]

    assert "does the name stand on the piece?" in seen.assumed
    assert share("brooch, attributed to Trifari", "trifari") < 0.5
    assert 0.5 < share("trifari crown brooch", "trifari") < share("brooch, TRIFARI", "trifari")


@pytest.mark.parametrize("note", ["brooch unsgd", "brooch, unmkd", "brooch, no sig"])
def test_no_mark_as_people_write_it(note: str) -> None:
    marks = [each for each in read(note).observations if each.feature == "mark"]

    assert [each.state for each in marks] == ["absent"]


def test_a_legible_mark_in_no_list_counts_as_signed() -> None:
    """In decisions and values, on sheets and in listings."""
    from markrules.appraisal.likeness import signed
    from markrules.sheets.attribution import attribution

    found = read("brooch, marked NOVAK")

    assert signed(reader().base, found) is True
    assert attribution(reader().base, found).words == "signed “NOVAK”, maker not known"
    assert signed(reader().base, read("brooch, unsigned")) is False


@every_case(
    "mark",
    [
        *("AUSTRIA", "MADE IN CZECHOSLOVAKIA", "OCCUPIED JAPAN", "PAT. PEND.", "STERLING"),
        *("Rd 564321", "9229"),
    ],
)
def test_words_of_lands_laws_and_metals_sign_nothing(mark: str) -> None:
    assert read(f'brooch, marked "{mark}"').marks == ()


def test_no_part_is_blamed_where_nothing_else_speaks() -> None:
    found = read("necklace, lobster claw clasp, tag marked ZARA")

    assert found.contradictions == ()
