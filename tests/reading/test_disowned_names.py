"""A maker whose name the same reading calls false is told at no more than what is left."""

from __future__ import annotations

import pytest
from shipped_base import shipped_reader

from markrules.reading.reader import Request

FALSE = (
    "long chain, CC and pearls, mark CHANEL, the mark is false",
    "brooch, CHANEL plate is a fake, misspelt",
    "brooch, mark EISENBERG, said to be a fake",
    "brooch, signed JENSEN 925, not Georg Jensen",
    "bracelet with heart padlock, says T&Co 925, a magnet grabs it, brassy",
)
KINDS = {"false-mark", "namesake", "look-alike"}


@pytest.mark.parametrize("note", FALSE)
def test_maker_and_false_name_share_one_probability(note: str) -> None:
    reading = shipped_reader().read(Request(note=note, next_looks=0))
    false = max(each.probability for each in reading.misleading if each.kind in KINDS)
    named = sum(each.probability for each in reading.makers if each.maker)
    unknown = next(each.probability for each in reading.makers if not each.maker)
    assert false >= 0.5
    assert named <= 1 - false + 1e-9
    assert unknown == pytest.approx(1 - named, abs=0.02)  # makers below the least are left out


def test_years_of_a_false_name_are_not_only_the_makers() -> None:
    """What a maker's years say is worth less where the name is likely not the maker's."""
    sound, false = (
        shipped_reader().read(Request(note=note, next_looks=0)).date
        for note in ("brooch, mark EISENBERG", "brooch, mark EISENBERG, the mark is false")
    )

    def after(date: object, year: int) -> float:
        return sum(date.curve[year - date.first_year :])  # type: ignore[attr-defined]

    assert after(false, 1985) > after(sound, 1985) + 0.2


@pytest.mark.parametrize(
    "note", ["earrings, signed TRIFARI on one clip", "earrings, signed MONET on the clip only"]
)
def test_a_signature_on_one_of_a_pair_is_the_makers(note: str) -> None:
    reading = shipped_reader().read(Request(note=note, next_looks=0))
    assert not reading.misleading
    assert reading.makers[0].probability > 0.9


@pytest.mark.parametrize(
    "note",
    [
        "oval brooch, plastic cameo in gilt frame",
        "necklace, plastic cameo on black velvet",
        "pendant, moulded plastic cameo, gold tone, 1960s",
    ],
)
def test_who_calls_a_cameo_plastic_is_not_misled(note: str) -> None:
    reading = shipped_reader().read(Request(note=note, next_looks=0))
    assert not any(each.stated for each in reading.misleading)
