"""Weighted quantiles and Student's t against numpy and scipy, which compute them on their own."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from markrules.appraisal.weighted import t_cdf, t_quantile, weighted_quantile

VALUES = st.lists(st.tuples(st.floats(-1e6, 1e6), st.floats(0.001, 100)), min_size=1, max_size=30)


@given(VALUES, st.floats(0.01, 0.99))
def test_weighted_quantile_is_that_of_numpy(pairs: list[tuple[float, float]], share: float) -> None:
    values, weights = [p[0] for p in pairs], [p[1] for p in pairs]
    ordered = np.argsort(values, kind="stable")
    reached = np.cumsum(np.array(weights)[ordered]) / np.sum(weights)
    if np.min(np.abs(reached - share)) < 1e-9:
        return  # on a step, rounding decides

    assert weighted_quantile(values, weights, share) == np.quantile(
        values, share, method="inverted_cdf", weights=weights
    )


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=30), st.integers(1, 9))
def test_a_weight_of_k_is_the_same_as_k_copies(values: list[float], tenths: int) -> None:
    weights = [1 + at % 3 for at in range(len(values))]
    copies = [v for v, w in zip(values, weights, strict=True) for _ in range(w)]

    assert weighted_quantile(values, weights, tenths / 10) == weighted_quantile(
        copies, [1.0] * len(copies), tenths / 10
    )


def test_bad_weights_are_refused() -> None:
    for values, weights, share in (
        ([1.0], [0.0], 0.5),
        ([1.0], [-1.0], 0.5),
        ([1.0, 2.0], [1.0], 0.5),
        ([1.0], [1.0], 1.5),
        ([], [], 0.5),
    ):
        with pytest.raises(ValueError, match=r"weight|share"):
            weighted_quantile(values, weights, share)


@given(st.floats(-50, 50), st.floats(0.3, 200))
def test_t_distribution_is_that_of_scipy(value: float, freedom: float) -> None:
    assert t_cdf(value, freedom) == pytest.approx(stats.t.cdf(value, freedom), abs=1e-10)


@given(st.floats(0.01, 0.99), st.floats(1, 200))
def test_t_quantile_is_that_of_scipy(share: float, freedom: float) -> None:
    wanted = stats.t.ppf(share, freedom)

    assert t_quantile(share, freedom) == pytest.approx(wanted, rel=1e-7, abs=1e-7)


def test_t_refuses_what_cannot_be() -> None:
    with pytest.raises(ValueError, match="freedom"):
        t_cdf(1.0, 0.0)
    with pytest.raises(ValueError, match="probability"):
        t_quantile(1.0, 3.0)
