"""Marks of metal content against laws, standards and arithmetic; each group names its source."""

from __future__ import annotations

from fractions import Fraction

import pytest
import scipy.constants
from shipped_base import shipped_base
from together import every_case

from markrules.marks.metal import MetalReading, find_metal_marks
from markrules.marks.metal_grammar import KARATS
from markrules.marks.metal_value import TROY_OUNCE_G, fine_grams, melt_value, price_per_gram


def one(text: str) -> MetalReading:
    (reading,) = find_metal_marks(text, shipped_base())
    return reading


def meanings(text: str) -> set[str]:
    reading = one(text)
    return {reading.metal, *(each.metal for each in reading.alternatives)}


# The many spellings that a decoder must take, with metal, way and claim (the words of the trade).
@every_case(
    ("text", "mark"),
    [
        ("1/20 12K GF", "gold-filled-fraction"),
        ("1/20TH 12 KT. GOLD FILLED", "gold-filled-fraction"),
        ("14K R.G.P.", "rolled-gold-plate"),
        ("1/40 12K R.G.P.", "rolled-gold-fraction"),
        ("18KT HGE", "heavy-gold-electroplate"),
        ("925/1000", "silver-925"),
        ("STER.", "sterling"),
        ("EPNS A1", "epns"),
        (".800", "silver-800"),
        ("750", "gold-750"),
        ("9ct", "carat-9"),
        ("K14GF", "gold-filled"),
        ("14 KP", "plumb-14"),
        ("14 KARAT GOLD ELECTROPLATE", "gold-electroplate"),
        ("GOLD PLATED", "gold-plated"),
        ("PLATED ON BASE", "gold-plated"),
        ("ALPACA", "alpaca"),
        ("GERMAN SILVER", "german-silver"),
        ("NICKEL SILVER", "nickel-silver"),
        ("835", "silver-835"),
        ("900 PLAT", "platinum-900"),
        ("10% IRID. PLAT.", "iridium-platinum"),
        ("IRID PLAT", "iridium-platinum"),
        ("PD950", "palladium-950"),
        ("585", "gold-585"),
        ("375", "gold-375"),
        ("15ct", "carat-15"),
        ("84", "zolotnik-84"),
        ("14/20 GF", "gold-filled-14-20"),
        ("12K GF ON STERLING", "gold-filled-on-sterling"),
        ("18CT & PLAT", "gold-and-platinum-joined"),
        ("9CT & SIL", "gold-and-silver-joined"),
        ("9CT B & F", "back-and-front"),
        ("20 MICRONS", "micron-plate"),
        ("PLAQUÉ OR G 10", "micron-plate"),
        ("DOUBLÉ", "double"),
        ("K18", "karat-first"),
        ("830 S", "silver-830s"),
        ("813H", "silver-813h"),
        ("COIN SILVER", "coin-silver"),
        ("VERMEIL", "vermeil"),
        ("WEIGHTED STERLING", "weighted-silver"),
        ("15 .625", "carat-15"),
        ("GOLD WASHED", "gold-flashed"),
        ("CHROMIUM PLATED", "chrome-plated"),
        ("STAINLESS STEEL", "stainless-steel"),
    ],
)
def test_spelling_is_known(text: str, mark: str) -> None:
    assert one(text).mark == mark


# A karat is one part in 24 (16 CFR 23.3; Hallmarking Act 1973): exact arithmetic.
@every_case("karat", [8, 9, 10, 12, 14, 15, 18, 20, 21, 22, 24])
def test_karat_of_24(karat: int) -> None:
    exact = Fraction(karat, KARATS) * 1000
    low, high = one(f"{karat}K").fineness or (0, 0)
    assert low <= exact <= high
    assert high - low <= 5


@every_case("karat", [11, 13, 16, 17, 19, 23])
def test_unusual_karat_of_24(karat: int) -> None:
    reading = one(f"{karat}K")
    assert reading.karat == karat
    assert reading.fineness == pytest.approx((karat / 24 * 1000,) * 2)


