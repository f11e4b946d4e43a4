"""Spare stones: colour differences by the published pairs, sizes by the tables, matches by both."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from appraisal_building import shipped
from hypothesis import given
from hypothesis import strategies as st
from shipped_base import shipped_reader
from together import every_case

from markrules.appraisal.colours import difference, lab_of_name, lab_of_srgb
from markrules.appraisal.shades import shade_words, srgb, stone_colour
from markrules.appraisal.stone import Stone, sized, stone_of
from markrules.appraisal.stones import advise
from markrules.catalogue.records import SpareStone
from markrules.knowledge.loading import load
from markrules.knowledge.places import shipped_rules
from markrules.reading.reader import Reader, Request
from markrules.tasks.stocking import new_to_the_tin, stones_in_table, stones_in_text

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


@every_case("pair", PAIRS)
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


def spare(number: int, colour: str) -> SpareStone:
    return SpareStone(number, "round", 4.0, "", colour, None, "", "", 1, None, "")


TIN = (
    spare(1, "jonquil"),
    spare(2, "Lt. Topaz"),
    spare(3, "citrine"),
    spare(4, "siam"),
    spare(5, "light siam"),
    spare(6, "crystal"),
    spare(7, "Crystal AB"),
    spare(8, "montana"),
    spare(9, ""),
)


def colours_found(asked: str) -> list[str]:
    wanted = Stone("round", (4.0, 4.0), asked)
    return [each.stone.colour for each in advise(shipped(), wanted, TIN).fits]


@every_case(
    ("words", "name"),
    [
        ("Light Topaz", "light topaz"),
        ("lt topaz", "light topaz"),
        ("crystal AB", "crystal AB"),
        ("AB crystal", "crystal AB"),
        ("Siam A/B", "siam AB"),
        ("smoky topaz", "smoked topaz"),
        ("dk. amethyst", "dark amethyst"),
        ("montana blue", "montana"),
    ],
)
def test_one_colour_has_one_name_however_it_is_written(words: str, name: str) -> None:
    assert shade_words(shipped(), stone_colour(shipped(), words)) == name


def test_every_shade_is_of_the_colour_that_it_looks_like() -> None:
    """Hue and lightness by CIE Lab (ISO/CIE 11664-4), computed by coloraide: a red lies at about
    0 to 60 degrees, a green at 100 to 200, a blue at 190 to 310, a purple at 280 to 340.
    """
    hues = {
        "red": (-30, 60),
        "pink": (-40, 40),
        "orange": (25, 75),
        "yellow": (65, 110),
        "green": (95, 195),
        "blue": (180, 310),
        "purple": (275, 340),
    }
    for shade in shipped().shades.values():
        lightness, a, b = lab_of_srgb(*srgb(shade))
        hue, chroma = math.degrees(math.atan2(b, a)), math.hypot(a, b)
        if shade.of.name == "white-or-clear":
            assert lightness > 88, shade.name
            assert chroma < 12, shade.name
        elif shade.of.name == "black-or-grey":
            assert chroma < 12, shade.name
        elif shade.of.name in hues:
            low, high = hues[shade.of.name]
            assert low <= (hue if hue <= high else hue - 360) <= high or low <= hue % 360 <= high, (
                shade.name,
                hue,
            )


def test_another_colour_never_stands_above_the_asked_one() -> None:
    for asked in ("light topaz", "jonquil", "crystal", "crystal AB", "siam", "light siam"):
        found = colours_found(asked)
        same = stone_colour(shipped(), asked)

        assert same.same(stone_colour(shipped(), found[0])), asked


def test_a_colour_asked_for_as_such_takes_all_its_shades_before_any_other() -> None:
    assert set(colours_found("red")[:2]) == {"siam", "light siam"}
    assert set(colours_found("yellow")[:3]) == {"jonquil", "Lt. Topaz", "citrine"}


@given(st.permutations(TIN), st.sampled_from(["siam", "crystal AB", "jonquil", "light topaz"]))
def test_the_order_of_the_tin_changes_nothing(tin: list[SpareStone], asked: str) -> None:
    wanted = Stone("round", (4.0, 4.0), asked)

    assert advise(shipped(), wanted, tin).fits == advise(shipped(), wanted, TIN).fits


def test_what_to_buy_names_shape_size_and_the_colour_of_the_trade() -> None:
    wanted = Stone("navette", (10.0, 10.0), "lt. topaz ab", across_mm=(5.0, 5.0))
    told = Stone("round", (4.0, 4.0), "red")

    assert advise(shipped(), wanted, ()).order == "navette, 10 × 5 mm, light topaz AB"
    assert "siam" in advise(shipped(), told, ()).shades
    assert advise(shipped(), wanted, ()).shades == ()


def test_pasted_lines_part_colour_and_back_without_commas() -> None:
    found = stones_in_text(shipped(), "6 navette 10x5 mm light siam foil\n2 x round, 4 mm, montana")

    assert not found.errors
    first, second = (stone for _, stone in found.stones)
    assert (first.shape, first.size_code, first.colour, first.back, first.count) == (
        "navette",
        "10 × 5 mm",
        "light siam",
        "foil",
        6,
    )
    assert (second.shape, second.colour) == ("round", "montana")


def test_own_rules_add_a_shade(tmp_path: Path) -> None:
    own = tmp_path / "mine.rules"
    own.write_text(
        'shade attic-rose\n    of    pink\n    looks "#C88AA0"\n    cite  from-memory\n', "utf-8"
    )
    base, problems = load([shipped_rules(), tmp_path], cache_folder=None)
    wanted = Stone("round", (4.0, 4.0), "Attic Rose")
    reader = Reader(base, 2026)

    assert not problems
    assert stone_colour(base, "attic rose AB").shade == "attic-rose"
    found = advise(base, wanted, [spare(1, "rose"), spare(2, "attic rose")])
    assert found.fits[0].stone.id == 2
    seen = reader.understand("brooch, attic rose rhinestones").observations
    assert ("colour", "pink") in {(each.feature, each.value) for each in seen}


@every_case(
    ("note", "colours"),
    [
        ("brooch, siam rhinestones", {"red"}),
        ("brooch, light siam AB rhinestones", {"red"}),
        ("brooch, montana stones missing", {"blue"}),
        ("brooch, light topaz rhinestones", {"yellow"}),
        ("brooch, peridot stones", set()),
        ("brooch, Siam silver", set()),
        ("brooch, found in Montana", set()),
        ("brooch, marked SIAM", set()),
    ],
)
def test_names_of_shades_are_colours_where_stones_are_spoken_of(
    note: str, colours: set[str]
) -> None:
    seen = shipped_reader().understand(note).observations

    assert {each.value for each in seen if each.feature == "colour"} == colours


@every_case(
    ("line", "count", "size"),
    [
        ("12 x navette, 10x5 mm, siam, foil", 12, "10 x 5 mm"),
        ("navette, 10x5 mm, siam, foil, 14 pcs", 14, "10 x 5 mm"),
        ("navette, 10x5 mm, siam foil 14 pieces", 14, "10 x 5 mm"),
        ("navette, siam, 10x5 mm, qty 14", 14, "10 x 5 mm"),
        ("navette, siam, 10x5 mm, x14", 14, "10 x 5 mm"),
        ("navette, 10x5 mm, siam, 14", 14, "10 x 5 mm"),
        ("navette, siam, 10 x 14", 1, "10 x 14 mm"),
        ("navette, siam, 10x5", 1, "10 x 5 mm"),
        ("siam navette 10x5 x3", 3, "10 x 5 mm"),
        ("navette 10 x 5 siam x 14", 14, "10 x 5 mm"),
        ("siam navette 10x5mm (6)", 6, "10 x 5 mm"),
        ("siam navette 10 x 5 (x 12 pcs)", 12, "10 x 5 mm"),
        ("siam navette 10 x 5", 1, "10 x 5 mm"),
    ],
)
def test_how_many_stands_first_or_last_and_is_never_a_side(
    line: str, count: int, size: str
) -> None:
    ((_, stone),) = stones_in_text(shipped(), line).stones

    assert (stone.shape, stone.count, stone.note) == ("navette", count, "")
    assert sorted(stone.size_code.replace("×", "x").split()) == sorted(size.split())


def test_a_bare_number_is_a_count_and_neither_shape_nor_note() -> None:
    ((_, stone),) = stones_in_text(shipped(), "SS20 crystal, 24").stones
    assert (stone.shape, stone.count, stone.size_code, stone.note) == ("", 24, "SS20", "")
    ((_, other),) = stones_in_text(shipped(), "round, red, 4 mm, 10, 30").stones
    assert (other.count, other.note) == (10, "30")  # the second is nothing that can be known


def test_a_text_file_holds_lines_as_they_are_pasted(tmp_path: Path) -> None:
    lines = "12 x navette, 10x5 mm, siam\nround, SS16, montana, 3 pcs\n"
    for name, encoding in (("tin.txt", "utf-8"), ("tin", "utf-16"), ("TIN.TXT", "utf-8-sig")):
        (tmp_path / name).write_text(lines, encoding)
        found = stones_in_table(shipped(), tmp_path / name)
        assert not found.errors, name
        assert [each.count for _, each in found.stones] == [12, 3], name


@pytest.mark.parametrize("line", ['"@context": "https://example.org/"', "dear Sir or Madam", "{"])
def test_a_line_of_which_nothing_is_known_is_no_stone(line: str) -> None:
    found = stones_in_text(shipped(), f"{line}\n3 x round, 4 mm, red")

    assert [number for number, _ in found.stones] == [2]
    ((number, why),) = found.errors
    assert number == 1
    assert "12 x navette" in why


def mixed_tin() -> tuple[SpareStone, ...]:
    found = stones_in_text(
        shipped(),
        "12 x siam, navette, 15x7 mm\n40 x crystal AB, chaton, SS29\n40 x crystal, chaton, SS29\n"
        "9 x light sapphire, oval, 8x6 mm\n6 x montana, pear, 10x6 mm",
    )
    return tuple(stone for _, stone in found.stones)


@every_case(
    ("note", "colour"),
    [
        ("brooch, red navette stones, one missing, 15 x 7 mm stones", "siam"),
        ("brooch, red navette stones, one missing", "siam"),
        ("necklace, clear AB chatons, ss29, two stones missing", "crystal AB"),
        ("brooch, pale blue oval stone missing 8x6mm", "light sapphire"),
        ("brooch, pale blue oval stone missing, chain 20 inches", "light sapphire"),
    ],
)
def test_what_a_note_tells_of_its_stones_finds_one_in_the_tin(note: str, colour: str) -> None:
    """Their size stands in it as that of a part or as a code, their coat beside their colour."""
    seen = shipped_reader().read(Request(note, next_looks=0)).observations
    found = advise(shipped(), stone_of(shipped(), seen, note), mixed_tin())
    assert [fit.stone.colour for fit in found.fits][:1] == [colour]


@pytest.mark.parametrize("asked", ["light blue", "pale blue"])
def test_a_shade_that_the_trade_offers_for_a_colour_fits_it(asked: str) -> None:
    found = advise(shipped(), Stone("oval", (8.0, 8.0), asked, across_mm=(6.0, 6.0)), mixed_tin())
    offered = [each for each in found.shades if each == "light sapphire"]
    assert [fit.stone.colour for fit in found.fits] == offered


def test_a_shape_that_nobody_knows_is_refused_with_the_one_that_was_meant() -> None:
    text = "6 x octogon, 10x8 mm, emerald\n2 x blob, 4 mm\n1 x heart, 4 mm"
    found = stones_in_text(shipped(), text)
    assert [line for line, _ in found.errors] == [1, 2]
    assert 'was "octagon" meant?' in found.errors[0][1]
    assert "meant" not in found.errors[1][1]
    assert [stone.shape for _, stone in found.stones] == ["heart"]


def test_a_list_put_in_twice_is_refused_line_by_line() -> None:
    found = stones_in_text(shipped(), "6 x octagon, 10x8 mm, emerald\n2 x heart, 4 mm, red")
    held = [replace(stone, id=at) for at, (_, stone) in enumerate(found.stones, 7)]
    again = new_to_the_tin(held, found)
    assert not again.stones
    assert [line for line, _ in again.errors] == [1, 2]
    assert "stone 7" in again.errors[0][1]
    assert "--again" in again.errors[0][1]
    more = stones_in_text(shipped(), "2 x heart, 4 mm, red\n3 x heart, 4 mm, red")
    assert [stone.count for _, stone in new_to_the_tin(held, more).stones] == [3]


def test_a_coat_alone_is_looked_for_and_ordered() -> None:
    """Earrings with AB stones of no told colour: plain siam is another coat."""
    base = shipped()
    note = "earrings, AB octagon stones 14x10 mm, one stone missing"
    wanted = stone_of(base, shipped_reader().read(Request(note=note)).observations, note)
    advice = advise(base, wanted, ())
    assert advice.order.endswith("AB")
