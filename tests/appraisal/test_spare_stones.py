"""Spare stones: colour differences by the published pairs, sizes by the tables, matches by both."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from appraisal_building import shipped
from hypothesis import given
from hypothesis import strategies as st

from markrules.appraisal.colours import difference, lab_of_name, lab_of_srgb
from markrules.appraisal.mirrored import mirrored
from markrules.appraisal.sampling import PhotoProblem, sampled_colour
from markrules.appraisal.stone import Measure, Stone, measured, sized
from markrules.appraisal.stones import advise
from markrules.catalogue.records import SpareStone
from markrules.tasks.stocking import stones_in_table, stones_in_text

# G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 color-difference formula: implementation notes,
# supplementary test data, and mathematical observations", Color Research & Application 30 (2005),
# table 1: L1 a1 b1 L2 a2 b2 difference.
SHARMA_2005 = """
50.0000 2.6772 -79.7751 50.0000 0.0000 -82.7485 2.0425
50.0000 3.1571 -77.2803 50.0000 0.0000 -82.7485 2.8615
50.0000 2.8361 -74.0200 50.0000 0.0000 -82.7485 3.4412
50.0000 -1.3802 -84.2814 50.0000 0.0000 -82.7485 1.0000
50.0000 -1.1848 -84.8006 50.0000 0.0000 -82.7485 1.0000
50.0000 -0.9009 -85.5211 50.0000 0.0000 -82.7485 1.0000
50.0000 0.0000 0.0000 50.0000 -1.0000 2.0000 2.3669
50.0000 -1.0000 2.0000 50.0000 0.0000 0.0000 2.3669
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0009 7.1792
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0010 7.1792
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0011 7.2195
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0012 7.2195
50.0000 -0.0010 2.4900 50.0000 0.0009 -2.4900 4.8045
50.0000 -0.0010 2.4900 50.0000 0.0010 -2.4900 4.8045
50.0000 -0.0010 2.4900 50.0000 0.0011 -2.4900 4.7461
50.0000 2.5000 0.0000 50.0000 0.0000 -2.5000 4.3065
50.0000 2.5000 0.0000 73.0000 25.0000 -18.0000 27.1492
50.0000 2.5000 0.0000 61.0000 -5.0000 29.0000 22.8977
50.0000 2.5000 0.0000 56.0000 -27.0000 -3.0000 31.9030
50.0000 2.5000 0.0000 58.0000 24.0000 15.0000 19.4535
50.0000 2.5000 0.0000 50.0000 3.1736 0.5854 1.0000
50.0000 2.5000 0.0000 50.0000 3.2972 0.0000 1.0000
50.0000 2.5000 0.0000 50.0000 1.8634 0.5757 1.0000
50.0000 2.5000 0.0000 50.0000 3.2592 0.3350 1.0000
60.2574 -34.0099 36.2677 60.4626 -34.1751 39.4387 1.2644
63.0109 -31.0961 -5.8663 62.8187 -29.7946 -4.0864 1.2630
61.2901 3.7196 -5.3901 61.4292 2.2480 -4.9620 1.8731
35.0831 -44.1164 3.7933 35.0232 -40.0716 1.5901 1.8645
22.7233 20.0904 -46.6940 23.0331 14.9730 -42.5619 2.0373
36.4612 47.8580 18.3852 36.2715 50.5065 21.2231 1.4146
90.8027 -2.0831 1.4410 91.1528 -1.6435 0.0447 1.4441
90.9257 -0.5406 -0.9208 88.6381 -0.8985 -0.7239 1.5381
6.7747 -0.2908 -2.4247 5.8714 -0.0985 -2.2286 0.6377
2.0776 0.0795 -1.1350 0.9033 -0.0636 -0.5514 0.9082
"""
PAIRS = [tuple(map(float, line.split())) for line in SHARMA_2005.strip().splitlines()]


def test_all_34_published_pairs_are_there() -> None:
    assert len(PAIRS) == 34


@pytest.mark.parametrize("pair", PAIRS)
def test_ciede2000_gives_the_published_differences(pair: tuple[float, ...]) -> None:
    l1, a1, b1, l2, a2, b2, published = pair

    assert difference((l1, a1, b1), (l2, a2, b2)) == pytest.approx(published, abs=5e-5)
    assert difference((l2, a2, b2), (l1, a1, b1)) == pytest.approx(published, abs=5e-5)


def test_lab_of_srgb_white_black_and_red() -> None:
    """CIE 15: white is L* 100, black 0. IEC 61966-2-1 red: 53.24, 80.09, 67.20."""
    assert lab_of_srgb(255, 255, 255) == pytest.approx((100, 0, 0), abs=0.01)
    assert lab_of_srgb(0, 0, 0) == pytest.approx((0, 0, 0), abs=0.01)
    assert lab_of_srgb(255, 0, 0) == pytest.approx((53.24, 80.09, 67.20), abs=0.05)


def test_css_names_are_exact_and_trade_words_go_by_family() -> None:
    """CSS Color Module Level 4: navy is #000080, salmon #fa8072."""
    navy, salmon = lab_of_name(shipped(), "navy"), lab_of_name(shipped(), "Salmon")
    ruby = lab_of_name(shipped(), "ruby red")

    assert navy is not None
    assert navy.exact
    assert navy.lab == pytest.approx(lab_of_srgb(0, 0, 0x80))
    assert salmon is not None
    assert salmon.lab == pytest.approx(lab_of_srgb(0xFA, 0x80, 0x72))
    assert ruby is not None
    assert not ruby.exact
    assert lab_of_name(shipped(), "no such colour") is None


