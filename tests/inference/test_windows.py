"""Windows and priors as tables of years."""

from __future__ import annotations

import inference_brute as brute
import numpy as np
import pytest
from engine_numbers import engine_settings
from hypothesis import given
from hypothesis import strategies as st
from inference_building import HILL, window

from markrules.inference.spreads import humps, humps_table
from markrules.inference.years import (
    earlier_means,
    fading,
    later_means,
    mark_table,
    mixed_table,
    prior_table,
    resolve,
    softened_table,
    window_table,
)
from markrules.language.windows import Spread, Wave, Window, Year

YEARS = range(1750, 2027)
GRID = np.array(YEARS, dtype=float)


def table(made: Window, bracket: tuple[int, int] | None = None) -> dict[int, float]:
    ends = resolve(made, YEARS, engine_settings(), bracket)
    return dict(zip(YEARS, window_table(ends, YEARS), strict=True))


@st.composite
def windows(draw: st.DrawFn) -> Window:
    """Windows with their ends in order, each end there or not, some reaching off the grid."""
    ends = sorted(draw(st.lists(st.integers(1700, 2060), min_size=4, max_size=4)))
    keep = draw(st.lists(st.booleans(), min_size=4, max_size=4))
    gaps = draw(st.lists(st.tuples(st.integers(1740, 2040), st.integers(0, 30)), max_size=2))
    return window(
        *(end if kept else None for end, kept in zip(ends, keep, strict=True)),
        gaps=tuple((start, start + length) for start, length in gaps),
        fade=draw(st.none() | st.integers(0, 60)),
    )


@given(windows())
def test_windows_are_as_numpy_draws_them_through_their_knots(made: Window) -> None:
    ends = resolve(made, YEARS, engine_settings())

    assert window_table(ends, YEARS) == pytest.approx(brute.suits(made, GRID), abs=1e-12)
    assert softened_table(ends, YEARS) == pytest.approx(brute.softened(made, GRID), abs=1e-12)


def test_between_a_hard_limit_and_the_bulk_the_window_falls_in_a_straight_line() -> None:
    suits = table(window(1911, 1915))

    assert [suits[year] for year in range(1909, 1917)] == pytest.approx(
        [0, 0, 0.2, 0.4, 0.6, 0.8, 1, 1]
    )


def test_from_alone_is_level_from_there_on() -> None:
    suits = table(window(1911))

    assert suits[1910] == 0
    assert {suits[year] for year in range(1911, 2027)} == {1.0}


def test_a_soft_end_fades_over_a_share_of_the_bulk() -> None:
    suits = table(window(None, 1900, 1939))  # 40 years: 35 % of them is 14

    assert suits[1939] == 1
    assert suits[1939 + 14] == pytest.approx(1 / 15)
    assert suits[1939 + 15] == 0


def test_a_fade_of_its_own_stands_before_the_setting() -> None:
    suits = table(window(None, 1900, 1939, fade=3))

    assert [suits[year] for year in range(1939, 1944)] == pytest.approx([1, 0.75, 0.5, 0.25, 0])


def test_short_and_endless_bulks_fade_over_the_least_and_the_most_years() -> None:
    assert table(window(None, 1950, 1950))[1958] == pytest.approx(1 / 9)
    assert table(window(None, 1950, 1950))[1959] == 0
    assert table(window(None, None, 1950))[1990] == pytest.approx(1 / 41)
    assert table(window(None, None, 1950))[1991] == 0


def test_years_excepted_are_impossible() -> None:
    suits = table(window(1930, gaps=((1938, 1945),)))

    assert [suits[year] for year in (1937, 1938, 1945, 1946)] == [1, 0, 0, 1]


def test_year_is_the_first_of_the_bracket_before_and_the_last_after() -> None:
    made = Window(
        first=Year(0, relative=True),
        mostly_first=Year(0, relative=True),
        mostly_last=Year(12, relative=True),
        last=Year(20, relative=True),
    )

    ends = resolve(made, YEARS, engine_settings(), (1930, 1932))

    assert (ends.first, ends.mostly_first) == (1930, 1930)
    assert (ends.mostly_last, ends.last) == (1944, 1952)


def test_now_is_the_last_year_of_the_grid() -> None:
    made = Window(mostly_first=Year(1990), mostly_last=Year(0, now=True))

    assert resolve(made, YEARS, engine_settings()).mostly_last == 2026


def test_several_years_apart_are_mixed_by_their_weights() -> None:
    one, other = (1.0, 0.0, 0.0), (0.0, 0.5, 0.5)

    assert mixed_table([(3.0, one), (2.0, other)]) == pytest.approx((1.0, 1 / 3, 1 / 3))


def test_the_prior_is_linear_between_its_points() -> None:
    assert prior_table(HILL.points, YEARS) == pytest.approx(brute.prior_weights(HILL, GRID))


def test_no_year_is_impossible_beforehand() -> None:
    prior = prior_table(((1750, 0), (1800, 0), (1801, 1)), YEARS)

    assert min(prior) > 0
    assert prior[0] < 1e-5 * max(prior)
    assert sum(prior) == pytest.approx(1)


@given(st.lists(st.floats(0, 1), min_size=1, max_size=30))
def test_means_over_later_and_earlier_years(values: list[float]) -> None:
    given = tuple(values)

    assert later_means(given) == pytest.approx([np.mean(given[at:]) for at in range(len(given))])
    assert earlier_means(given) == pytest.approx(
        [np.mean(given[: at + 1]) for at in range(len(given))]
    )


def test_a_mark_without_a_recorded_end_fades_and_stays_within_its_makers_years() -> None:
    used = resolve(window(mostly_first=1930), YEARS, engine_settings())
    works = tuple(1.0 if year <= 1950 else 0.0 for year in YEARS)
    table = dict(zip(YEARS, mark_table(used, works, YEARS, fading(YEARS, 20.0)), strict=True))

    assert table[1930] == 1.0
    assert table[1950] == pytest.approx(np.exp(-1))
    assert table[1951] == 0.0


def test_a_mark_outside_its_makers_years_keeps_its_own() -> None:
    used = resolve(window(mostly_first=1930, last=1940), YEARS, engine_settings())
    nothing = (0.0,) * len(YEARS)

    assert mark_table(used, nothing, YEARS, fading(YEARS, 20.0)) == window_table(used, YEARS)


@pytest.mark.parametrize("seam", [0.0, 3.0, 6.0])
def test_waves_run_into_each_other_over_the_seam(seam: float) -> None:
    spread = Spread(
        (
            Wave(Year(1947), Year(1956), Year(1968)),
            Wave(Year(1902), Year(1916), Year(1935), 0.18),
            Wave(Year(1980), Year(1993), Year(2011), 0.32),
        ),
        0.04,
    )
    waves = humps(spread, YEARS[-1], (YEARS[0], YEARS[-1]))

    ours = humps_table(waves, YEARS, seam=seam)

    assert ours is not None
    theirs = brute.spread_curve(spread, None, GRID, seam)
    assert np.abs(np.array(ours) - theirs).max() < 1e-6
