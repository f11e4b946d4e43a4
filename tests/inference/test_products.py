"""Sums of products through distances, against exact fractions and numpy."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import samples

from markrules.inference.products import HALF, LEAST, SCALE, Over, squared


def exactly(one, other) -> float:
    return float(sum(Fraction(a) * Fraction(b) for a, b in zip(one, other, strict=True)))


def curve_from(draw, years: int, sharpness: float) -> np.ndarray:
    curve = draw(1e-9, 1.0, years) ** sharpness
    return curve / curve.sum()


def rounded_by_at_most(curve: np.ndarray, other: np.ndarray) -> float:
    """What may be lost of Σ p q = (P + Q − d²) h: a length is off by one unit of rounding u at
    most, its square by 3 u, each of the two sums by one more, and d² is at most 2 (P + Q).
    """
    squares = float((SCALE * curve) @ (SCALE * curve) + other @ other)
    return 2.0**-53 * (3 + 3 * 2 + 2 * 2) * squares * HALF


@settings(max_examples=samples(200))
@given(st.integers(0, 2**32), st.integers(1, 400), st.floats(0.0, 12.0), st.floats(0.0, 8.0))
def test_a_sum_of_products_is_that_of_fractions(seed, years, sharpness, rarity) -> None:
    draw = np.random.default_rng(seed).uniform
    curve = curve_from(draw, years, sharpness)
    other = draw(0.0, 1.0, years) ** rarity

    assert Over(curve.tolist()).sum_with(squared(other.tolist())) == pytest.approx(
        exactly(curve, other), abs=rounded_by_at_most(curve, other)
    )


def test_a_sum_too_small_for_a_difference_keeps_its_digits() -> None:
    curve, other = [0.0] * 276 + [1.0], [1.0] * 276 + [1e-30]

    assert LEAST > 1e-30
    assert Over(curve).sum_with(squared(other)) == 1e-30


@settings(max_examples=samples(100))
@given(st.integers(0, 2**32), st.integers(2, 300), st.data())
def test_short_tables_are_summed_where_they_begin(seed, years, data) -> None:
    draw = np.random.default_rng(seed).uniform
    curve = curve_from(draw, years, data.draw(st.floats(0.0, 12.0)))
    places = data.draw(
        st.lists(st.tuples(st.integers(0, years), st.integers(0, years)), max_size=6)
    )
    tables = [
        (start, draw(0.0, 1.0, min(length, years - start)).tolist()) for start, length in places
    ]
    expected = [float(curve[start : start + len(each)] @ np.array(each)) for start, each in tables]

    placed = [(start, start + len(each), squared(each)) for start, each in tables]

    assert Over(curve.tolist()).sums_within(placed) == pytest.approx(expected, abs=1e-14)


def test_short_tables_too_small_for_a_difference_keep_their_digits() -> None:
    curve = Over([0.5, 0.0, 0.0, 0.5])

    found = curve.sums_within([(0, 2, squared([1e-20, 1.0])), (3, 4, squared([1.0]))])

    assert found == [5e-21, 0.5]
