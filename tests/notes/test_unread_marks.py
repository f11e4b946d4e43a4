"""A mark that is there and of which no letter was read: it is kept, shown, and counts as seen."""

from __future__ import annotations

from shipped_base import shipped_reader
from together import every_case

from markrules.appraisal.likeness import signed
from markrules.inference.reading import NOT_READ, Reading
from markrules.reading.reader import Request


def read(note: str, *marks: str) -> Reading:
    return shipped_reader().read(Request(note=note, marks=marks, next_looks=3))


def texts(note: str) -> list[str]:
    return [each.value for each in read(note).observations if each.feature == "mark" and each.value]


@every_case(
    "words",
    [
        "marked ???",
        "marked ...",
        "signed",
        "sgd on the back",
        "stamped on the clasp",
        "a maker's mark I cannot read",
        "mkd but I can't make out what",
        "signed by the artist, illegible",
        "signature unreadable",
        "there is a mark but it is illegible",
        "marks polished off",
        "mark too worn to read",
        "silver, boar's head and illegible initials",
    ],
)
def test_a_mark_that_nobody_read_is_there(words: str) -> None:
    reading = read(f"brooch, {words}")

    assert [(each.text, each.how) for each in reading.marks] == [("...", NOT_READ)]
    assert not reading.not_understood
    assert signed(shipped_reader().base, reading) is True


@every_case(
    "words",
    [
        "not signed",
        "no signature that I can read",
        "unmarked",
        "scuff marks",
        "file mark on the back",
        "stamped brass leaf",
        "marked by wear",
        "engraved, illegible",
        "hallmarked",
        "said to be signed",
        "signed: unknown",
        "marked: ?",
        "maker unknown",
        "marked 925",
        "one signed, the other not",
    ],
)
def test_what_tells_of_no_mark_or_of_one_that_is_read_makes_none(words: str) -> None:
    assert "..." not in texts(f"brooch, {words}")


def test_what_the_mark_says_may_be_told_further_on() -> None:
    assert texts("brooch, signed in script, rhinestones, marked Grandstaff") == ["Grandstaff"]
    assert texts("Trifari brooch, signed") == ["Trifari"]


def test_it_says_nothing_of_the_maker_and_is_asked_for_still() -> None:
    reading = read("brooch, marked ???")

    assert [each.maker for each in reading.makers] == [""]
    assert "mark" in [each.feature for each in reading.next]
    assert read("brooch", "???").marks[0].how == NOT_READ


def test_it_counts_as_a_mark_wherever_one_is_asked_of() -> None:
    def clues(note: str) -> set[str]:
        return {each.clue for each in read(note).clues}

    assert clues("bracelet, copper, marked ???") > clues("bracelet, copper")
    assert clues("bracelet, copper, marked ???") == clues("bracelet, copper, marked GRANDSTAFF")


@every_case(
    ("note", "text"),
    [
        ("signed by novak", "novak"),
        ("sgd by Trifari", "Trifari"),
        ("W&SB", "W&SB"),
        ("mark worn: W E ? S T", "WE?ST"),
        ("T R I F A R I on the back", "TRIFARI"),
        ("stamped TRI followed by letters I can't read", "TRI..."),
        ("stamped (illegible) NTZ", "...NTZ"),
        ("stamped KRE(illegible)", "KRE..."),
        ("stamped NOVAK (signed)", "NOVAK"),
        ("can only make out RIFA", "...RIFA..."),
        ("part of a mark: RIFA", "...RIFA..."),
        ("G J in dotted oval", "G J"),
        ("Grossé 1958 stamped", "Grossé 1958"),
        ("marked BOUCHER STERLING?", "BOUCHER STERLING"),
        ("a metal hangtag stamped MIK", "MIK"),
    ],
)
def test_marks_as_people_write_them(note: str, text: str) -> None:
    assert texts(f"brooch, {note}") == [text]


@every_case("who", ["the artist", "hand", "my aunt", "its first owner"])
def test_not_everybody_who_signed_it_is_the_mark(who: str) -> None:
    assert texts(f"brooch, signed by {who}") == ["..."]


@every_case("hedge", ["half-visible", "partly hidden", "poorly struck", "blurred"])
def test_what_tells_of_a_bad_mark_doubts_its_letters(hedge: str) -> None:
    assert read(f"brooch, marked GRANDSTAFF {hedge}").marks[0].how == "in part"
    assert read("brooch, marked GRANDSTAFF faint but legible").marks[0].how == "in full"