def test_sizes_are_read_in_millimetres_and_codes() -> None:
    """A published chart has SS16 as 3.8 to 4.0 mm (register stone-size, with its sources)."""
    assert sized(shipped(), "4 mm") == (4, 4)
    assert sized(shipped(), "3,5") == (3.5, 3.5)
    assert sized(shipped(), "ss16") == (3.8, 4.0)
    assert sized(shipped(), "big") is None
    assert sized(shipped(), "-4") is None
    assert sized(shipped(), "nan") is None


def spare(number: int, **changed: object) -> SpareStone:
    usual: dict[str, object] = {
        "shape": "round",
        "size_mm": 4.0,
        "size_code": "",
        "colour": "red",
        "lab": None,
        "cut": "",
        "back": "foil",
        "count": 2,
        "from_piece": None,
        "note": "",
    }
    return SpareStone(number, **{**usual, **changed})  # type: ignore[arg-type]


WANTED = Stone("round", (3.9, 4.0), "red", None, "", "foil")


def test_the_same_stone_fits_best_and_others_follow() -> None:
    tin = (
        spare(1, back="unfoiled"),
        spare(2, size_mm=4.1),
        spare(3),
        spare(4, colour="pink"),
        spare(5, shape="oval"),
        spare(6, size_mm=6.0),
        spare(7, count=0),
        spare(8, size_mm=None, size_code="SS16"),
    )
    fits = advise(shipped(), WANTED, tin).fits
    order = [fit.stone.id for fit in fits]

    assert set(order[:2]) == {3, 8}
    assert order[2] == 2
    assert not {5, 6, 7} & set(order)
    assert fits[0].score == 1


def test_a_sampled_colour_counts_before_its_name() -> None:
    wanted = Stone("round", (4, 4), "red", (50, 60, 30), "", "foil")
    near = spare(1, colour="pink", lab=(50, 61, 30))
    far = spare(2, colour="red", lab=(30, 20, 60))

    fits = advise(shipped(), wanted, (far, near)).fits

    assert fits[0].stone.id == 1
    assert fits[0].apart is not None
    assert fits[0].apart < 2


def test_other_words_for_the_same_cut_and_back_are_the_same() -> None:
    """A navette is also called a marquise; a foiled back is a foil back (common practice)."""
    wanted = Stone("marquise", (4, 4), "red", None, "", "foil back")
    fits = advise(shipped(), wanted, (spare(1, shape="navette", back="foiled"),)).fits

    assert [fit.stone.id for fit in fits] == [1]
    assert "same back" in fits[0].words
    assert not advise(shipped(), Stone("square", (4, 4)), (spare(1, shape="triangle"),)).fits


def test_what_to_buy_and_what_to_mind() -> None:
    found = advise(shipped(), WANTED, ())

    assert found.fits == ()
    assert "SS16" in [size.code for size in found.buy]
    said = " ".join(found.cautions).casefold()
    assert "fumes" in said
    assert "glue" in said


def test_mirrored_stones_that_differ_were_probably_replaced() -> None:
    base = shipped()
    red = Stone("round", (4, 4), "red")

    assert not mirrored(base, red, Stone("round", (4.05, 4.05), "ruby red")).differ
    assert mirrored(base, red, Stone("round", (4, 4), "green")).differ
    assert mirrored(base, red, Stone("oval", (4, 4), "red")).differ
    assert mirrored(base, red, Stone("round", (5, 5), "red")).differ
    assert not mirrored(base, Stone(), Stone()).differ


@given(st.tuples(st.floats(0, 100), st.floats(-80, 80), st.floats(-80, 80)), st.floats(0, 40))
def test_mismatch_is_a_matter_of_the_difference(
    lab: tuple[float, float, float], shift: float
) -> None:
    other = (lab[0], lab[1] + shift, lab[2])
    found = mirrored(shipped(), Stone(lab=lab), Stone(lab=other))

    assert found.differ == (difference(lab, other) > shipped().setting("stone-mismatch", 0))


