"""Lots, mates and the box at a glance."""

from __future__ import annotations

import datetime
from fractions import Fraction

import numpy as np
import pytest
from appraisal_building import (
    THIRTY_TO_FIFTY,
    TODAY,
    appraised_note,
    compared,
    figures,
    sale,
    shipped,
    shipped_reader,
)
from hypothesis import given
from hypothesis import strategies as st

from markrules.appraisal.box import BoxAppraisal, Read, appraise_box
from markrules.appraisal.glance import glance_of
from markrules.appraisal.lots import LotPiece, lots_of
from markrules.appraisal.sums_of_prices import NORMAL_80
from markrules.appraisal.worth_data import box_data, glance_data
from markrules.catalogue.records import Acquisition, Sale
from markrules.reading.reader import Request

PIECES = st.lists(
    st.tuples(
        st.sampled_from(["brooch", "ring", "necklace"]),
        st.sampled_from(["", "red", "blue"]),
        st.integers(1850, 2000),
    ),
    max_size=60,
)


@given(PIECES, st.integers(1, 5), st.integers(0, 10))
def test_every_piece_is_in_one_lot_of_the_right_size(
    described: list[tuple[str, str, int]], least: int, more: int
) -> None:
    pieces = [LotPiece(key, *each) for key, each in enumerate(described)]
    lots, lone = lots_of(pieces, least, least + more)
    placed = [piece.key for lot in lots for piece in lot.pieces] + [piece.key for piece in lone]

    assert sorted(placed) == list(range(len(pieces)))
    for lot in lots:
        assert least <= len(lot.pieces) <= least + more
        assert lot.kind in ("", *{piece.kind for piece in lot.pieces})
        if lot.kind:
            assert {piece.kind for piece in lot.pieces} == {lot.kind}


def test_enough_of_one_colour_go_together_and_the_rest_by_kind() -> None:
    pieces = [
        *(LotPiece(n, "brooch", "red", 1950) for n in range(4)),
        *(LotPiece(n, "brooch", "blue", 1950) for n in range(4, 6)),
        *(LotPiece(n, "brooch", "", 1950) for n in range(6, 8)),
        *(LotPiece(n, "ring", "red", 1950) for n in range(8, 9)),
    ]
    lots, lone = lots_of(pieces, 3, 10)

    assert [(lot.kind, lot.colour, len(lot.pieces)) for lot in lots] == [
        ("brooch", "red", 4),
        ("brooch", "", 4),
    ]
    assert [piece.key for piece in lone] == [8]


def test_lots_that_cannot_be_are_refused() -> None:
    with pytest.raises(ValueError, match="lot"):
        lots_of([], 0, 3)
    with pytest.raises(ValueError, match="lot"):
        lots_of([], 4, 3)


NOTES = (
    "handsome unsigned brooch, heavy in the hand, prong set stones, no stones missing",
    "brooch, plating peeling, red",
    "brooch, plating peeling, red",
    "brooch, plating peeling, red",
    "single earring, blue, prong set, clip back",
    "single earring, blue, prong set, clip back",
    "single earring, green, glued, screw back",
    "necklace",
    "ring marked 14K, 4 g",
)


def box_of_notes() -> BoxAppraisal:
    reader = shipped_reader()
    read = {}
    for key, note in enumerate(NOTES, 100):
        reading = reader.read(Request(note=note, next_looks=2))
        read[key] = Read(reading, reader.metals(reading.observations))
    return appraise_box(compared(), read, THIRTY_TO_FIFTY, figures(), TODAY)


def test_a_box_finds_its_pair_and_its_lot() -> None:
    box = box_of_notes()

    assert [(mate.one, mate.other, mate.pair) for mate in box.mates] == [(104, 105, True)]
    assert {101, 102, 103} <= {piece.key for lot in box.lots for piece in lot.pieces}
    assert box.pieces[108].decision.choice == "test"
    assert {"lots", "mates"} <= box_data(box).keys()