# British standards of 1854 and 1798 in thousandths, as struck beside the carat (Parkin & Gerrish,
# Gold standards through the ages).
@every_case(("carat", "decimal"), [(9, 375), (12, 500), (14, 585), (15, 625), (18, 750), (22, 916)])
def test_british_carat_and_decimal(carat: int, decimal: int) -> None:
    for text in (f"{carat}CT", f"{carat}CT .{decimal}"):
        low, high = one(text).fineness or (0, 0)
        assert low - 1 <= decimal <= high + 1


# ISO 9202 (series as recalled, first edition 1991) and the Hallmarking Act 1973, Schedule 2, with
# its amendments: finenesses by metal.
@every_case(
    ("metal", "fineness"),
    [
        *(("gold", 333), ("gold", 375), ("gold", 417), ("gold", 585), ("gold", 750)),
        *(("gold", 916), ("gold", 999), ("silver", 800), ("silver", 830), ("silver", 925)),
        *(("silver", 958), ("silver", 999), ("platinum", 950)),
    ],
)
def test_standard_fineness_is_read_from_the_bare_figure(metal: str, fineness: int) -> None:
    for text in (f"{fineness}", f".{fineness}", f"{fineness}/1000"):
        assert metal in meanings(text)
        readings = [one(text), *one(text).alternatives]
        assert (fineness, fineness) in [each.fineness for each in readings if each.metal == metal]


@every_case("fineness", [850, 900, 950, 999])
def test_platinum_standards(fineness: int) -> None:
    # ISO 9202; 16 CFR 23.6: 950 and over may be PLATINUM alone, 850 to 949 with the figure.
    for text in (f"{fineness} PLAT", f"PT{fineness}", f"PLAT {fineness}"):
        reading = one(text)
        assert (reading.metal, reading.fineness) == ("platinum", (fineness, fineness))


# German law of 16 July 1884: silver of 800 and better, gold of 585 for wares.
def test_german_standards() -> None:
    assert one("800").fine_share == pytest.approx((0.8, 0.8))
    assert one("585").fine_share == pytest.approx((0.585, 0.585))


# Russian zolotniki: 96 is pure, so 56 is 14 karat gold and 84 is 875 silver.
@every_case(("zolotniki", "metal"), [(56, "gold"), (72, "gold"), (84, "silver"), (88, "silver")])
def test_zolotniki_of_96(zolotniki: int, metal: str) -> None:
    reading = one(str(zolotniki))
    exact = float(Fraction(zolotniki, 96) * 1000)
    assert reading.metal == metal
    assert reading.fineness == pytest.approx((exact, exact), abs=1)


# 16 CFR Part 23, as revised on 16 August 2018 (83 FR 40665): thresholds.
def test_gold_filled_is_a_twentieth() -> None:
    # 23.3(c): at least 1/20 of the weight of the metal; 1/20 of 12 karat is 0.025 fine gold.
    reading = one("1/20 12K GF")
    assert (reading.how, reading.share, reading.karat) == ("filled", (0.05, 0.05), 12)
    assert reading.fine_share == pytest.approx((0.025, 0.025))
    assert "23.3" in reading.law


@pytest.mark.parametrize(
    ("text", "microns", "section"),
    [
        ("18K HGE", 2.5, "23.3"),  # 100 millionths of an inch
        ("14K GOLD ELECTROPLATE", 0.175, "23.3"),  # 7 millionths of an inch
        ("VERMEIL", 2.5, "23.4"),
    ],
)
def test_least_thickness(text: str, microns: float, section: str) -> None:
    reading = one(text)
    assert reading.least_microns == microns
    assert section in reading.law


