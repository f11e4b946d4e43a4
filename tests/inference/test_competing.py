"""What a table of shares says beside the curve of a clue, against numpy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from inference_building import HILL, base_of, clue, feature, names, sees, window
from shipped_base import shipped_base

from markrules.inference.competing import LEAST, pooled, shares_table
from markrules.inference.evidence import emission
from markrules.inference.year_tables import NO_YEARS, YearTables
from markrules.inference.years import window_table
from markrules.language.conditions import And
from markrules.language.tree import Feature, Shares, SharesRow

YEARS = range(1900, 1961)
CATCH = feature("catch", "hook", "collar", "rare", "odd")
HOOK = clue("hooks", sees("catch", "hook"), window(1905, 1910, 1940))


def table(*rows: tuple[int, dict[str, float]], on: tuple[str, ...] = ()) -> Shares:
    named = [
        SharesRow(year, tuple([(names(value)[0], share) for value, share in row.items()]))
        for year, row in rows
    ]
    return Shares("catch", tuple(named), on=names(*on))


COMPETING = table((1910, {"hook": 0.8, "collar": 0.1}), (1950, {"hook": 0.2, "collar": 0.7}))
FEATURES: dict[str, Feature] = {"catch": CATCH}


def told(asked: str, *more: str, of: Shares = COMPETING) -> np.ndarray | None:
    found = shares_table(
        clue("c", sees("catch", asked, *more), None), [of], FEATURES, ("brooch",), YEARS
    )
    return None if found is None else np.array(found)


@pytest.mark.parametrize(("value", "shares"), [("hook", (0.8, 0.2)), ("collar", (0.1, 0.7))])
def test_rows_are_joined_by_straight_lines_and_level_beyond_them(value, shares) -> None:
    assert told(value) == pytest.approx(np.interp(YEARS, (1910, 1950), shares))


def test_what_a_row_leaves_over_is_spread_evenly_on_what_it_does_not_name() -> None:
    some = table((1910, {"hook": 0.8, "rare": 0.1}), (1950, {"hook": 0.4}))

    assert told("rare", of=some) == pytest.approx(np.interp(YEARS, (1910, 1950), (0.1, 0.2)))
    assert told("odd", of=some) is None


def test_shares_of_several_values_add_up_and_all_of_them_to_one() -> None:
    both = told("hook", "collar")
    others = told("rare", "odd", of=table((1930, {"hook": 0.7, "rare": 0.1, "odd": 0.2})))

    assert both == pytest.approx(told("hook") + told("collar"))
    assert others == pytest.approx(np.full(len(YEARS), 0.3))


def test_no_value_is_without_a_share() -> None:
    full = table((1930, {"hook": 1.0, "rare": 0.0}))

    assert told("rare", of=full) == pytest.approx(np.full(len(YEARS), LEAST))


def test_a_table_speaks_only_of_its_feature_its_types_and_nothing_else() -> None:
    assert told("hook", of=table((1930, {"hook": 0.7}), on=("brooch", "bar-pin"))) is not None
    assert told("hook", of=table((1930, {"hook": 0.7}), on=("earrings",))) is None
    joint = clue("c", And((sees("catch", "hook"), sees("catch", "collar"))), None)
    assert shares_table(joint, [COMPETING], FEATURES, (), YEARS) is None


levels = st.lists(st.floats(0.05, 20), min_size=5, max_size=5)


@given(levels, levels, levels, st.floats(0, 1))
def test_pooling_is_a_weighed_mean_of_logarithms(suits, shares, reference, weight) -> None:
    reference = np.array(reference) / np.sum(reference)
    meant = np.exp((1 - weight) * np.log(suits) + weight * np.log(shares))

    found = pooled(tuple(suits), tuple(shares), weight, tuple(reference))

    assert found == pytest.approx(meant / (meant @ reference))


def test_a_year_that_is_ruled_out_stays_so() -> None:
    assert pooled((0.0, 1.0), (0.9, 0.1), 0.5, (0.5, 0.5)) == (0.0, pytest.approx(2.0))


def test_a_clue_says_its_own_years_and_the_shares_of_its_value() -> None:
    base = base_of(HILL, CATCH, HOOK, COMPETING)
    tables = YearTables(base, 2000)
    facts = tables.facts("hooks")

    found = np.array(tables.suits(facts, NO_YEARS))

    ends = tables._ends(HOOK.made, None)
    own = np.array(emission(window_table(ends, tables.years), tables.reference))
    joint = np.sqrt(own * np.interp(tables.years, (1910, 1950), (0.8, 0.2)))
    assert found == pytest.approx(joint / (joint @ np.array(tables.reference)))
    assert found[1904 - tables.years[0]] == 0


def test_the_hook_declines_as_the_collar_rises() -> None:
    """The trend that the sources of both catches tell: hooks before 1910, collars by 1950."""
    base = shipped_base()
    tables = YearTables(base, 2026)
    hook, collar = [
        np.array(tables.suits(tables.facts(name), NO_YEARS))
        for name in ("plain-c-catch", "rollover-catch")
    ]
    ratio = hook / np.maximum(collar, 1e-9)
    at = {year: ratio[year - tables.years[0]] for year in (1925, 1940, 1955, 1975)}

    assert at[1925] > 3 * at[1940] > 3 * at[1955]