def test_pieces_of_one_set_are_sold_together() -> None:
    reader = shipped_reader()
    notes = ("brooch, prong set stones", "brooch, prong set stones", "brooch, prong set stones")
    readings = [reader.read(Request(note=note)) for note in notes]
    of_set = (2, 2, 0)
    read = {key: Read(readings[key], (), of_set[key]) for key in range(3)}

    box = appraise_box(compared(), read, THIRTY_TO_FIFTY, figures(), TODAY)

    choices = [box.pieces[key].decision.choice for key in range(3)]
    assert choices == ["pair", "pair", "alone"]
    pair, alone = box.pieces[0].decision.best, box.pieces[2].decision.best
    assert pair.net is not None
    assert alone.net is not None
    assert pair.net == alone.net + 2 + Fraction(3, 2)  # half of 4 postage, half of 15 min at 12


def box_of_a_set(sales: tuple[Sale, ...]) -> BoxAppraisal:
    reader = shipped_reader()
    notes = ("necklace, rhinestones", "earrings, rhinestones", "brooch, rhinestones")
    readings = [reader.read(Request(note=note)) for note in notes]
    of_set = (2, 2, 0)
    read = {
        key: Read(readings[key], (), of_set[key], set=7 if of_set[key] else 0) for key in range(3)
    }
    return appraise_box(compared(), read, sales, figures(), TODAY)


def test_a_set_is_valued_by_sales_of_sets() -> None:
    """Six sets at 200 beside pieces at 30: whole, it brings far more than the pieces."""
    apart = tuple(
        sale(30, number, piece_type=kind)
        for kind in ("necklace", "earrings", "brooch")
        for number in range(4)
    )
    sets = tuple(sale(200, number, piece_type="set") for number in range(6))
    without, known = box_of_a_set(apart), box_of_a_set((*apart, *sets))

    assert without.sets[0].whole is None
    assert without.sets[0].gain == 1
    (worth,) = known.sets
    assert worth.pieces == (0, 1)
    assert worth.whole is not None
    assert worth.parts is not None
    assert worth.whole.low < 200 < worth.whole.high
    expected = Fraction(round(worth.whole.expected * 100), 100)
    shares = [
        known.pieces[key].decision.price * worth.gain  # type: ignore[operator]
        for key in worth.pieces
    ]
    assert float(sum(shares)) == pytest.approx(float(expected), rel=1e-3)
    assert [known.pieces[key].decision.choice for key in range(2)] == ["pair", "pair"]
    assert known.pieces[0].decision.best.net > without.pieces[0].decision.best.net  # type: ignore[operator]


def test_pieces_of_a_set_that_lie_elsewhere_count_in_its_price() -> None:
    sales = tuple(sale(200, number, piece_type="set") for number in range(6))
    sales += tuple(
        sale(30, number, piece_type=kind) for kind in ("necklace", "earrings") for number in (8, 9)
    )
    reader = shipped_reader()
    one, other = (
        Read(reader.read(Request(note=note)), (), 2, set=3)
        for note in ("necklace, rhinestones", "earrings, rhinestones")
    )
    both = appraise_box(compared(), {1: one, 2: other}, sales, figures(), TODAY)
    alone = appraise_box(compared(), {1: one}, sales, figures(), TODAY, {2: other})

    assert alone.pieces[1].decision == both.pieces[1].decision
    assert alone.sets == both.sets


def test_a_glance_adds_up() -> None:
    box = box_of_notes()
    bought = (
        Acquisition(1, 1, None, "", "", "", 2500, "EUR", ""),
        Acquisition(2, None, 100, "", "", "", 999, "EUR", ""),
        Acquisition(3, None, 101, "", "", "", 400, "JPY", ""),
        Acquisition(4, None, 102, "", "", "", None, "", ""),
    )
    glance = glance_of(box, bought, 0.3)

    assert glance.pieces == len(NOTES)
    assert dict(glance.types)["brooch"] == 4
    assert sum(count for _, count in glance.grades) == len(NOTES)
    assert dict(glance.spent) == {"EUR": 34.99, "JPY": 400}
    assert sum(len(keys) for _, keys in glance.choices) == len(NOTES)
    assert sum(held for _, held in glance.decades) == pytest.approx(len(NOTES))
    assert glance_data(glance)["pieces"] == len(NOTES)