@pytest.mark.parametrize(("millionths_of_an_inch", "microns"), [(7, 0.175), (100, 2.5), (20, 0.5)])
def test_inches_of_the_guides_are_the_microns_of_the_guides(
    millionths_of_an_inch: int, microns: float
) -> None:
    # The guides print both; an inch is 25.4 mm (scipy.constants.inch).
    millionths_of_a_metre = millionths_of_an_inch * scipy.constants.inch
    assert millionths_of_a_metre == pytest.approx(microns, rel=0.02)


def test_vermeil_is_sterling_under_gold() -> None:
    reading = one("VERMEIL")
    assert (reading.metal, reading.how, reading.fineness) == ("silver", "plated", (925, 925))


@pytest.mark.parametrize(
    ("text", "fineness", "section"),
    [("STERLING", 925, "23.5(b)(2)"), ("COIN SILVER", 900, "23.5(b)(3)")],
)
def test_silver_words(text: str, fineness: int, section: str) -> None:
    reading = one(text)
    assert reading.fineness == (fineness, fineness)
    assert section in reading.law


def test_silver_allowance() -> None:
    # 15 U.S.C. 296: 4 parts in a thousand without solder, 10 with (the last from memory).
    low, high = one("STERLING").fine_share or (0, 0)
    assert (low, high) == pytest.approx((0.915, 0.925))


def test_gold_allowances() -> None:
    # 15 U.S.C. 295: a whole karat with solder from 1906; 7 parts in a thousand from 1 Oct 1981.
    old = one("14K").fine_share
    plumb = one("14KP").fine_share
    assert old is not None
    assert old[0] == pytest.approx(13 / 24, abs=0.001)
    assert plumb is not None
    assert plumb[0] == pytest.approx(14 / 24 - 0.007, abs=0.001)


def test_only_24_karat_is_gold_without_a_figure() -> None:
    # 16 CFR 23.3(b)(1) and (2): the karat must come before the word.
    assert one("GOLD").how == "wording"
    assert one("GOLD").fine_share is None
    assert "23.3(b)(1)" in one("GOLD").never
    for karat in (10, 14, 18):
        assert "23.3(b)(2)" in one(f"{karat}K").never


@every_case(
    "text",
    ["1/20 12K GF", "14K RGP", "18K HGE", "14K GEP", "GOLD PLATED", "GOLD FILLED", "14/20 GF"],
)
def test_coated_gold_is_never_just_gold(text: str) -> None:
    # 16 CFR 23.3(b)(3): gold must be qualified where only the surface is gold.
    reading = one(text)
    assert reading.how in {"filled", "rolled", "plated"}
    assert "gold" in reading.never.casefold()
    qualifiers = ("filled", "rolled", "plate")
    assert any(word in reading.claim.casefold() for word in qualifiers)
    assert (reading.fine_share or (1, 1))[1] <= 0.1


# Grant, A British history of German silver II; liquisearch.com, Nickel silver history: the alloy
# is copper, nickel and zinc. 16 CFR 23.5 forbids the word silver for it.
@every_case(
    "text",
    [
        *("NICKEL SILVER", "GERMAN SILVER", "G. SILVER", "ALPACA", "ALPACCA", "ARGENTAN"),
        *("MAILLECHORT", "NEUSILBER", "PACKFONG", "ALPACA MEXICO", "BRITANNIA METAL"),
        *("PINCHBECK", "PLATINOID"),
    ],
)
def test_names_that_hold_no_precious_metal(text: str) -> None:
    reading = one(text)
    assert (reading.metal, reading.how) == ("none", "none")
    assert reading.fine_share == (0, 0)


def test_german_silver_says_that_it_holds_no_silver() -> None:
    for text in ("GERMAN SILVER", "ALPACA", "NICKEL SILVER"):
        assert "no silver" in one(text).say


