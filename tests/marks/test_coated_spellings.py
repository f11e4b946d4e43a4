"""Marks of plated, filled, cased and rolled work, as they are spelled: none is called solid.

The spellings were written down, and labelled, before any was read.
"""

from __future__ import annotations

import pytest
from shipped_base import shipped_base

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


@pytest.mark.parametrize("text", [*SPELLINGS, *FRACTIONS])
def test_none_is_called_solid(text: str) -> None:
    assert not [
        each.words for each in find_metal_marks(text, shipped_base()) if each.how == "solid"
    ]


@pytest.mark.parametrize("text", [*SPELLINGS, *FRACTIONS])
def test_each_says_something_of_the_metal(text: str) -> None:
    assert find_metal_marks(text, shipped_base())


@pytest.mark.parametrize(
    "text", ["14K NICKEL FREE", "925 RHODIUM", "585/1000", "14K", "925 NICKEL FREE"]
)
def test_words_that_take_nothing_back_leave_it_solid(text: str) -> None:
    assert find_metal_marks(text, shipped_base())[0].how == "solid"


def test_the_slash_of_a_fraction_ends_no_line() -> None:
    (_, karat) = find_metal_marks("1/40 RGP 14K", shipped_base())
    assert karat.claim == 'Stamped "1/40 RGP 14K".'


def test_plated_without_a_figure_tells_of_no_microns() -> None:
    (plated,) = find_metal_marks("PLAQUE OR", shipped_base())
    assert "micron" not in plated.say + plated.claim
