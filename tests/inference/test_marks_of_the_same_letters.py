"""Entries of a maker that have the same letters: told twice, or in parts, they say no more."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from engine_numbers import engine_settings
from inference_building import base_of, maker, window

from markrules.inference.mark_years import MarkYears
from markrules.inference.year_tables import YearTables
from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Maker
from markrules.language.windows import Window

YEARS = range(1750, 2027)
EVEN = (1.0 / len(YEARS),) * len(YEARS)


def lettered(works: Window | None, **used: Window) -> Maker:
    """A maker with a variant for each window; its letters are what stands before the `_`."""
    made = maker("mill", works, *used.values())
    marks = [
        replace(mark, name=name, text=name.partition("_")[0])
        for mark, name in zip(made.marks, used, strict=True)
    ]
    return replace(made, marks=tuple(marks))


def rate(base: KnowledgeBase, letters: str) -> np.ndarray:
    """P(letters, year | maker) against the prior of the year."""
    prior = YearTables(base, 2026).prior("")
    years = MarkYears(base, engine_settings(), YEARS, EVEN)
    shares = years.variant_shares("mill", prior)
    total = np.zeros(len(YEARS))
    for name, share in shares.items():
        if name.partition("_")[0] == letters:
            spell = years.spell("mill", name, prior)
            table = np.full(len(YEARS), spell.level)
            used = slice(spell.start, spell.start + len(spell.values))
            table[used] += spell.by * np.array(spell.values)
            total += share * table
    return total


EARLY, LATE = window(None, 1950, 1980), window(None, 1980, None)
OTHER = window(None, 1930, 1960)


def test_an_entry_given_twice_says_no_more_than_once() -> None:
    once = base_of(lettered(None, MILL=EARLY, ELSE=OTHER))
    twice = base_of(lettered(None, MILL=EARLY, MILL_again=EARLY, ELSE=OTHER))

    for letters in ("MILL", "ELSE"):
        assert rate(twice, letters) == pytest.approx(rate(once, letters), rel=1e-9)


def test_where_the_years_of_two_meet_there_is_no_hump() -> None:
    base = base_of(lettered(None, MILL_early=EARLY, MILL_late=LATE))
    found = rate(base, "MILL")
    near = found[1960 - 1750 : 2001 - 1750]

    assert near.max() <= near[0] * (1 + 1e-9)
    assert (np.diff(near) <= 1e-12).all()


def test_together_they_stand_on_as_much_as_the_fullest() -> None:
    """Against each alone, put together year by year with numpy."""
    base = base_of(lettered(None, MILL_early=EARLY, MILL_late=LATE, MILL_short=OTHER))
    prior = np.array(YearTables(base, 2026).prior("").table)

    def shape(used: Window) -> np.ndarray:
        years = MarkYears(base_of(lettered(None, MILL=used)), engine_settings(), YEARS, EVEN)
        alone = years._mark_window(used, (None, None))
        table = np.zeros(len(YEARS))
        table[alone.start : alone.start + len(alone.values)] = alone.values
        return table

    fullest = np.maximum.reduce([shape(each) for each in (EARLY, LATE, OTHER)])
    misread = 0.1  # of moderate trust in these numbers
    levels = rate(base, "MILL")
    expected = misread + (1 - misread) * fullest / (fullest @ prior)

    assert np.corrcoef(levels, expected)[0, 1] == pytest.approx(1)
    assert levels @ prior == pytest.approx(1)


def test_other_letters_keep_their_years() -> None:
    alone = base_of(lettered(None, MILL=EARLY, ELSE=OTHER))
    assert not MarkYears(alone, engine_settings(), YEARS, EVEN)._alternating("mill")
    beside = base_of(lettered(None, MILL_early=EARLY, MILL_late=LATE, ELSE=OTHER))
    years = MarkYears(beside, engine_settings(), YEARS, EVEN)
    assert set(years._alternating("mill")) == {"MILL_early", "MILL_late"}
    assert not years._alternating("nobody")
