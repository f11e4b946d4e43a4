"""Two things in one breath: which measure and which mark belongs to which."""

from __future__ import annotations

import pytest
from notes_base import shipped

MEASURES = {
    "pendant 2 cm on chain 40 cm": {"length": 20, "chain-length": 400},
    "pendant 2 cm on a 40 cm chain": {"length": 20, "chain-length": 400},
    "pendant 20 mm, chain 40 cm": {"length": 20, "chain-length": 400},
    "chain 40 cm with pendant 2 cm": {"length": 20, "chain-length": 400},
    "pendant 1 inch with chain 18 inches": {"length": 25.4, "chain-length": 457.2},
    "locket 3cm with a chain 50cm long": {"length": 30, "chain-length": 500},
    "brooch 5 cm with drop 2 cm": {"length": 50, "part-size": 20},
    "brooch 5 cm long with a drop 2 cm long": {"length": 50, "part-size": 20},
    "bracelet 7 in long with extender 2 in": {"length": 177.8, "part-size": 50.8},
    "necklace 40 cm with pendant 3 cm": {"length": 400, "part-size": 30},
    "ring with stone 10 mm": {"part-size": 10},
    "brooch 4 cm long 3 cm wide": {"length": 40, "width": 30},
    "earrings 2 cm in length 1 cm in width": {"length": 20, "width": 10},
    "brooch with stones, 5 cm by 3 cm": {"length": 50, "width": 30},
}


@pytest.mark.parametrize("note", MEASURES)
def test_each_thing_has_its_own_measure(note: str) -> None:
    seen = {
        each.feature: each.number
        for each in shipped(note).observations
        if each.number is not None and each.feature != "fault"
    }

    assert seen == pytest.approx(MEASURES[note], rel=0.001)


@pytest.mark.parametrize(
    ("note", "mark"),
    [
        ("necklace 1/20 12K GF clasp bent", "1/20 12K GF"),
        ("brooch 12K GF pin bent", "12K GF"),
        ("bracelet STERLING clasp broken", "STERLING"),
        ("brooch marked STERLING catch broken", "STERLING"),
        ("locket 9CT B&F hinge loose", "9CT B&F"),
        ("brooch marked TRIFARI pin bent", "TRIFARI"),
        ("brooch stamped AUSTRIA on the clasp", "AUSTRIA"),
    ],
)
def test_a_mark_leaves_the_part_to_what_is_wrong_with_it(note: str, mark: str) -> None:
    told = shipped(note)

    assert [each.value for each in told.observations if each.feature == "mark"] == [mark]
    assert ("on the clasp" in note) or any(each.feature == "fault" for each in told.observations)


@pytest.mark.parametrize(
    "note",
    ["pearl necklace 14k clasp broken", "necklace, pearls, 14k clasp", "pearls with 14k clasp"],
)
def test_the_metal_of_a_part_is_not_the_piece_s(note: str) -> None:
    told = {(each.feature, each.value) for each in shipped(note).observations}

    assert ("mark", "14K") not in told
    assert ("metal", "gold-14k") not in told


@pytest.mark.parametrize(
    "note", ["brooch RED stones", "brooch, LARGE blue stone", "brooch WW2 sweetheart"]
)
def test_a_word_written_large_before_what_it_describes_is_no_mark(note: str) -> None:
    assert all(each.feature != "mark" for each in shipped(note).observations)


@pytest.mark.parametrize(
    ("note", "mark"),
    [
        ("brooch marked RED on the back", "RED"),
        ("brooch JAPAN clip", "JAPAN"),
        ("earrings TRIFARI screw backs", "TRIFARI"),
    ],
)
def test_a_mark_in_capitals_stays_one(note: str, mark: str) -> None:
    marks = [each.value for each in shipped(note).observations if each.feature == "mark"]

    assert marks == [mark]


@pytest.mark.parametrize("note", ["ring, 9ct rose gold", "ring, 9 carat rose gold"])
def test_a_coloured_gold_keeps_its_fineness(note: str) -> None:
    metals = {each.value for each in shipped(note).observations if each.feature == "metal"}

    assert metals == {"rose-gold", "gold-9ct"}