def test_the_range_of_a_box_is_that_of_a_correlated_sum() -> None:
    """Against numpy: the variance of a sum is the sum over the covariance matrix."""
    box = box_of_notes()
    total = glance_of(box, (), 0.3).total
    known = [e.valuation.estimate for e in box.pieces.values() if e.valuation.estimate is not None]
    spread = np.array([(each.high - each.low) / (2 * NORMAL_80) for each in known])
    correlation = np.full((len(known), len(known)), 0.3)
    np.fill_diagonal(correlation, 1.0)
    deviation = float(np.sqrt((np.outer(spread, spread) * correlation).sum()))

    assert total is not None
    assert total.pieces == len(known)
    assert total.high == pytest.approx(total.expected + NORMAL_80 * deviation)


def test_looks_come_in_order_of_bits_times_money() -> None:
    looks = glance_of(box_of_notes(), (), 0.3, most_looks=20).looks

    assert len(looks) > 3
    worths = [look.gain_bits * (look.at_stake or 0) for look in looks]
    assert worths == sorted(worths, reverse=True)
    assert worths[0] > 0


def test_an_empty_box_is_no_trouble() -> None:
    box = appraise_box(compared(), {}, (), figures(), datetime.date(2026, 1, 1))
    glance = glance_of(box, (), 0.3)

    assert glance.pieces == 0
    assert glance.total is None
    assert glance.looks == ()


def test_the_settings_read_by_name_stand_in_the_rules() -> None:
    """A slip of a name would quietly give the default: each name used must be an entry."""
    for name in (
        "maker-named",
        "thought-replaced",
        "alike-enough",
        "lot-least",
        "lot-most",
        "price-together",
        "price-spread",
        "price-spread-trust",
        "price-spread-until",
        "price-spread-few",
        "grade-when-untold",
        "make-points-wanted",
        "stone-mismatch",
        "stone-fit-least",
        "stone-colour-half",
        "stone-other-back",
        "stone-other-cut",
        "stone-size-near",
    ):
        assert name in shipped().settings, name
    for name in (
        "part-was-changed",
        "stone-is-wanting",
        "stone-does-not-match",
        "stone-has-failed",
        "part-is-wanting",
        "all-stones-counted",
        "metal-proved-base",
    ):
        assert name in shipped().findings, name


@pytest.mark.parametrize(
    "notes",
    [
        ("single clip-on earring, gold tone, faux pearl", "pair of clip-on earrings, gold tone"),
        ("one clip-on earring only, gold tone, faux pearl", "clip-on earrings, gold tone, pearl"),
    ],
)
def test_one_half_is_no_mate_of_a_whole_pair(notes: tuple[str, str]) -> None:
    reader = shipped_reader()
    box = appraise_box(
        compared(),
        {key: Read(reader.read(Request(note=note)), ()) for key, note in enumerate(notes)},
        THIRTY_TO_FIFTY,
        figures(),
        TODAY,
    )
    twins = {key: Read(reader.read(Request(note=notes[0])), ()) for key in range(2)}
    pair = appraise_box(compared(), twins, THIRTY_TO_FIFTY, figures(), TODAY)

    assert "single-of-pair" in {each.fault for each in box.pieces[0].condition.flaws}
    assert not [mate for mate in box.mates if mate.pair]
    assert [mate.pair for mate in pair.mates] == [True]


def test_a_single_goes_in_a_lot_whoever_signed_it() -> None:
    single = appraised_note("single clip-on earring, signed MONET", THIRTY_TO_FIFTY).decision
    both = appraised_note("pair of clip-on earrings, signed MONET", THIRTY_TO_FIFTY).decision

    assert [not each.against for each in single.weighed if each.choice == "lot"] == [True]
    assert [not each.against for each in both.weighed if each.choice == "lot"] == [False]