# Parkin & Gerrish and fetheray.com: 9, 12 and 15 carat from the act of 1854, 12 and 15 to 1932 (one
# Australian sheet: about 1935); nickel silver after 1823 (Grant); electroplate after the patents of
# 1840 (silvercollection.it); Mexican 940 to 980 of 1930 to 1945 (Vintage Cufflinks and More).
@every_case(
    ("text", "not_before", "mostly_last"),
    [
        ("15CT", 1854, 1932),
        ("12CT", 1854, 1932),
        ("EPNS", 1840, None),
        ("NICKEL SILVER", 1823, None),
        ("CHROMIUM PLATED", 1925, None),
        ("RHODIUM", 1930, None),
        ("9CT & SIL", None, 1959),
        ("IRID PLAT", 1900, 1960),
        ("HGE", 1945, None),
        ("ALPACA MEXICO", None, None),
    ],
)
def test_years_of_a_mark(text: str, not_before: int | None, mostly_last: int | None) -> None:
    years = one(text).years
    assert years is not None
    assert (years.not_before, years.mostly_last) == (not_before, mostly_last)


def test_troy_ounce() -> None:
    # 480 grains, as scipy.constants holds it.
    assert pytest.approx(scipy.constants.troy_ounce * 1000) == TROY_OUNCE_G
    assert price_per_gram(31.1034768) == pytest.approx(1)
    assert price_per_gram(1000, "kg") == price_per_gram(1, "g") == 1
    assert price_per_gram(1.55517384, "dwt") == pytest.approx(1)


def test_melt_value_by_hand() -> None:
    # 10 g of 18 karat at 60 a gram of fine gold: 7.5 g, 450; half a karat or more may be short.
    grams = fine_grams(one("750"), 10)
    assert grams == pytest.approx((7.5, 7.5))
    assert grams is not None
    assert melt_value(grams, 60) == pytest.approx((450, 450))
    # 20 g gold filled 1/20 12K without 5 g of stones: 15 × 0.025 = 0.375 g.
    assert fine_grams(one("1/20 12K GF"), 20, 5) == pytest.approx((0.375, 0.375))


def test_every_spelling_in_the_rules_is_read_back() -> None:
    figures = {"karat": "16", "fraction": "1/20", "fineness": "667", "microns": "20"}
    for mark in shipped_base().metal_marks.values():
        for spelled in mark.reads:
            text = spelled
            for name, value in figures.items():
                text = text.replace(f"{{{name}}}", value)
            readings = [
                each.mark
                for found in find_metal_marks(text, shipped_base())
                for each in (found, *found.alternatives)
            ]
            assert mark.name in readings, (mark.name, text, readings)


def test_no_wording_tells_a_person_to_file_heat_or_acid_test() -> None:
    for mark in shipped_base().metal_marks.values():
        said = " ".join((mark.say, mark.claim, mark.test, mark.note)).casefold()
        for word in (" acid", " file ", " filing", " flame", " heat", " burn", " scratch"):
            assert word not in said, (mark.name, word)


def test_every_mark_says_what_may_and_may_not_be_said() -> None:
    for mark in shipped_base().metal_marks.values():
        assert mark.say, mark.name
        assert mark.never, mark.name
        assert mark.test, mark.name
        assert mark.cites, mark.name


