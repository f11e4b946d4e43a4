"""Names of makers that somebody knows by ear, and says so."""

from __future__ import annotations

import pytest
from shipped_base import shipped_base

from markrules.knowledge.observation import MARK, TOLD_MAKER
from markrules.reading.reader import Reader, Request


@pytest.fixture(scope="module")
def reader() -> Reader:
    return Reader(shipped_base(), last_year=2026)


def chance(reader: Reader, note: str, maker: str) -> float:
    found = reader.read(Request(note=note, next_looks=0)).makers
    return next((each.probability for each in found if each.maker == maker), 0.0)


@pytest.mark.parametrize(
    ("spelt", "maker"),
    [
        ("Skaparelli", "schiaparelli"),
        ("Treefarry", "trifari"),
        ("Crementz", "krementz"),
        ("Shaparelli", "schiaparelli"),
    ],
)
def test_who_says_that_the_spelling_is_unsure_is_believed(
    reader: Reader, spelt: str, maker: str
) -> None:
    plain = chance(reader, f"brooch, signed {spelt}", maker)
    by_ear = chance(reader, f"brooch, signed {spelt}, not sure how it is spelt", maker)

    assert by_ear > max(plain, 0.5)


def test_a_name_of_its_own_stays_one_where_its_spelling_is_unsure(reader: Reader) -> None:
    found = reader.read(Request(note="brooch, signed Kimmerle, spelling may be wrong"))

    assert [each.text for each in found.marks] == ["Kimmerle"]
    assert all(each.probability < 0.5 for each in found.makers if each.maker)


def test_what_a_name_sounds_like_is_told_and_not_read(reader: Reader) -> None:
    found = reader.read(Request(note="brooch, sounds like Treefari", next_looks=0))

    (told,) = (each for each in found.observations if each.feature == TOLD_MAKER)
    assert (told.value, told.heard) == ("Treefari", True)
    assert not any(each.feature == MARK for each in found.observations)
    assert 0.05 < chance(reader, "brooch, sounds like Treefari", "trifari") < 0.5


def test_what_sounds_like_a_thing_tells_of_no_maker(reader: Reader) -> None:
    for note in ("pearls, sounds like plastic on the teeth", "bangle, sounds like bakelite"):
        found = reader.read(Request(note=note, next_looks=0))

        assert not any(each.heard for each in found.observations)
        assert any(each.feature == "plastic" for each in found.observations)


def test_a_name_spelt_by_ear_that_was_told_is_no_mark(reader: Reader) -> None:
    found = reader.read(Request(note="brooch, gran always said it was Treefari", next_looks=0))

    assert [each.feature for each in found.observations if "Treefari" in each.value] == [TOLD_MAKER]
