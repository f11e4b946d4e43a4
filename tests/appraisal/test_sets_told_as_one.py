"""A parure entered as one piece is worth what its pieces are, and sales of sets tell better."""

from __future__ import annotations

import pytest
from appraisal_building import appraised_note, compared, sale, shipped_reader
from together import every_case

from markrules.appraisal.told_as_one import pieces_told
from markrules.reading.reader import Request

APART = tuple(
    sale(price + step, at * 10 + step, piece_type=kind)
    for at, (kind, price) in enumerate((("necklace", 60), ("bracelet", 40), ("earrings", 25)))
    for step in range(5)
)


@every_case(
    ("note", "types"),
    (
        ("necklace, bracelet and earrings set, blue glass", ("necklace", "bracelet", "earrings")),
        ("parure of necklace, bracelet and clip earrings", ("necklace", "bracelet", "earrings")),
        ("brooch and earring set, unsigned", ("brooch", "earrings")),
        ("matching bracelet and brooch, pink glass", ("bracelet", "brooch")),
        ("parure, blue glass", ()),
        ("necklace, blue glass, earrings missing", ()),
        ("brooch, marked RING NECKLACE", ()),
        ("parure, signed BROOCH RING", ()),
    ),
)
def test_the_pieces_that_a_note_of_a_set_names(note: str, types: tuple[str, ...]) -> None:
    reading = shipped_reader().read(Request(note=note, next_looks=0))
    found = pieces_told(compared(), reading)
    broad = [compared().chains[each][-1] for each in found]
    assert tuple(broad) == types


def test_a_parure_as_one_record_is_the_sum_of_its_pieces() -> None:
    whole = appraised_note("necklace, bracelet and earrings set, unsigned", APART)
    alone = [
        appraised_note(f"{kind}, unsigned", APART).valuation.estimate
        for kind in ("necklace", "bracelet", "earrings")
    ]
    found = whole.valuation.estimate
    assert found is not None
    assert all(each is not None for each in alone)
    assert found.expected == pytest.approx(sum(each.expected for each in alone if each), rel=0.05)
    assert found.low < found.middle <= found.expected < found.high
    assert found.low >= sum(each.low for each in alone if each) * 0.95
    assert "no sale of a set is known" in whole.valuation.words[0]
    assert sum(each.share for each in found.carried) == pytest.approx(1)
    assert whole.decision.price is not None
    assert float(whole.decision.price) == pytest.approx(found.expected, abs=0.01)


def test_sales_of_sets_tell_before_any_sum() -> None:
    sets = tuple(sale(300, 100 + at, piece_type="set") for at in range(8))
    found = appraised_note("necklace, bracelet and earrings set, unsigned", (*APART, *sets))
    assert found.valuation.estimate is not None
    assert 200 < found.valuation.estimate.expected < 450
    assert "added up" not in " ".join(found.valuation.words)


def test_a_piece_of_the_set_without_a_price_leaves_the_set_without_one() -> None:
    only = tuple(each for each in APART if each.piece_type != "earrings")
    found = appraised_note("necklace, bracelet and earrings set, unsigned", only)
    assert found.valuation.estimate is None
    assert "earrings" in found.valuation.words[0]


def test_a_piece_of_the_set_that_is_missing_adds_nothing() -> None:
    whole = appraised_note("parure: necklace, earrings, the bracelet is missing, unsigned", APART)
    named = " ".join(whole.valuation.words)
    assert "necklace, earrings" in named
    assert "bracelet" not in named
