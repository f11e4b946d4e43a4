"""Letters that were not read, told in words: the mark as the reading syntax writes it."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from shipped_base import shipped_reader
from together import every_case

from markrules.marks.reading_syntax import parse
from markrules.notes.halfread import as_one
from markrules.reading.mark_states import IN_FULL, IN_PART, how_read


def marks(note: str) -> list[tuple[str, str]]:
    reader = shipped_reader()
    return [
        (each.value, how_read(reader.base, each))
        for each in reader.understand(note).observations
        if each.feature == "mark" and each.state == "seen"
    ]


@every_case(
    ("note", "mark"),
    [
        ("brooch, begins with MARV", "MARV..."),
        ("brooch, signature starts with a T and ends in ER", "T...ER"),
        ("brooch, mark ends in LLE and begins with an M", "M...LLE"),
        ("brooch, mark starts with marv", "marv..."),
        ("brooch, mark begins with B and ends in ER", "B...ER"),
        ("brooch, the first letters are EIS", "EIS..."),
        ("brooch signed MARV and then unreadable", "MARV..."),
        ("brooch signed MARV, can't read the rest", "MARV..."),
        ("brooch, MARV something", "MARV..."),
        ('clip with "LISN" then illegible', "LISN..."),
        ("brooch, ends in -SNER", "...SNER"),
        ("brooch, signature, last letters are SNER", "...SNER"),
        ("brooch signed something ONET", "...ONET"),
        ("brooch signed ...ONET, rest illegible", "...ONET..."),
        ("brooch marked COVA or CODA", "CO[VD]A"),
        ("brooch marked either COVA or CODA", "CO[VD]A"),
        ("brooch, stamp may be a W or M", "[WM]"),
        ("brooch signed HOBE or maybe HOBO", "HOB[EO]"),
        ("brooch reads something like Monet", "Monet"),
        ("brooch, I think it says BEAU", "BEAU"),
        ("brooch, the mark seems to be BEAU", "BEAU"),
        ("brooch signed HOBE, not sure", "HOBE"),
        ("brooch marked Hobe I believe", "Hobe"),
        ("brooch marked PAM? PAN?", "PA[MN]"),
        ("pin, back says HOLLYCR and the last bit is worn away", "HOLLYCR..."),
        ("necklace marked TANV, rest is gone", "TANV..."),
        ("bracelet, clasp reads TANV then a gap where it is worn", "TANV..."),
    ],
)
def test_words_tell_which_letters_were_not_read(note: str, mark: str) -> None:
    assert marks(note) == [(mark, IN_PART)]


@every_case(
    ("note", "expected"),
    [
        ("ring marked 10K or 14K", [("10K", IN_PART), ("14K", IN_PART)]),
        ("pin, letters RAM, ARM, or AAM", [("RAM", IN_PART), ("ARM", IN_PART), ("AAM", IN_PART)]),
        ("pin marked RAM, ARM", [("RAM", IN_FULL), ("ARM", IN_FULL)]),
        ("brooch marked JAPAN or KOREA", [("JAPAN", IN_PART), ("KOREA", IN_PART)]),
        ("brooch marked HOBE and STERLING", [("HOBE", IN_FULL), ("STERLING", IN_FULL)]),
        ("bracelet ending with a charm, marked STERLING", [("STERLING", IN_FULL)]),
        ("row of beads, starts with a big one and ends in Tassel", []),
        ("something blue marked HOBE", [("HOBE", IN_FULL)]),
    ],
)
def test_what_is_no_half_read_mark(note: str, expected: list[tuple[str, str]]) -> None:
    assert marks(note) == expected


def test_a_doubt_after_a_comma_is_of_what_stands_before() -> None:
    reader = shipped_reader()

    def certainty(note: str) -> str:
        return next(
            each.certainty
            for each in reader.understand(note).observations
            if each.feature == "catch"
        )

    assert certainty("brooch, rollover catch, not sure") == "guess"
    assert certainty("brooch, rollover catch, paste stones") == "sure"


def test_words_that_tell_of_nothing_beside_them_are_not_understood() -> None:
    said = shipped_reader().understand("brooch, something, marked HOBE")
    assert "something" in said.not_understood


@given(st.text("ABCDEFGH", min_size=1, max_size=9), st.data())
def test_one_text_for_two_readings_may_be_either(one: str, data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(one) - 1))
    letter = data.draw(st.sampled_from("JKLMN"))
    other = one[:at] + letter + one[at + 1 :]

    made = as_one(one, other)

    cells = parse(made).tokens[0].cells
    may_be = [{each for each, _ in cell.letters} for cell in cells]
    assert may_be == [{a, b} for a, b in zip(one, other, strict=True)]
