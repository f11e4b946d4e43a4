"""The small operations on curves over years, against numpy."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from markrules.inference.years import (
    earlier_means,
    flat_table,
    floored,
    later_means,
    mixture,
    prior_table,
)

np = pytest.importorskip("numpy")
weights = st.lists(st.floats(0, 1e6), min_size=1, max_size=60)


@given(weights)
def test_weights_become_probabilities_and_none_is_nought(given_weights: list[float]) -> None:
    found = floored(given_weights)
    assert len(found) == len(given_weights)
    assert sum(found) == pytest.approx(1)
    assert min(found) > 0
    if max(given_weights) == 0:
        assert set(found) == {1 / len(given_weights)}
    else:
        peak = max(given_weights)
        assert found[given_weights.index(peak)] == max(found)


def test_weights_below_nought_count_as_nought() -> None:
    years = range(1900, 1904)
    assert floored([0.0, 0.0, 0.0, 0.0]) == flat_table(years) == (0.25,) * 4
    found = prior_table([(1900, -5.0), (1901, 0.0), (1902, 2.0), (1903, 2.0)], years)
    assert found[0] == found[1] < 1e-3
    assert found[2] == found[3] == pytest.approx(0.5, abs=1e-3)
    assert prior_table([], years) == flat_table(years)


def test_a_prior_is_straight_between_its_points_and_level_beyond() -> None:
    found = prior_table([(1910, 3.0), (1900, 1.0)], range(1895, 1916))
    expected = np.interp(range(1895, 1916), [1900, 1910], [1.0, 3.0])
    assert np.allclose(found, expected / expected.sum())


@given(weights)
def test_means_of_earlier_and_later_years(table: list[float]) -> None:
    counts = np.arange(1, len(table) + 1)
    assert np.allclose(earlier_means(tuple(table)), np.cumsum(table) / counts)
    assert np.allclose(later_means(tuple(table)), (np.cumsum(table[::-1]) / counts)[::-1])


@given(st.lists(st.tuples(st.floats(0, 1), st.floats(0, 10)), min_size=1, max_size=5))
def test_a_mixture_is_the_sum_of_shares(parts: list[tuple[float, float]]) -> None:
    tables = [(share, (value, value * 2, 1.0)) for share, value in parts]
    expected = sum(np.array(table) * share for share, table in tables)
    if len(tables) == 1:
        expected = np.array(tables[0][1])
    assert np.allclose(mixture(tables), expected)
