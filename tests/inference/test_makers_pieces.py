"""How a maker's surviving pieces lie over the years, in the years of its marks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from engine_numbers import setting_entries
from inference_brute import metalog
from inference_building import HILL, base_of, maker, window

from markrules.inference.year_tables import YearTables
from markrules.language.windows import Spread, Wave, Window, Year

YEARS = np.arange(1750, 2027)
PIECES = Spread((Wave(Year(1925), Year(1950), Year(1980)),), 0.05)
WORKS = window(1910, 1915, None)


def years_of(
    works: Window | None, pieces: Spread | None, used: Window, weight: float
) -> np.ndarray:
    """P(year | the one mark of a maker), where no mark is misdated but by the trust."""
    made = replace(maker("mill", works, used), pieces=pieces)
    base = base_of(made, HILL)
    base = replace(base, settings=setting_entries({"maker-pieces": weight}))
    tables = YearTables(base, 2026)
    prior = tables.prior("")
    spell = tables.marks.spell("mill", made.marks[0].name, prior)
    table = np.full(len(YEARS), spell.level)
    table[spell.start : spell.start + len(spell.values)] += spell.by * np.array(spell.values)
    found = table * np.array(prior.table)
    return found / found.sum()


@pytest.mark.parametrize("weight", [1.0, 0.5])
def test_the_curve_is_held_against_all_pieces_and_weighed(weight: float) -> None:
    """Against the same sums in numpy: working years, times the lift of the curve to the weight."""
    used = window(None, 1920, None)
    found = years_of(WORKS, PIECES, used, weight)
    plain = years_of(WORKS, None, used, weight)

    prior = np.array(YearTables(base_of(HILL), 2026).prior("").table)
    reach = 5 * (1980 - 1925) + 20
    curve = metalog(1925, 1950, 1980, YEARS, 1925 - reach, 1980 + reach)
    lift = (0.95 * curve / curve.sum() / prior + 0.05) ** weight
    misread = 0.15
    # The years of the mark alone, freed of the share that is misdated.
    right = (plain - misread * prior) / (1 - misread)
    expected = right * lift
    expected = (1 - misread) * expected / expected.sum() + misread * prior

    assert found == pytest.approx(expected, rel=1e-6, abs=1e-12)


def test_what_is_told_of_the_pieces_moves_the_years_towards_them() -> None:
    used = window(None, 1920, None)
    plain, told = (years_of(WORKS, pieces, used, 1.0) for pieces in (None, PIECES))
    within = (YEARS >= 1925) & (YEARS <= 1980)

    assert told[within].sum() > plain[within].sum() + 0.1
