"""Edges of the claims check that a small change of the program would move unseen."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from together import every_case

from markrules.inference.reading import Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.knowledge.workings import Workings
from markrules.language.windows import Window, Year
from markrules.reading.reader import Reader, Request
from markrules.sheets.claim_finding import ClaimFinder
from markrules.sheets.claims import Flag, check_text
from markrules.sheets.phrases import singular


def _words(base: KnowledgeBase, text: str) -> list[str]:
    return [flag.words for flag in check_text(base, text)]


@every_case(
    ("word", "one"),
    [
        ("rubies", "ruby"),
        ("stones", "stone"),
        ("gems", "gem"),
        ("gas", "gas"),
        ("glass", "glass"),
        ("lapis", "lapis"),
        ("citrus", "citrus"),
        ("ruby", "ruby"),
    ],
)
def test_the_singular_of_a_word(word: str, one: str) -> None:
    assert singular(word) == one


def test_of_two_claims_that_begin_together_the_longer_is_told(base: KnowledgeBase) -> None:
    """`1/20 12K gold filled` is a coating, although `12K gold` would be a claim by itself."""
    assert _words(base, "1/20 12K gold filled") == ["1/20 12K gold filled"]
    assert _words(base, "pure gold") == ["pure gold"]


@every_case(
    ("text", "flagged"),
    [
        ("Cannot say whether gold, silver or brass.", []),
        ("Cannot say whether gold; solid gold is dear.", ["solid gold"]),
        ("Cannot say whether gold: solid gold or brass.", ["solid gold"]),
        ("Cannot say whether gold! solid gold or brass.", ["solid gold"]),
    ],
)
def test_doubt_goes_on_through_a_list_and_ends_with_its_clause(
    base: KnowledgeBase, text: str, flagged: list[str]
) -> None:
    assert _words(base, text) == flagged


def test_a_name_of_three_letters_is_a_name(base: KnowledgeBase) -> None:
    """Shorter ones are initials, which stand for many a maker."""
    short = [each for maker in base.makers.values() for each in (maker.title, *maker.also)]
    three = [each for each in short if len(each) == 3 and each.isalpha()]
    assert three, "the rules hold none: take this test out"
    assert any(_words(base, f"Brooch by {each}") == [f"by {each}"] for each in three)


def test_figures_of_a_claim_hold_at_their_ends(base: KnowledgeBase) -> None:
    low, high = next(
        claim.figures
        for claim in base.claims.values()
        if claim.figures and any("#k gold" in words for words in claim.words)
    )
    for figure, claimed in ((low, True), (high, True), (low - 1, False), (high + 1, False)):
        found = _words(base, f"{figure:g}k gold ring")
        assert (found == [f"{figure:g}k gold"]) is claimed


def test_phrases_that_were_kept_on_disk_find_the_same(base: KnowledgeBase, tmp_path: Path) -> None:
    text = "Rare Trifari brooch, 1/20 12K GF, solid gold, not a single chip; possibly walrus ivory."

    def found(workings: Workings) -> list[tuple[str, int, int, str]]:
        same = replace(base)
        object.__setattr__(same, "workings", workings)
        finder = ClaimFinder(same)
        return [(claim.name, it.first, it.after, it.name) for claim, _, it in finder.found(text)]

    fresh = found(Workings())
    assert not list(tmp_path.iterdir())
    assert found(Workings(tmp_path, "k")) == fresh
    assert list(tmp_path.iterdir())
    assert found(Workings(tmp_path, "k")) == fresh
    assert len(fresh) > 4


@every_case(
    ("text", "flagged"),
    [
        ("Bone, ivory or plastic, I cannot tell and it was not tested.", []),
        ("Amber or plastic, I do not know", []),
        ("Real ivory or jade, I cannot tell its age.", ["ivory", "jade"]),
        ("Genuine ivory and gold, I do not know.", ["Genuine ivory", "gold"]),
        ("Solid gold. Ivory or bone, I'm not sure.", ["Solid gold"]),
        ("Diamond, ruby or jade, but I do not know.", ["Diamond", "ruby", "jade"]),
    ],
)
def test_a_choice_that_the_writer_leaves_open_claims_nothing(
    base: KnowledgeBase, text: str, flagged: list[str]
) -> None:
    assert _words(base, text) == flagged


def test_a_karat_in_words_is_borne_by_its_mark_alone(reader: Reader) -> None:
    text = "A nine carat gold ring."

    def flagged(note: str) -> list[str]:
        return [
            f.words
            for f in check_text(reader.base, text, reader.read(Request(note=note, next_looks=0)))
        ]

    assert flagged("ring marked 9CT") == []
    assert flagged("ring, gold tone") == ["nine carat gold"]


TOLD = (
    Observation("mark", "TRIFARI", heard=True, words="she said it is marked Trifari"),
    Observation("mark", "925", heard=True),
)


@pytest.mark.parametrize("text", ["Signed Trifari.", 'Marked "TRIFARI".', "A Trifari brooch."])
def test_a_mark_that_was_only_told_bears_no_name(reader: Reader, text: str) -> None:
    seen = reader.read(Request(note="brooch marked TRIFARI", next_looks=0))
    told = reader.read(Request(note="brooch", observations=TOLD, next_looks=0))

    assert check_text(reader.base, text, seen) == ()
    assert check_text(reader.base, text, told) != ()


def test_a_year_that_was_only_told_bears_no_year(reader: Reader) -> None:
    told = (Observation("inscribed-year", "1943", heard=True, number=1943.0, years=(1943, 1943)),)
    seen = (Observation("inscribed-year", "1943", number=1943.0, years=(1943, 1943)),)
    text = "Made in 1943."

    def flags(observations: tuple[Observation, ...]) -> tuple[Flag, ...]:
        note = "brooch, C catch, rhinestones"
        return check_text(
            reader.base, text, reader.read(Request(note, observations=observations, next_looks=0))
        )

    assert flags(seen) == ()
    assert [flag.words for flag in flags(told)] == ["Made in 1943"]


def _made_in(reader: Reader, *years: int) -> Reading:
    """A reading by which a piece is as likely of each of these years and of no other."""
    reading = reader.read(Request(note="brooch, C catch, rhinestones", next_looks=0))
    date = reading.date
    span = range(date.first_year, date.first_year + len(date.curve))
    curve = tuple(1 / len(years) if year in years else 0.0 for year in span)
    return replace(reading, date=replace(date, curve=curve))


@every_case(
    ("text", "years", "stands"),
    [
        ("Of the 1940s.", (1940, 1949), True),
        ("Of the 1940s.", (1940, 1950, 1951), False),
        ("Made between 1949 and 1940.", (1940, 1945, 1949), True),
        ("Made between 1940 and 1949.", (1940, 1945, 1949), True),
        ("Made between 1949 and 1940.", (1939, 1950), False),
        ("About 1940.", (1930, 1950), True),
        ("About 1940.", (1929, 1951), False),
        ("Made in 1940.", (1941,), False),
        ("Victorian.", (1837, 1901), True),
        ("Victorian.", (1836, 1902), False),
        ("Antique.", (1900,), True),
        ("Antique.", (1950,), False),
    ],
)
def test_years_of_a_claim_hold_their_ends_and_no_more(
    reader: Reader, text: str, years: tuple[int, ...], stands: bool
) -> None:
    assert (check_text(reader.base, text, _made_in(reader, *years)) == ()) is stands


@every_case(
    ("made", "year", "stands"),
    [
        (Window(mostly_first=Year(1920), mostly_last=Year(1939)), 1930, True),
        (Window(mostly_first=Year(1920), mostly_last=Year(1939)), 1950, False),
        (Window(mostly_first=Year(1920), mostly_last=Year(1939)), 1919, False),
        (Window(first=Year(1920)), 2000, True),
        (Window(first=Year(1920)), 1919, False),
        (Window(last=Year(1939)), 1800, True),
        (Window(last=Year(1939)), 1940, False),
        (Window(first=Year(1920), last=Year(0, now=True)), 2026, True),
        (Window(first=Year(1920), last=Year(0, now=True)), 1919, False),
    ],
)
def test_an_end_that_a_claim_leaves_open_is_open(
    reader: Reader, made: Window, year: int, stands: bool
) -> None:
    claim = replace(reader.base.claims["victorian"], made=made)
    base = replace(reader.base, claims={"victorian": claim})

    assert (check_text(base, "Victorian.", _made_in(reader, year)) == ()) is stands


@every_case("text", ["Not gold.", "Not even gold.", "Not real gold.", "Never called antique."])
def test_a_denial_up_to_two_words_before_takes_a_claim_back(base: KnowledgeBase, text: str) -> None:
    assert check_text(base, text) == ()
    assert check_text(base, f"It is not small. {text.rsplit(maxsplit=1)[-1]}") != ()


def test_a_mark_that_was_ruled_out_bears_no_name(reader: Reader) -> None:
    gone = (Observation("mark", "TRIFARI", state="ruled-out", words="not marked TRIFARI"),)
    reading = reader.read(Request("brooch", gone, next_looks=0))

    assert [flag.words for flag in check_text(reader.base, "Signed Trifari.", reading)] == [
        "Signed Trifari"
    ]
    assert check_text(reader.base, 'Marked "TRIFARI".', reading) != ()


def test_an_inch_sign_far_before_a_quote_opens_none(reader: Reader) -> None:
    """Quotes are looked for near the words: a stray one at the start would pair off all others."""
    reading = reader.read(Request("brooch, marked STERLING", next_looks=0))
    between = "It has a leaf and a stem. " * 20

    assert check_text(reader.base, f'5" long. {between} Stamped "sterling".', reading) == ()
    unread = reader.read(Request("brooch, marked WELLS", next_looks=0))
    assert check_text(reader.base, f'5" long. {between} Stamped "sterling".', unread) != ()


@every_case(
    ("text", "flagged"),
    [
        ('Stamped "SOLID GOLD" on the back.', []),
        ("Stamped “Solid Gold” on the back.", []),
        ('Solid gold, stamped "SOLID GOLD".', ["Solid gold"]),
        ('Stamped "SOLID GOLD" and real solid gold.', ["solid gold"]),
    ],
)
def test_a_claim_struck_on_the_piece_may_be_quoted_and_not_said(
    reader: Reader, text: str, flagged: list[str]
) -> None:
    """16 CFR 23.3 asks of a seller what he says; to tell what stands on a piece is no saying so."""
    read = reader.read(
        Request("brooch, rhinestones", (Observation("mark", "SOLID GOLD"),), next_looks=0)
    )
    bare = reader.read(Request("brooch, rhinestones", next_looks=0))

    assert [flag.words for flag in check_text(reader.base, text, read)] == flagged
    assert check_text(reader.base, text, bare) != ()


def test_what_claims_nothing_beside_a_choice_leaves_it_open(base: KnowledgeBase) -> None:
    assert _words(base, "An opal or opal glass.") == []
    assert _words(base, "Opal glass or an opal.") != []


@every_case(
    ("gap", "one"),
    [(" ", True), ("\t", True), ("\n", True), ("\n\n", False), (".\n\n", False), (". ", False)],
)
def test_a_claim_goes_on_over_a_line_and_not_over_a_sentence_or_a_blank_line(
    base: KnowledgeBase, gap: str, one: bool
) -> None:
    assert (f"solid{gap}gold" in _words(base, f"Of solid{gap}gold, they say")) is one
