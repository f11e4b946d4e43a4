"""What a note tells does not hang on how its writer parts one thing from the next."""

from __future__ import annotations

import re
from functools import cache

import pytest
import scoring
from notes_base import lines, shipped
from samples import some_of
from together import every_case

from markrules.notes.segments import segments_of

NOTES = [
    case["text"]
    for name in ("notes", "later-notes")
    for case in scoring.cases(name, "open")
    if ", " in case["text"]
]


@cache
def told(note: str) -> list[str]:
    return sorted(lines(shipped(note)))


@every_case("dash", [" - ", " – ", " -- ", " · ", "\t", " \u2728 ", " \U0001f338 "])
def test_dashes_part_as_commas_do(dash: str) -> None:
    differing = [note for note in some_of(NOTES) if told(note) != told(note.replace(", ", dash))]

    assert not differing


@pytest.mark.parametrize(
    ("note", "seen"),
    [
        ("brooch, marked EISEN - BERG, gilt", "mark=EISEN - BERG"),
        ("BROOCH - GOLD TONE - UNSIGNED", "no mark"),
        ("BROOCH - GOLD TONE - UNSIGNED", "finish=gold-tone"),
    ],
)
def test_a_dash_joins_the_capitals_of_a_mark_and_no_others(note: str, seen: str) -> None:
    assert seen in told(note)


def test_a_dash_between_figures_parts_nothing() -> None:
    assert told("brooch, 1950 - 1960, gilt") == told("brooch, 1950-1960, gilt")
    assert told("brooch 3 - 4 cm wide") == told("brooch 3-4 cm wide")


@every_case(
    ("note", "seen", "unseen"),
    [
        ("Vintage Signed Brooch - Gold Tone Finish", "finish=gold-tone", "mark=[A-Z]"),
        (
            "Vintage Signed Brooch - celluloid beads - one missing",
            "plastic=celluloid",
            "mark=[A-Z]",
        ),
        ("pearls, signed Novak Brooch", "mark=Novak", "mark=Novak "),
        ("Signed Designer Earrings, Large Clips", "earring-back=spring-clip", "mark=[A-Z]"),
        ("Signed Novak Rhinestone Brooch", "mark=Novak", "mark=Novak "),
        ("Pendant On Chain Marked Italy", "mark=Italy", "said-origin"),
        ("Aunt Ruby's Old Brooch With Pearls", "pearl=pearl-unnamed", "gem="),
        ("Signed Monet Gold Tone Clip Earrings", "mark=Monet", "mark=Monet "),
    ],
)
def test_the_capitals_of_a_title_make_no_names(note: str, seen: str, unseen: str) -> None:
    assert seen in told(note)
    assert not [line for line in told(note) if re.match(unseen, line)]


def test_most_notes_tell_the_same_when_written_as_titles() -> None:
    def titled(note: str) -> str:
        return " ".join(word[:1].upper() + word[1:] for word in note.split(" "))

    def plainly(note: str) -> list[str]:
        return [line.casefold() for line in told(note)]

    notes = some_of(NOTES)
    differing = [note for note in notes if plainly(note) != plainly(titled(note))]

    assert len(differing) <= len(notes) / 10


@every_case(
    ("parting", "most"),
    [(" / ", 0.13), ("/", 0.14), (" and ", 0.18), (" with ", 0.19), (" ", 0.42)],
)
def test_most_notes_tell_the_same_whatever_stands_for_their_commas(
    parting: str, most: float
) -> None:
    """Bounds: what was reached when this was written, 9, 11, 15, 16 and 39 of a hundred. Much of
    the last is open to two readings: `silver 935 3 marcasites lacking trombone catch`.
    """
    differing = [note for note in NOTES if plain(note) != plain(note.replace(", ", parting))]

    assert len(differing) <= most * len(NOTES), differing


@every_case(
    ("parting", "most"),
    [
        *((" + ", 0.06), ("+", 0.08), ("\n", 0.05), ("\n* ", 0.05), ("\n\u2022 ", 0.05)),
        *(("  ", 0.02), ("... ", 0.1), ("! ", 0.06), ("\u2013", 0.1), ("; ", 0.05), (" | ", 0.05)),
    ],
)
def test_most_notes_tell_the_same_by_any_sign_that_parts(parting: str, most: float) -> None:
    """Bounds: what was reached when this was written. Dots behind capitals stay a torn text."""
    differing = [note for note in NOTES if plain(note) != plain(note.replace(", ", parting))]

    assert len(differing) <= most * len(NOTES), differing


