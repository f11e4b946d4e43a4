"""The measures of calibration against scipy, textbook values and simulation."""

from __future__ import annotations

from math import log2

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from inference_building import HILL, base_of, clue, feature, seen, sees, window
from scipy import stats

from markrules.auditing.calibration import (
    DatedPiece,
    calibration,
    coverage,
    dated,
    log_score,
    midpoint_error,
    misleading_clue,
    reliability,
    wilson,
    year_range,
)
from markrules.inference.baselines import (
    baseline_curves,
    intersection,
    plain_product,
    widest_clue,
)
from markrules.inference.engine import Model, read

YEARS = np.arange(1750, 2027)


def normal_piece(centre: float, spread: float, stated: tuple[int, int]) -> DatedPiece:
    curve = stats.norm.pdf(YEARS, centre, spread)
    return DatedPiece(tuple(curve / curve.sum()), 1750, *stated)


@given(st.integers(1, 500).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_the_interval_of_a_share_is_wilsons(held_of: tuple[int, int]) -> None:
    share = wilson(*held_of)

    expected = stats.binomtest(*held_of).proportion_ci(0.95, method="wilson")
    assert (share.low, share.high) == pytest.approx((expected.low, expected.high), abs=1e-12)


def test_ranges_that_say_what_they_hold_are_found_calibrated() -> None:
    random = np.random.default_rng(7)
    pieces = []
    for _ in range(3000):
        centre, spread = random.uniform(1850, 1950), random.uniform(5, 25)
        year = round(random.normal(centre, spread))
        pieces.append(normal_piece(centre, spread, (year, year)))

    found = calibration(pieces)

    for each in found.coverage:
        assert each.midpoints.share == pytest.approx(each.mass, abs=0.03)
    for each in found.reliability:
        assert each.true.share == pytest.approx(each.said, abs=0.05)


def test_ranges_half_as_wide_as_they_should_be_are_found_out() -> None:
    random = np.random.default_rng(7)
    years = np.rint(random.normal(1900, 20, 2000)).astype(int)
    pieces = [normal_piece(1900, 10, (year, year)) for year in years]

    # A central 80 % range of half the true spread holds P(|z| < 0.6408) = 47.8 %.
    expected = 1 - 2 * stats.norm.sf(stats.norm.ppf(0.9) / 2)

    assert coverage(pieces, 0.8).midpoints.share == pytest.approx(expected, abs=0.04)


def test_width_error_and_range_of_a_normal_curve() -> None:
    piece = normal_piece(1900, 10, (1911, 1920))

    first, last = year_range(piece, 0.8)

    assert (first, last) == pytest.approx(stats.norm.interval(0.8, 1900, 10), abs=1)
    assert midpoint_error(piece) == 15.5
    assert coverage([piece], 0.8).median_width == last - first + 1


def test_the_log_score_is_the_mass_on_the_stated_years() -> None:
    stated = normal_piece(1900, 10, (1890, 1909))

    expected = log2(np.array(stated.curve)[(YEARS >= 1890) & (YEARS <= 1909)].sum())

    assert log_score(stated) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("stated", "years"), [((1900, 1900), (1895, 1905)), ((1900, 1901), (1895, 1906))]
)
def test_one_stated_year_is_widened_to_a_decade(stated, years) -> None:
    piece = normal_piece(1900, 10, stated)

    inside = (years[0] <= YEARS) & (years[1] >= YEARS)
    expected = log2(np.array(piece.curve)[inside].sum())

    assert log_score(piece) == pytest.approx(expected)


@pytest.mark.parametrize("stated", [(1600, 1610), (2100, 2110), (1990, 1990)])
def test_an_impossible_year_costs_twenty_bits(stated) -> None:
    assert log_score(normal_piece(1800, 2, stated)) == -20


@given(st.floats(1880, 1920), st.floats(3, 40))
def test_no_curve_scores_better_on_average_than_the_true_one(centre, spread) -> None:
    true = normal_piece(1900, 12, (0, 0)).curve

    def average(curve: tuple[float, ...]) -> float:
        pieces = [DatedPiece(curve, 1750, year, year) for year in range(1860, 1941)]
        weights = true[1860 - 1750 : 1941 - 1750]
        # The margin blurs the score a little: a slightly narrower curve gains 0.002 bits.
        return sum(w * log_score(each) for w, each in zip(weights, pieces, strict=True))

    assert average(true) >= average(normal_piece(centre, spread, (0, 0)).curve) - 0.02


