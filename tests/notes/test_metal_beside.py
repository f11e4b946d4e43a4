"""Words beside a mark of metal in a note: the mark bears those that take back that it is solid."""

from __future__ import annotations

import pytest
from shipped_base import shipped_reader
from together import every_case

from markrules.reading.reader import Request

QUALIFIERS = (
    *("shell", "cased", "layered", "filled", "plated", "washed", "bonded", "coated"),
    *("lined", "posts", "clasp", "trim"),
)


def hows(note: str) -> list[str]:
    reader = shipped_reader()
    reading = reader.read(Request(note=note, next_looks=0))
    return [each.how for each in reader.metals(reading.observations)]


@pytest.mark.parametrize(
    "way", ["ring, marked 14k {}", 'ring, stamped "14k {}"', "ring, marked 14K {} on the back"]
)
def test_no_word_that_qualifies_is_left_behind(way: str) -> None:
    for word in QUALIFIERS:
        for said in (word, word.upper()):
            assert "solid" not in hows(way.format(said)), said


@every_case(
    "note",
    [
        "ring, marked FRONT 9CT",
        "ring, marked 14k on brass",
        "ring, marked 9ct 5 microns",
        "ring, marked 14k g.f. on the back",
    ],
)
def test_further_ways_to_say_that_not_all_is_of_it(note: str) -> None:
    assert "solid" not in hows(note)
    assert hows(note)


@every_case(
    "note",
    [
        "ring, marked 14k on the back",
        "brooch marked 14k, front set with pearls",
        "brooch, back marked 14k",
        "necklace marked 925 on clasp",
    ],
)
def test_where_the_mark_stands_takes_nothing_back(note: str) -> None:
    assert hows(note) == ["solid"]


def test_the_words_borne_along_are_told_of_the_piece_as_well_and_sign_nothing() -> None:
    reading = shipped_reader().read(Request(note="earrings marked 14k posts", next_looks=0))
    assert "earring-back" in {each.feature for each in reading.observations}
    assert reading.marks == ()


@pytest.mark.parametrize("note", ["ring, 14k on silver", "ring, 9ct front", "14k top ring"])
def test_a_fineness_told_with_such_a_word_is_a_finish(note: str) -> None:
    reading = shipped_reader().read(Request(note=note, next_looks=0))
    features = {each.feature for each in reading.observations}
    assert "finish" in features
    assert "metal" not in features


@every_case(
    "part", ["rim", "insert", "edging", "border", "accents", "rivets", "stripe", "glaze", "lining"]
)
@every_case("way", ["ring, 14k gold {}", "locket with 14k gold {}", "ring, 18ct {}"])
def test_a_part_of_its_own_is_not_the_piece(part: str, way: str) -> None:
    reading = shipped_reader().read(Request(note=way.format(part), next_looks=0))
    assert not any(
        each.feature == "metal" and each.state == "seen" for each in reading.observations
    )
    assert "solid" not in hows(f"ring, marked 14k {part}")


@every_case("piece", ["ring", "locket", "leaf brooch", "bar pin", "screw back earrings"])
def test_a_piece_of_a_fineness_is_of_it(piece: str) -> None:
    reading = shipped_reader().read(Request(note=f"14k gold {piece}", next_looks=0))
    assert any(
        (each.feature, each.value, each.certainty) == ("metal", "gold-14k", "sure")
        for each in reading.observations
    )