def test_most_notes_tell_the_same_as_numbered_lists_and_in_capitals() -> None:
    def numbered(note: str) -> str:
        return "\n".join(f"{at}. {part}" for at, part in enumerate(note.split(", "), start=1))

    as_lists = [note for note in NOTES if plain(note) != plain(numbered(note))]
    shouted = [note for note in NOTES if plain(note) != plain(note.upper())]

    assert len(as_lists) <= 0.05 * len(NOTES), as_lists
    assert len(shouted) <= 0.1 * len(NOTES), shouted


@every_case(
    ("note", "seen", "unseen"),
    [
        ("BROOCH, MARKED 835, ONE STONE CHIPPED", "mark=835", "mark=ONE"),
        ("BROOCH. TWO STONES HAVE DROPPED OUT. THE PIN IS FINE", "fault=missing-stones: 2", "no"),
        ("brooch, signed Novak! one stone missing!", "mark=Novak", "mark=Novak!"),
        ("brooch, signed Nov... rollover catch", "mark=Nov...", "mark=Nov"),
        ("necklace + earrings", "piece", "fault"),
        ("1. gilt brooch\n2. five stones\n3. one is chipped", "fault=chipped-stones: 1", "no"),
    ],
)
def test_signs_of_quick_notes_part_and_are_no_text(note: str, seen: str, unseen: str) -> None:
    assert seen == "piece" or seen in told(note)
    assert unseen not in told(note)


@every_case(
    ("note", "seen", "unseen"),
    [
        (
            "brooch gilt metal rollover catch a stone missing the mark rubbed pin bent",
            ["catch=rollover", "fault=missing-stones", "fault=bent-pin"],
            "no catch",
        ),
        (
            "bangle hinged safety chain missing hallmarked Chester 1884 dent near the hinge",
            ["fault=missing-safety-chain", "hallmark-year: 1884", "fault=dents"],
            "fault=dents: 1884",
        ),
        (
            "brooch/g/t/rollover catch/2 stones missing/1/20 12k gf",
            ["finish=gold-tone", "finish=gold-filled", "fault=missing-stones: 2"],
            "fault=missing-stones: 20",
        ),
        (
            "a leaf brooch and gilt metal and closed back and tube hinge and unsigned",
            ["finish=gilt", "hinge=tube-hinge", "no mark"],
            "no hinge",
        ),
        (
            "BROOCH, MARKED 925, ONE STONE CHIPPED",
            ["mark=925", "fault=chipped-stones: 1"],
            "mark=ONE",
        ),
    ],
)
def test_things_side_by_side_are_told_apart(note: str, seen: list[str], unseen: str) -> None:
    assert set(seen) <= set(told(note))
    assert unseen not in told(note)


def plain(note: str) -> list[str]:
    """What is told, by whatever certainty and case."""
    return sorted({line.casefold().split(" ~")[0] for line in told(note)})


@every_case(
    ("note", "seen"),
    [
        ("necklace. Clasp: box", {"clasp=box-clasp"}),
        ("necklace, clasp: spring ring", {"clasp=bolt-ring"}),
        ("Metal: sterling. Stones: paste", {"metal=sterling", "stone-kind=paste"}),
        (
            "Condition: good. Stones: blue glass",
            {"stated-condition=light-wear", "stone-kind=glass"},
        ),
        ("Type: brooch. Condition: 1 stone missing", {"fault=missing-stones: 1"}),
        ("bracelet length of 7 inches", {"length: 177.8"}),
        ("chain 18 inch", {"chain-length: 457.2"}),
        ("needlepoint ring turquoise", {"gem=turquoise"}),
        ("necklace with decorative box clasp", {"clasp=box-clasp"}),
        ("brooch with chain guard", {"fitting=safety-chain"}),
        ("necklace, bayonet", {"clasp=bayonet-clasp"}),
    ],
)
def test_a_head_and_a_little_word_lead_to_what_they_head(note: str, seen: set[str]) -> None:
    assert set(told(note)) == seen


def test_the_numbers_of_a_list_tell_nothing() -> None:
    assert shipped("1").not_understood  # what was read before must change nothing
    understood = shipped("1. Brooch. 2. Stones: paste. 3. Catch: rollover")

    assert lines(understood) == ["stone-kind=paste", "catch=rollover"]
    assert not understood.not_understood


@pytest.mark.parametrize("unit", ["g", "gr", "dwt", "ct"])
@pytest.mark.parametrize("after", ["condition: good", "One stone missing", "good"])
def test_a_unit_of_one_letter_ends_a_sentence_as_longer_ones_do(unit: str, after: str) -> None:
    """`12 g. condition: good` is a weight and a condition, and no initial."""
    stops = [segment.text for segment in segments_of(f"ring, 12 {unit}. {after}", frozenset)]

    assert stops == ["ring", f"12 {unit}", after]
