"""Remarks: what people say of a piece, known by the order of words in a note."""

from __future__ import annotations

from pathlib import Path

import pytest
from notes_base import lines, shipped
from together import every_case

from markrules.knowledge.loading import load
from markrules.language.conditions import Is
from markrules.notes.understanding import understand
from markrules.notes.vocabulary import Vocabulary
from markrules.notes.ways_of_saying import elements_of

RULES = """
piece brooch
piece necklace

wording denying
    role  negation
    words "not", "no"

wording little-words
    role  little
    words "a", "the", "is", "was", "of"

slot part
    fill catch "catch"
        words "catch", "pin"
        on    brooch
        part  catch
    fill clasp "clasp"
        words "clasp", "catch"
        on    necklace
        part  catch
    cite from-memory

feature catch
    ask "What holds it?"
    value hook "a hook"

wording newer
    role  remark
    words "newer", "much younger"

remark newer-part
    words "{part} ~ {newer}", "{newer} {part}"
    but   "{newer} {part} wanted"
    say   "A part is newer."
    cite  from-memory

remark sold-late
    words "unsold ... {year}"
    on    necklace
    cite  from-memory

feature told-date
    kind year
    ask  "What year was told?"
    describes

feature part-year
    kind year
    ask  "What year was told of a part?"
    describes

remark part-in-a-year
    words "{part} ~ fitted ~ {its-year}", "{part} of {its-year} ... {year}"
    year  part-year
    cite  from-memory

remark was-another
    words "once {other-piece}"
    cite  from-memory

misleading said-newer
    each  part
    kind  replaced
    when  remark is newer-part
    taken "a piece of the age of its {part}"
    is    "a piece whose {part} is newer"
    part  part
    look  "The {part}."
    cite  from-memory

misleading newer-somewhere
    kind  married
    when  remark is newer-part
    taken "a piece of one age"
    is    "a piece of two ages"
    look  "Its parts."
    cite  from-memory

clue hook
    when  catch is hook
    made  mostly 1900
    trust moderate
    why   "So."
    cite  from-memory

trust moderate
    misread 10%

certainty sure
    misread 1%
"""


def test_without_each_a_remark_is_meant_with_whatever_fills_it(vocabulary: Vocabulary) -> None:
    (when,) = [each.when for each in vocabulary.base.misleading.values() if each.kind == "married"]

    assert isinstance(when, Is)
    assert [each.name for each in when.values] == [
        "newer-part",
        "newer-part-catch",
        "newer-part-clasp",
    ]


@pytest.fixture(name="vocabulary", scope="module")
def _vocabulary(tmp_path_factory: pytest.TempPathFactory) -> Vocabulary:
    folder: Path = tmp_path_factory.mktemp("rules")
    (folder / "a.rules").write_text(RULES, encoding="utf-8")
    base, problems = load([folder], cache_folder=None)
    assert [each.code for each in problems if each.severity == "error"] == []
    return Vocabulary(base)


def remarks(vocabulary: Vocabulary, note: str) -> list[str]:
    return [x.value for x in understand(vocabulary, note).observations if x.feature == "remark"]


@pytest.mark.parametrize(
    ("note", "years"),
    [
        ("brooch, 1880, catch fitted in 1960", {("told-date", 1880), ("part-year", 1960)}),
        ("brooch, catch fitted in the 1960s", {("part-year", 1960)}),
        ("brooch, catch fitted by somebody, 1960", {("told-date", 1960)}),
        ("brooch, catch of 1960 on a body of 1880", {("part-year", 1960), ("told-date", 1880)}),
        ("brooch, catch not fitted in 1960", {("told-date", 1960)}),
        ("brooch, 1960, catch fitted in 1960", {("told-date", 1960), ("part-year", 1960)}),
        ("brooch of 1960", {("told-date", 1960)}),
    ],
)
def test_a_year_of_a_part_is_not_told_of_the_piece(
    vocabulary: Vocabulary, note: str, years: set[tuple[str, int]]
) -> None:
    seen = understand(vocabulary, note).observations

    assert {(x.feature, x.years[0]) for x in seen if x.years} == years


