"""Marks of plated, filled, cased and rolled work, as they are spelled: none is called solid.

The spellings were written down, and labelled, before any was read.
"""

from __future__ import annotations

import pytest
from shipped_base import shipped_base
from together import every_case

from markrules.marks.metal import find_metal_marks

COATED = """
14KT. H.G.E. / 18KGE / 18 K.G.P. / 14K GOLD ELECTROPLATED / ELECTRO GOLD 18K / 18K HEAVY GE
GOLDFILLED 14K / 12KT GOLD FILLED / 12K-GF / R.G.P. 10K / 10KT ROLLED GOLD PLATE / 9CT R.GOLD
9CT ROLLED & BACKED / 9 CT BACK & FRONT / 9CT B&F / 9CT FRONT & BACK / 9CT METAL CORE
9CT ON SILVER / 9CT & SIL / 9CT BONDED / 18CT GOLD CASED / GOLD CASED 9CT
GUARANTEED ROLLED GOLD 18CT / 10 MICRON 18K / 18K 3 MICRONS / PLAQUE OR 20 MICRONS / PLAQUE OR
DOUBLE D'OR / AMERIC DOUBLE / WALZGOLD / GOLD DOUBLE 14 K / AMERIKANER DOUBLE / VERGOLDET 585
STERLING 14K VERMEIL / VERMEIL 18K ON 925 / 14KGOS / 18K BONDED GOLD / 14K CLAD / GOLD CLAD 18KT
18K OVERLAY / GOLD SHELL 14K / 14K SHELL / GOLD SOLDERED 9CT / 9CT SHELL / ALPACCA SILVER PLATED
EPNS / E.P.B.M. / SHEFFIELD PLATE / SILVER FILLED 925 / SILVERPLATE 925 / A1 SILVER
GERMAN SILVER 925 / 18K RUTHENIUM PLATED / 14K WASHED / GILT 18K / 14K TRIPLE PLATE / BRASS 925
ALPACA 925 / NEW SILVER 925 / 14K STEEL
"""
FRACTIONS = ("1/10 14KGF", "14/20 GF", "1-20 12K G.F.", "1/40 RGP 14K", "UNION 20/1000", "1/20 SF")
SPELLINGS = (*(each.strip() for each in COATED.replace("\n", " / ").split(" / ") if each.strip()),)


@every_case("text", [*SPELLINGS, *FRACTIONS])
def test_none_is_called_solid(text: str) -> None:
    assert not [
        each.words for each in find_metal_marks(text, shipped_base()) if each.how == "solid"
    ]


@every_case("text", [*SPELLINGS, *FRACTIONS])
def test_each_says_something_of_the_metal(text: str) -> None:
    assert find_metal_marks(text, shipped_base())


@every_case("text", ["14K NICKEL FREE", "925 RHODIUM", "585/1000", "14K", "925 NICKEL FREE"])
def test_words_that_take_nothing_back_leave_it_solid(text: str) -> None:
    assert find_metal_marks(text, shipped_base())[0].how == "solid"


def test_the_slash_of_a_fraction_ends_no_line() -> None:
    (_, karat) = find_metal_marks("1/40 RGP 14K", shipped_base())
    assert karat.claim == 'Stamped "1/40 RGP 14K".'


def test_plated_without_a_figure_tells_of_no_microns() -> None:
    (plated,) = find_metal_marks("PLAQUE OR", shipped_base())
    assert "micron" not in plated.say + plated.claim


FINENESSES = ("14K", "9CT", "750", "18 KT", "10K GOLD", "585", "22CT GOLD", "950 PLATINUM")
BESIDE = tuple(
    each.strip()
    for each in """
SHELL / CASED / LAYERED / GL / FILLED / GF / ROLLED / RG / RGP / PLATED / PLTD / PL / GP / WASHED
BONDED / ELECTROPLATE / GE / GEP / HGE / HG / ON SILVER / ON STERLING / ON BRASS / TOP / B/F
BACK AND FRONT / B&F / F & B / TONE / COLOUR / OVERLAID / LINED / CLAD / DIPPED / FLASH / FUSED
METAL CORE / FINISH / COATED / TRIM / POSTS / CLASP / BEZEL / MOUNTED / PARTS / WEIGHTED / PVD
CEMENT FILLED / 5 MICRONS
""".replace("\n", " / ").split(" / ")
    if each.strip()
)
WAYS = ("{0} {1}", "{1} {0}", "{0}-{1}", "{0} ({1})", "{0}, {1}", "{0} / {1}")