def photo(path: Path, left: tuple[int, int, int], right: tuple[int, int, int]) -> Path:
    from PIL import Image

    picture = Image.new("RGB", (400, 200), left)
    picture.paste(right, (200, 0, 400, 200))
    picture.putpixel((100, 100), (255, 255, 255))  # a sparkle
    picture.save(path)
    return path


def test_a_colour_is_sampled_where_asked_and_passes_over_sparkle(tmp_path: Path) -> None:
    found = photo(tmp_path / "two.png", (160, 20, 40), (20, 40, 160))

    assert sampled_colour(found, 0.25, 0.5) == pytest.approx(lab_of_srgb(160, 20, 40))
    assert sampled_colour(found, 0.75, 0.5) == pytest.approx(lab_of_srgb(20, 40, 160))
    sampled_colour(found, 0.0, 1.0)


def test_hostile_photos_are_refused_kindly(tmp_path: Path) -> None:
    from PIL import Image

    text = tmp_path / "not.png"
    text.write_text("no photo")
    held = io.BytesIO()
    Image.new("RGB", (50, 50)).save(held, "PNG")
    cut = tmp_path / "cut.png"
    cut.write_bytes(held.getvalue()[:60])
    bomb = tmp_path / "bomb.png"
    Image.new("1", (12_000, 12_000)).save(bomb)

    for path in (text, cut, bomb):
        with pytest.raises(PhotoProblem):
            sampled_colour(path, 0.5, 0.5)
    for place in ((-0.1, 0.5), (0.5, 1.1), (float("nan"), 0.5)):
        with pytest.raises(PhotoProblem):
            sampled_colour(bomb, *place)


def test_another_colour_never_comes_before_the_one_that_was_asked_for() -> None:
    asked = Stone(shape="round", size_mm=(4.0, 4.0), colour="red")
    far = SpareStone(1, "round", 4.1, "", "red", None, "", "", 2, None, "")
    near = SpareStone(2, "round", 4.0, "", "pink", None, "", "", 2, None, "")
    found = advise(shipped(), asked, [near, far])

    assert found.fits[0].stone.id == 1


@pytest.mark.parametrize(
    ("text", "long", "across"),
    [
        ("10x5", 10, 5),
        ("10 × 5 mm", 10, 5),
        ("5 mm x 10 mm", 10, 5),
        ("7,5 by 4", 7.5, 4),
        ("4 mm", 4, None),
    ],
)
def test_a_stone_has_one_size_or_two(text: str, long: float, across: float | None) -> None:
    found = measured(shipped(), text)
    assert found == Measure((long, long), None if across is None else (across, across))


def test_both_sides_must_fit_and_what_to_buy_has_shape_and_size() -> None:
    base = shipped()
    tin = [
        SpareStone(1, "navette", None, "10 × 5 mm", "red", None, "", "", 4, None, ""),
        SpareStone(2, "navette", None, "10 × 3 mm", "red", None, "", "", 4, None, ""),
        SpareStone(3, "navette", 10.0, "", "red", None, "", "", 4, None, ""),
        SpareStone(4, "round", 10.0, "", "red", None, "", "", 4, None, ""),
    ]
    wanted = Stone("navette", (10, 10), "red", across_mm=(5, 5))

    found = advise(base, wanted, tin)

    assert [fit.stone.id for fit in found.fits] == [1, 3]
    assert found.buy == ()
    assert found.order == "navette, 10 × 5 mm, red"
    codes = advise(base, Stone("round", (4, 4)), ())
    assert "SS16" in [each.code for each in codes.buy]


def test_pasted_lines_and_tables_are_many_stones(tmp_path: Path) -> None:
    base = shipped()
    text = (
        "12 x navette, 10x5 mm, red, foil\nround, SS16, thick, dark blue\n\n"
        "SS16\n6 pear 8x5 green\n"
    )
    pasted = stones_in_text(base, text)
    first, second, third, fourth = (stone for _, stone in pasted.stones)
    assert (fourth.shape, fourth.size_code, fourth.colour, fourth.count) == (
        *("pear", "8 × 5 mm", "green"),
        6,
    )
    assert (first.shape, first.size_code, first.colour, first.count) == (
        *("navette", "10 × 5 mm", "red"),
        12,
    )
    assert (second.shape, second.size_code, second.count) == ("round", "SS16", 1)
    assert (third.size_code, third.count) == ("SS16", 1)

    table = tmp_path / "stones.csv"
    table.write_text(
        "Shape,Size,Color,Qty\nround,4,red,6\nround,huge,red,6\npear,8x5,,0\n,,,\n",
        encoding="utf-8",
    )
    found = stones_in_table(base, table)
    assert [(stone.size_mm, stone.count) for _, stone in found.stones] == [(4.0, 6)]
    assert [line for line, _ in found.errors] == [3, 4]
    assert "is no size" in found.errors[0][1]
    assert "whole number" in found.errors[1][1]