@pytest.mark.parametrize(
    ("note", "made"),
    [
        ("brooch, the catch is newer", ["newer-part-catch"]),
        ("brooch, the catch looks to me newer", ["newer-part-catch"]),
        ("brooch, newer catch", ["newer-part-catch"]),
        ("necklace, the catch is much younger", ["newer-part-clasp"]),
        ("brooch, the catch is not newer", []),
        ("brooch, catch, newer stones", []),
        ("brooch, a newer catch wanted", []),
        ("necklace, unsold, found in 1980", ["sold-late"]),
        ("brooch, unsold, found in 1980", []),
        ("brooch, once a necklace", ["was-another"]),
        ("brooch, once a brooch", []),
    ],
)
def test_a_remark_is_known_by_the_order_of_its_words(
    vocabulary: Vocabulary, note: str, made: list[str]
) -> None:
    assert remarks(vocabulary, note) == made


def test_words_that_make_a_remark_are_accounted_for(vocabulary: Vocabulary) -> None:
    told = understand(vocabulary, "brooch, the catch is newer, zorp")

    assert told.not_understood == ("zorp",)
    assert any("newer" in each.words and each.observations for each in told.account)


@pytest.mark.parametrize(
    ("note", "saying"),
    [
        ("brooch, newer catch beside the other catch", ["newer catch"]),
        ("brooch, No. 12345 on it, newer catch", ["newer catch"]),
        ("brooch, hook newer, 'hook' catch, catch newer", ["catch newer"]),
    ],
)
def test_a_remark_is_told_of_the_words_that_make_it_and_of_no_others_like_them(
    vocabulary: Vocabulary, note: str, saying: list[str]
) -> None:
    told = understand(vocabulary, note).account

    assert [each.words for each in told if "A part is newer" in each.meaning] == saying


def test_a_situation_with_a_slot_stands_for_one_of_each_fill(vocabulary: Vocabulary) -> None:
    held = vocabulary.base.misleading

    assert set(held) == {"said-newer-catch", "said-newer-clasp", "newer-somewhere"}
    assert held["said-newer-clasp"].truth == "a piece whose clasp is newer"
    assert [each.name for each in held["said-newer-clasp"].part] == ["catch"]
    assert [each.name for each in held["said-newer-clasp"].on] == ["necklace"]


def test_places_and_gaps() -> None:
    assert elements_of("{part} ~ newer than ... {year}") == (
        ("part", 0),
        ("=newer than", 1),
        ("year", 2),
    )


def test_long_hostile_notes_end(vocabulary: Vocabulary) -> None:
    assert understand(vocabulary, "brooch, " + "catch newer once unsold 1980 " * 20_000)


def test_a_remark_is_shown_by_what_is_said_of_it(vocabulary: Vocabulary) -> None:
    told = understand(vocabulary, "the pin is newer").account
    assert {each.meaning for each in told if each.observations} == {"A part is newer"}

    unsaid = understand(vocabulary, "necklace, unsold since 1950").account
    assert "sold late" in {each.meaning for each in unsaid}


@every_case(
    "note",
    [
        "brooch, steel beads, C catch",
        "brooch, odd shaped pearls",
        "necklace, rough stone, gold tone",
        "hatpin, wax pearl",
        "brooch, safety pin fitting, gilt",
        "brooch, hinge held by rivets",
        "brooch, clear quartz, C catch",
        "brooch, signed in small letters Monet",
        "bracelet, gold filled, each stone different",
        "grandmother's watch chain, every link stamped 9 .375",
    ],
)
def test_the_name_of_a_thing_seen_is_no_remark_on_a_part(note: str) -> None:
    told = lines(shipped(note))
    assert not [line for line in told if line.startswith("remark=part-")]
    assert "remark=name-that-looks-forged" not in told