@every_case("way", WAYS)
def test_no_fineness_is_solid_with_any_such_word_in_any_place(way: str) -> None:
    """Every fineness by every word that qualifies, in capitals and in small letters."""
    on_lines = way in ("{0}, {1}", "{0} / {1}")
    solid = [
        text
        for fineness in FINENESSES
        for word in BESIDE
        if not (on_lines and word in ("AND SILVER", "ON SILVER", "ON STERLING"))
        for text in (way.format(fineness, word), way.format(fineness, word).lower())
        if any(each.how == "solid" for each in find_metal_marks(text, shipped_base()))
    ]
    assert solid == []


@every_case("text", ["STERLING 14K", "750 925", "PT950 18K", "14K GOLD & SILVER"])
def test_two_metals_on_one_line_are_neither_all_of_the_piece(text: str) -> None:
    assert {each.how for each in find_metal_marks(text, shipped_base())} <= {"combined", "wording"}


@every_case("text", ["14K SS", "SS 14K", "14K/SS", "14K & SS", "14K O/S", "14K STER"])
def test_letters_that_may_be_another_metal_leave_none_solid(text: str) -> None:
    assert all(each.how != "solid" for each in find_metal_marks(text, shipped_base()))


def test_gold_may_name_the_colour_of_silver() -> None:
    assert find_metal_marks("925 ROSE GOLD", shipped_base())[0].how == "solid"


@every_case("text", ["PD", "TRIFARI PD", "925 PD", "PD 585", "14K PD"])
def test_pd_is_palladium_only_beside_one_of_its_finenesses(text: str) -> None:
    marks = find_metal_marks(text, shipped_base())
    assert "palladium" not in {each.metal for each in marks}
    assert find_metal_marks("PD950", shipped_base())[0].metal == "palladium"


@pytest.mark.parametrize("text", ["925 GOLD PLATED", "STERLING G.F.", "925 ROLLED GOLD"])
def test_a_coat_that_is_known_over_a_metal_leaves_it_what_it_is(text: str) -> None:
    assert "solid" in {each.how for each in find_metal_marks(text, shipped_base())}


THINGS = (
    "CHAIN",
    "CROWN",
    "STAR",
    "BAR",
    "RING",
    "STONE",
    "HANDLES",
    "LEAD",
    "BELL",
    "PINS",
)
"""Words of names and marks of listed makers that are words for things as well."""


@pytest.mark.parametrize("metal", ["SILVER", "GOLD", "STERLING", "925", "14K", "750"])
@pytest.mark.parametrize("thing", THINGS)
def test_a_thing_beside_a_metal_may_be_all_that_is_of_it(metal: str, thing: str) -> None:
    for text in (f"{metal} {thing}", f"{thing} {metal}", f"{metal} {thing}".lower()):
        marks = find_metal_marks(text, shipped_base())

        assert not [each.words for each in marks if each.how in ("solid", "wording")], text


@pytest.mark.parametrize("name", ["PETER STONE", "LOLA ROSE", "BELL TRADING", "BOND BOYD", "BEAU"])
def test_a_listed_name_that_holds_such_a_word_takes_nothing_back(name: str) -> None:
    for text in (f"{name} STERLING", f"STERLING {name}", f"925 {name}"):
        assert [each.how for each in find_metal_marks(text, shipped_base())] == ["solid"], text


@pytest.mark.parametrize("alloy", ["NEUSILBER", "TOMBAC", "PINCHBECK", "TITANIUM", "STEEL"])
def test_an_alloy_without_it_beside_a_fineness_leaves_it_open(alloy: str) -> None:
    for text in (f"925 {alloy}", f"{alloy} 585"):
        assert all(each.how != "solid" for each in find_metal_marks(text, shipped_base())), text


def test_a_bright_coat_of_rhodium_takes_nothing_from_silver() -> None:
    assert find_metal_marks("925 RHODIUM", shipped_base())[0].how == "solid"