# Words that qualify a mark of gold or silver. Guides of the trade commission call it deceptive to
# leave them out of a claim (16 CFR 23.3(b) and 23.5(b), 2018), so none of these is read as solid.
QUALIFIED = (
    *("14K GOLD FRONT", "10K GOLD SHELL", "9CT GOLD CASED", "18K GOLD LAYERED", "18K GL", "18KGL"),
    *("14K GF", "1/20 12K GF", "12K GF STER", "14K ROLLED GOLD", "14K RGP", "18K GP", "18K GEP"),
    *("24K GOLD WASHED", "14K GOLD BONDED", "18K GOLD ELECTROPLATE", "18K HGE", "14K ON SILVER"),
    *("14K GOLD ON STERLING", "14K TOP", "9CT BACK AND FRONT", "9CT B&F", "14K GOLD TONE"),
    *("18K GOLD COLOUR", "18K GOLD OVER BRASS", "STERLING PLATE", "925 SILVER PLATED"),
    *("14K SOMETHING", "9CT TRIMMED", "18K FINISH", "STERLING POSTS", "14K ZZYZX"),
    *("GOLD SHELL 10K", "GOLD ELECTROPLATE 18K", "18K PLATE", "925 SILVER PLATE", "DOUBLE OR 18K"),
    *("SILVER PLATED 925", "PALLADIUM PLATED", "14K WHITE GOLD PLATED", "20M 18K", "18K 20 MICRON"),
    *("14K/20", "9CT 1/10", "18K R.G.", "18 K.R.G.", "14K P", "18K. G.F", "14K-P", "14K E.P."),
    *("14K GOLD O/L", "9CT M/C", "PL.OR 18K", "18K GOLD VERMEIL", "GOLD-IN-SANTO 14K", "14K/925"),
    *("AU750 5M", "375 & SIL", "9K/SIL", "18CT/PLATED", "18K CAP", "14K SIMULATED", "14K STYLE"),
)


@every_case("text", QUALIFIED)
def test_a_qualified_mark_is_never_solid(text: str) -> None:
    found = [each for each in find_metal_marks(text, shipped_base()) if each.metal == "gold"]
    found = found or list(find_metal_marks(text, shipped_base()))

    assert all(each.how != "solid" for each in found)


def test_gold_over_silver_takes_nothing_back_of_the_silver() -> None:
    silver, gold = find_metal_marks("STERLING 24K GOLD OVERLAY", shipped_base())

    assert (silver.metal, silver.how) == ("silver", "solid")
    assert (gold.metal, gold.how) == ("gold", "filled")


def test_the_p_of_plumb_stands_with_its_karat() -> None:
    # 15 U.S.C. 295: plumb gold is stamped KP, one word; a P apart may be any word's.
    assert [one(text).mark for text in ("14KP", "14 KP", "14K.P.")] == ["plumb-14"] * 3
    assert (one("14K P").mark, one("14K P").how) == ("karat-14", "not sure")


def test_initials_with_stops_are_one_word() -> None:
    assert '"R.G' in find_metal_marks("18K R.G.", shipped_base())[0].say
    assert one("14K W.G.").how == "solid"
    assert one("14K J.B.").how == "solid"


def test_a_word_for_a_coat_is_no_metal_of_its_own() -> None:
    assert [(each.metal, each.how) for each in find_metal_marks("18K PLATE", shipped_base())] == [
        ("gold", "not sure")
    ]


def test_an_unknown_word_beside_a_fineness_leaves_the_claim_unsure() -> None:
    reading = one("14K ZZYZX")

    assert reading.how == "not sure"
    assert reading.fine_share is None
    assert "ZZYZX" in reading.say
    assert reading.claim == 'Stamped "14K ZZYZX".'


@every_case("text", ["14K MESH", "14K PLUS", "925 SAMPLE", "14K FLEX", "9CT DISPLAY", "14K OCEAN"])
def test_a_word_of_many_names_is_no_maker_beside_a_fineness(text: str) -> None:
    assert one(text).how == "not sure"


@every_case("text", ["14K ROSE GOLD", "925 MADE IN ITALY", "BOND BOYD STERLING", "14K JEWELRY"])
def test_what_takes_nothing_back_leaves_a_metal_solid(text: str) -> None:
    assert find_metal_marks(text, shipped_base())[0].how == "solid"


@every_case("text", ["14K", "STERLING", "TRIFARI STERLING", "NOVAK / 14K", "14K T"])
def test_a_listed_maker_or_another_line_takes_nothing_back(text: str) -> None:
    assert one(text).how == "solid"


@pytest.mark.parametrize("text", ["PD", "TRIFARI PD"])
def test_two_letters_alone_are_no_palladium(text: str) -> None:
    assert not find_metal_marks(text, shipped_base())