def test_reliability_puts_probabilities_in_bins() -> None:
    said = [0.05, 0.05, 0.95, 0.97, 1.0]
    true = [False, True, True, True, True]

    low, high = reliability(said, true)

    assert (low.said, low.true.held, low.true.count) == (pytest.approx(0.05), 1, 2)
    assert (high.said, high.true.held, high.true.count) == (pytest.approx(2.92 / 3), 3, 3)


def test_without_pieces_there_is_nothing_to_say() -> None:
    with pytest.raises(ValueError, match="no dated pieces"):
        calibration([])


BASE = base_of(
    HILL,
    feature("catch", "rollover", refit=0.12),
    feature("hinge", "tube"),
    feature("glass", "uranium"),
    clue("rollover-catch", sees("catch", "rollover"), window(1911, 1925)),
    clue("tube-hinge", sees("hinge", "tube"), window(None, 1850, 1890, 1905)),
    clue("uranium-glass", sees("glass", "uranium"), window(None, 1840, 1890), "moderate"),
)
SEEN = seen("catch", "rollover"), seen("hinge", "tube"), seen("glass", "uranium")


def test_the_clue_that_misled_is_named() -> None:
    found = read(Model(BASE, 2026), SEEN)

    assert misleading_clue(found, 1930, 1940).clue in ("tube-hinge", "uranium-glass")
    assert misleading_clue(found, 1860, 1880).clue == "rollover-catch"
    assert misleading_clue(read(Model(BASE, 2026), []), 1860, 1880) is None


def test_a_reading_can_be_held_against_the_stated_years() -> None:
    found = read(Model(BASE, 2026), SEEN[1:])

    piece = dated(found.date, 1860, 1880)

    assert piece.midpoint == 1870
    assert year_range(piece, 0.8) == (found.date.range.first, found.date.range.last)


PRIOR = (0.1, 0.2, 0.3, 0.2, 0.2)
EARLY, LATE, WIDE = (1.0, 0.5, 0.0, 0.0, 0.0), (0.0, 0.0, 0.0, 1.0, 1.0), (0.0, 1.0, 1.0, 1.0, 0.5)


def test_the_widest_clue_alone() -> None:
    assert widest_clue(PRIOR, [EARLY, WIDE]) == pytest.approx((0, 0.25, 0.375, 0.25, 0.125))
    assert widest_clue(PRIOR, []) == PRIOR


def test_the_intersection_of_all_windows() -> None:
    assert intersection(PRIOR, [EARLY, WIDE]) == pytest.approx((0, 1, 0, 0, 0))
    assert intersection(PRIOR, []) == PRIOR


def test_an_empty_intersection_gives_the_years_of_most_windows() -> None:
    assert intersection(PRIOR, [EARLY, LATE, WIDE]) == pytest.approx((0, 1 / 3, 0, 1 / 3, 1 / 3))


def test_the_plain_product() -> None:
    assert plain_product(PRIOR, [WIDE, LATE]) == pytest.approx((0, 0, 0, 2 / 3, 1 / 3))
    assert plain_product(PRIOR, [EARLY, LATE]) == PRIOR


def test_all_baselines_use_the_clues_of_the_reading() -> None:
    model = Model(BASE, 2026)

    curves = baseline_curves(model, SEEN[1:])

    assert set(curves) == {
        "best single clue",
        "best clue or type",
        "plain prior",
        "widest clue",
        "intersection",
        "plain product",
    }
    for curve in curves.values():
        assert sum(curve) == pytest.approx(1)
        assert len(curve) == len(model.tables.years)
    assert sum(curves["intersection"][1906 - 1750 :]) == 0


def test_where_a_part_was_replaced_the_engine_does_better_than_the_baselines() -> None:
    model, stated = Model(BASE, 2026), (1860, 1880)

    own = log_score(dated(read(model, SEEN).date, *stated))

    others = {
        name: log_score(DatedPiece(curve, 1750, *stated))
        for name, curve in baseline_curves(model, SEEN).items()
    }
    assert own > max(others.values())
