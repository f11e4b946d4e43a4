"""Ranges, modes and centres of a curve."""

from __future__ import annotations

from itertools import accumulate

import inference_brute as brute
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from together import every_case

from markrules.inference.curves import curve_of
from markrules.inference.ranges import (
    Run,
    level_top,
    likeliest,
    median,
    second_run,
    shortest_run,
)


def running_sums(curve: list[float]) -> tuple[float, ...]:
    return curve_of(curve).sums


def normal(*parts: tuple[float, float, float], years: int = 277) -> list[float]:
    """A mixture of normal curves, each (weight, centre, spread), on positions 0, 1, 2 …"""
    at = np.arange(years)
    curve = sum(weight * stats.norm.pdf(at, centre, spread) for weight, centre, spread in parts)
    return list(curve / np.sum(curve))


curves = st.lists(st.floats(0, 1) | st.sampled_from([0.0, 0.5, 1.0]), min_size=1, max_size=80)


@given(curves, st.floats(0.05, 1.0))
def test_the_range_is_the_shortest_that_holds_the_mass(values: list[float], mass: float) -> None:
    total = sum(values) or 1.0
    curve = [value / total for value in values] if sum(values) else [1 / len(values)] * len(values)
    sums = running_sums(curve)

    run = shortest_run(sums, mass)

    length, most = brute.shortest(np.array(curve), min(mass, sums[-1]))
    assert run.last - run.first + 1 == length
    assert run.mass == pytest.approx(most, abs=1e-9)
    assert run.mass == pytest.approx(sum(curve[run.first : run.last + 1]), abs=1e-9)


def test_the_range_of_a_normal_curve_is_the_textbook_one() -> None:
    # The central 80 % of a normal distribution lies within 1.2816 standard deviations.
    run = shortest_run(running_sums(normal((1, 130, 20))), 0.8)

    assert abs(run.first - (130 - 1.2816 * 20)) <= 1
    assert abs(run.last - (130 + 1.2816 * 20)) <= 1


def test_of_equal_ranges_the_middle_one_is_taken() -> None:
    assert shortest_run(running_sums([0.1] * 10), 0.5) == Run(3, 7, pytest.approx(0.5))


def test_median_is_the_year_that_reaches_half() -> None:
    assert median(running_sums([0.2, 0.2, 0.2, 0.4])) == 2
    assert median(running_sums([0.5, 0.5])) == 0
    assert median(running_sums([0.0, 1.0, 0.0])) == 1


def test_the_likeliest_of_a_level_top_is_its_middle() -> None:
    assert likeliest([0.1, 0.3, 0.3, 0.3, 0.0]) == 2
    assert likeliest([0.4, 0.2, 0.4]) == 0


def test_a_separate_mode_gives_a_second_range() -> None:
    curve = normal((0.83, 80, 8), (0.17, 200, 8))
    sums = running_sums(curve)
    run = shortest_run(sums, 0.8)

    second = second_run(curve, sums, run, 0.8, 0.15)

    assert run.last < 130
    assert second is not None
    assert 170 < second.first < 200 < second.last < 230
    assert second.mass >= 0.15


def test_the_mode_before_the_range_is_found_too() -> None:
    curve = normal((0.17, 60, 8), (0.83, 200, 8))
    sums = running_sums(curve)

    second = second_run(curve, sums, shortest_run(sums, 0.8), 0.8, 0.15)

    assert second is not None
    assert second.first < 60 < second.last < 100


def test_a_broad_low_mode_behind_a_shoulder_is_found() -> None:
    curve = normal((0.82, 80, 4), (0.18, 200, 25))
    sums = running_sums(curve)

    second = second_run(curve, sums, shortest_run(sums, 0.8), 0.8, 0.15)

    assert second is not None
    assert second.first > 120


def test_a_small_mode_gives_none() -> None:
    curve = normal((0.9, 80, 8), (0.1, 200, 8))
    sums = running_sums(curve)

    assert second_run(curve, sums, shortest_run(sums, 0.8), 0.8, 0.15) is None


def test_a_long_tail_is_no_second_mode() -> None:
    curve = [0.95**at for at in range(200)]
    curve = [value / sum(curve) for value in curve]
    sums = running_sums(curve)

    assert second_run(curve, sums, shortest_run(sums, 0.8), 0.8, 0.15) is None


@every_case(
    ("valley", "apart"), [(3.0, False), (3.1, False), (2.99, True), (2.5, True), (0.0, True)]
)
def test_modes_are_apart_where_a_year_between_lies_below_half_of_the_lower_peak(
    valley: float, apart: bool
) -> None:
    """The lower peak is 6, so that half of it is 3: a year at 3 itself is not below it."""
    for curve in ([4, 10, 8, valley, 5, 6, 5], [5, 6, 5, valley, 8, 10, 4]):
        first = curve.index(10) - 1
        sums = [0.0, *accumulate(curve)]
        run = Run(first, first + 2, sums[first + 3] - sums[first])
        found = second_run(curve, sums, run, 0.8, 1.0)
        assert (found is not None) == apart, curve


def test_the_level_top_holds_the_years_that_are_just_as_likely_as_asked() -> None:
    assert level_top([1, 5, 10, 5, 4], 0.5) == (1, 3)
    assert level_top([1, 4.99, 10, 4.99, 4], 0.5) == (2, 2)
    assert level_top([5, 4, 10, 6, 4, 9], 0.5) == (2, 3)
