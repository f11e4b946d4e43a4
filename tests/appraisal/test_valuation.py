"""A value comes from sold prices and nowhere else; its range holds the next sale."""

from __future__ import annotations

import dataclasses
import datetime
import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from appraisal_building import (
    THIRTY_TO_FIFTY,
    TODAY,
    appraised_note,
    compared,
    figures,
    sale,
    shipped,
)
from hypothesis import given
from hypothesis import strategies as st
from price_peers import WAYS, Told, measured, ours
from price_worlds import Sold, world
from samples import samples, some_of
from together import every_case

from markrules.appraisal.likeness import Level, Profile, day_of, folded
from markrules.appraisal.market import _sought, paid
from markrules.appraisal.pooled import LEVEL, NoisePrior, Observed, fitted, sums_of
from markrules.appraisal.value import value_of
from markrules.catalogue.records import Sale

UNKNOWN = (frozenset[str](), 1.0)
PIECE = Profile("brooch", (UNKNOWN,), 1945, 1960, signed=False, grade=1)


def test_without_sales_there_is_no_value() -> None:
    found = value_of(compared(), PIECE, (), "EUR", TODAY)

    assert found.estimate is None
    assert "no value" in found.words[0]


def test_sales_of_other_things_give_no_value() -> None:
    sales = [sale(40, n, piece_type="ring") for n in range(5)]

    found = value_of(compared(), PIECE, sales, "EUR", TODAY)

    assert found.estimate is None
    assert len(found.set_aside) == 5


def test_another_currency_is_set_aside_and_told() -> None:
    found = value_of(compared(), PIECE, (sale(40), sale(30, 2, currency="GBP")), "EUR", TODAY)

    assert found.estimate is not None
    assert [each.sale.id for each in found.estimate.carried] == [1]
    assert found.set_aside[0].reason == "sold in GBP, not EUR"
    assert any("GBP" in words for words in found.words)


def test_one_sale_gives_a_wide_range_and_says_so() -> None:
    found = value_of(compared(), PIECE, (sale(40),), "EUR", TODAY)

    assert found.estimate is not None
    assert found.estimate.low < 22
    assert found.estimate.high > 72
    assert any("wide" in words for words in found.words)


def test_one_odd_price_hardly_moves_the_estimate() -> None:
    """A slip of the pen, 5000 for 50: the plain geometric mean of the six prices is 87."""
    usual = value_of(compared(), PIECE, THIRTY_TO_FIFTY, "EUR", TODAY).estimate
    odd = value_of(compared(), PIECE, (*THIRTY_TO_FIFTY, sale(5000, 6)), "EUR", TODAY).estimate

    assert usual is not None
    assert odd is not None
    assert usual.middle <= odd.middle < 60


TWIN = {"material": "glass; gold-plated", "subject": "bee", "size_mm": 42.0}
OF_THE_DESIGN = dataclasses.replace(
    PIECE, materials=("gold plated", "glass"), subjects=("bee",), size_mm=42.0
)


def test_the_sale_of_a_twin_counts_most() -> None:
    """Of ten unlike sales and one of the very design, the one moves the estimate most."""
    others = tuple(
        sale(price, n) for n, price in enumerate((20, 24, 30, 31, 36, 40, 44, 50, 61), 2)
    )
    found = value_of(compared(), OF_THE_DESIGN, (sale(120, **TWIN), *others), "EUR", TODAY).estimate
    unlike = {**TWIN, "subject": "leaf"}
    without = value_of(compared(), OF_THE_DESIGN, (sale(120, **unlike), *others), "EUR", TODAY)

    assert found is not None
    assert without.estimate is not None
    first, second = found.carried[:2]
    assert (first.sale.id, first.share > 4 * second.share) == (1, True)
    assert found.middle > 1.25 * without.estimate.middle


def test_what_was_sold_of_designs_met_once_says_the_same_of_all_else() -> None:
    """What a design explains is taken off the noise: one sale of each moves no other piece."""
    bees = tuple(
        sale(price, n, material="glass", subject=f"bee {n}", size_mm=40.0 + n)
        for n, price in enumerate((30, 35, 42, 50), 1)
    )
    measure = compared()
    off = dataclasses.replace(measure, pool={**measure.pool, "design": 1e-6})
    found, plain = (value_of(each, PIECE, bees, "EUR", TODAY).estimate for each in (measure, off))

    assert found is not None
    assert plain is not None
    assert found.middle == pytest.approx(plain.middle, rel=1e-4)
    assert found.high == pytest.approx(plain.high, rel=1e-4)


def test_too_little_told_makes_no_design() -> None:
    """A material alone is shared by thousands of pieces that are not twins."""
    piece = dataclasses.replace(PIECE, materials=("glass",))
    sales = (sale(120, material="glass"), *THIRTY_TO_FIFTY[1:])
    measure = compared()
    off = dataclasses.replace(measure, pool={**measure.pool, "design": 1e-6})
    found, plain = (value_of(each, piece, sales, "EUR", TODAY).estimate for each in (measure, off))

    assert found is not None
    assert plain is not None
    assert found.middle == plain.middle


def test_shares_add_up_and_every_sale_shows_its_own() -> None:
    found = value_of(compared(), PIECE, THIRTY_TO_FIFTY, "EUR", TODAY).estimate

    assert found is not None
    assert sum(each.share for each in found.carried) == pytest.approx(1)
    assert sum(each.pull for each in found.carried) == pytest.approx(1, abs=0.02)


@every_case(("many", "spread"), some_of(product((3, 5, 10, 30), (0.2, 0.4, 0.6, 1.0)), least=5))
def test_ranges_of_80_percent_hold_the_next_sale(many: int, spread: float) -> None:
    """Simulated lognormal prices, seeded; eight points on either side are left to chance."""
    random = np.random.default_rng(20260601 + many)
    tries, held = samples(700), 0
    for _ in range(tries):
        prices = np.exp(random.normal(3.7, spread, many + 1))
        sales = [sale(price, n) for n, price in enumerate(prices[:-1])]
        found = value_of(compared(), PIECE, sales, "EUR", TODAY).estimate
        assert found is not None
        held += found.low <= prices[-1] <= found.high

    assert 0.72 <= held / tries <= 0.88


def test_more_sales_narrow_the_range() -> None:
    random = np.random.default_rng(5)
    widths = []
    for many in (1, 3, 30):
        ratios = []
        for _ in range(40):
            prices = np.exp(random.normal(3.7, 0.4, many))
            sales = [sale(price, n) for n, price in enumerate(prices)]
            found = value_of(compared(), PIECE, sales, "EUR", TODAY).estimate
            assert found is not None
            ratios.append(np.log(found.high / found.low))
        widths.append(np.mean(ratios))

    assert widths == sorted(widths, reverse=True)


def pull_of(other: Sale, piece: Profile = PIECE) -> tuple[float, float]:
    """The pull of a sale like the piece, and of another one beside it and eight more."""
    rest = [sale(38 + n, 10 + n, piece_type=kind) for n, kind in enumerate(KINDS)]
    found = value_of(compared(), piece, (sale(40), other, *rest), "EUR", TODAY).estimate
    assert found is not None
    pulls = {each.sale.id: each.pull for each in found.carried}
    return pulls[1], pulls[2]


KINDS = ("brooch", "brooch", "ring", "ring", "necklace", "necklace", "bracelet", "bracelet")


@every_case(
    "changed",
    [
        {"maker": "Somebody Else", "signed": True},
        {"piece_type": "bar pin"},
        {"piece_type": ""},
        {"first_year": 1880, "last_year": 1890},
        {"signed": True},
        {"condition": "damaged"},
        {"condition": ""},
        {"when": "2016"},
        {"when": "no date"},
    ],
)
def test_each_difference_lessens_the_pull_of_a_sale(changed: dict[str, object]) -> None:
    like, other = pull_of(sale(40, 2, **changed))

    assert other < like


def test_the_same_maker_pulls_more_than_another() -> None:
    named = ((frozenset({"harrow lane"}), 0.9), (frozenset[str](), 0.1))
    piece = Profile("brooch", named, 1945, 1960, signed=True, grade=1)
    sales = [
        sale(40, n, maker=maker, signed=True)
        for n, maker in enumerate(("Harrow Lane", "Nonesuch", "Harrow Lane", "Nonesuch"), 1)
    ]
    found = value_of(compared(), piece, sales, "EUR", TODAY).estimate

    assert found is not None
    pulls = {each.sale.id: each.pull for each in found.carried}
    assert min(pulls[1], pulls[3]) > 2 * max(pulls[2], pulls[4])


def test_prices_are_brought_to_today_by_the_sales_own_trend() -> None:
    """Prices that fall by a tenth a year, exactly: ten years of them, two each year."""
    sales = [
        sale(100 * 0.9**year, 2 * year + twin, when=f"{2016 + year}-06-01")
        for year in range(11)
        for twin in range(2)
    ]
    found = value_of(compared(), PIECE, sales, "EUR", TODAY)

    assert found.estimate is not None
    assert found.estimate.yearly == pytest.approx(-0.1, abs=0.02)
    assert found.estimate.middle == pytest.approx(100 * 0.9**10, rel=0.12)
    assert any("fell by" in words for words in found.words)


def test_one_price_serves_value_and_decision() -> None:
    found = appraised_note("handsome brooch, all stones present", THIRTY_TO_FIFTY)

    assert found.valuation.estimate is not None
    assert float(found.decision.price or 0) == pytest.approx(
        found.valuation.estimate.expected, abs=0.006
    )
    assert found.valuation.estimate.expected < 1.15 * found.valuation.estimate.middle


def test_silence_on_condition_widens_the_range() -> None:
    silent = dataclasses.replace(PIECE, grade=None)
    widths = []
    for piece in (PIECE, silent):
        found = value_of(compared(), piece, THIRTY_TO_FIFTY, "EUR", TODAY).estimate
        assert found is not None
        widths.append(found.high / found.low)

    assert widths[1] > widths[0] * 1.02


@every_case("many", [1, 3, 10, 60])
def test_few_sales_and_many_are_each_honest(many: int) -> None:
    """Ranges of 80% over invented markets, each with its own spread. The settings were tuned on
    other markets of the same making (bench_prices, seeds from 1000), so this tests the sums and not
    whether real markets are like these.
    """
    held = asked = 0
    for seed in range(25 if many < 60 else 8):
        sold = world(9000 + seed, many + 12)
        told = ours(sold[:many], sold[many:])
        held, asked = _counted(told, sold[many:], held, asked)

    assert asked >= 60
    assert held / asked >= 0.72
    assert many < 10 or held / asked <= 0.9


def _counted(told: Sequence[Told], asked: Sequence[Sold], held: int, count: int) -> tuple[int, int]:
    """The prices held by their ranges and all that were asked for, added to those before."""
    for range_told, one in zip(told, asked, strict=True):
        if not np.isnan(range_told[1]):
            count += 1
            held += range_told[0] <= np.log(one.price) <= range_told[2]
    return held, count


@every_case("many", [3, 10])
def test_few_sales_are_honest_where_the_trade_tells_who_is_sought(many: int) -> None:
    """The same, where makers are named as sought, three in four of them rightly: sums that take a
    part of the spread off the sales must not make the range narrower than it is. More markets,
    since few sales leave much to chance.
    """
    held = asked = 0
    for seed in range(60):
        sold = world(9000 + seed, many, 24)
        told = ours(sold[:many], sold[many:], named=True)
        held, asked = _counted(told, sold[many:], held, asked)

    assert 0.72 <= held / asked <= 0.9


def test_a_maker_thought_of_as_sought_starts_from_there_and_its_sales_correct_it() -> None:
    """Without sales of sought makers the price is that many times as high, and sales of one
    sought maker that bring as little as others tell of all of them.
    """
    sought = replace(compared(), levels={"house one": Level("sought", math.log(3))})
    ordinary = replace(compared(), levels={})
    sales = tuple(sale(40, n, maker="House two", signed=True) for n in range(6))
    piece = Profile("brooch", ((frozenset({"house one"}), 1.0),), 1945, 1960, True, None)

    prior = value_of(sought, piece, sales, "EUR", TODAY)
    usual = value_of(ordinary, piece, sales, "EUR", TODAY)
    both = replace(compared(), levels={**sought.levels, "house three": Level("sought", 1.1)})
    cheap = (*sales, *(sale(40, 10 + n, maker="House three", signed=True) for n in range(6)))
    corrected = value_of(both, piece, cheap, "EUR", TODAY)

    assert prior.estimate is not None
    assert usual.estimate is not None
    assert corrected.estimate is not None
    assert prior.estimate.middle == pytest.approx(3 * usual.estimate.middle, rel=0.1)
    assert corrected.estimate.middle < 0.8 * prior.estimate.middle
    assert any("sought" in words for words in prior.words)
    assert not any("sought" in words for words in usual.words)


def test_the_rules_name_makers_by_every_name_and_none_by_a_name_that_two_share() -> None:
    levels, base = compared().levels, shipped()
    brings = {m.name: entry.brings for entry in base.esteems.values() for m in entry.makers}

    assert math.exp(levels[folded(base.makers["haskell"].title)].adds) == brings["haskell"]
    assert all(
        each.adds == pytest.approx(math.log(base.esteems[each.name].brings))
        for each in levels.values()
    )
    assert folded(base.makers["trifari"].title) not in levels


def test_without_sales_in_hand_nothing_is_told() -> None:
    sold = world(9999, 3)

    assert all(np.isnan(each[1]) for each in ours([], sold))


def test_a_scale_of_a_maker_takes_all_that_is_expected_of_its_square() -> None:
    """Beside a dense computation with numpy: E[b^2] is the squared mean and the variance."""
    rows = [
        Observed({LEVEL: 1.0, "maker a": 1.0}, 1.0),
        Observed({LEVEL: 1.0, "maker a": 1.0}, 0.4),
        Observed({LEVEL: 1.0, "maker b": 1.0}, -0.2),
        Observed({LEVEL: 1.0}, 0.1, 1.5),
    ]
    reach, freedom = 1.7, 3.0
    fit = fitted(sums_of(rows), lambda _: reach, NoisePrior(0.5, 4.0))
    names = (LEVEL, "maker a", "maker b")
    design = np.array([[row.design.get(name, 0.0) for name in names] for row in rows])
    weights = np.diag([1 / row.noise for row in rows])
    precision = design.T @ weights @ design + np.diag([0.0, reach**-2, reach**-2])
    means = np.linalg.solve(precision, design.T @ weights @ [row.value for row in rows])
    doubts = np.diag(np.linalg.inv(precision))

    found = _sought(fit, freedom)

    assert set(found) == {"maker a", "maker b"}
    for at, name in ((1, "maker a"), (2, "maker b")):
        square = (means[at] ** 2 / fit.variance + doubts[at]) / reach**2
        assert found[name] == pytest.approx(np.sqrt((freedom + square) / (freedom + 1)))


@pytest.mark.parametrize("size", [150])
def test_prices_are_told_better_than_by_other_ways(size: int) -> None:
    """Beside scikit-learn's nearest neighbours and ridge, on invented markets.

    The bounds are those asked for: the median error a tenth below that of nearest neighbours,
    ranges that hold 76% to 84% (and the chance of a few hundred draws), no wider than ridge's by
    more than a tenth.
    """
    names = ("this program", "nearest neighbours", "ridge")
    found: dict[str, list[dict[str, float]]] = {name: [] for name in names}
    for seed in range(3):
        sold = world(7000 + seed, size + 150)
        for name, rows in found.items():
            rows.append(measured(WAYS[name](sold[:size], sold[size:]), sold[size:]))
    mean = {
        name: {key: float(np.mean([row[key] for row in rows])) for key in rows[0]}
        for name, rows in found.items()
    }

    assert mean["this program"]["error"] <= 0.9 * mean["nearest neighbours"]["error"]
    assert 0.72 <= mean["this program"]["held"] <= 0.88
    assert mean["this program"]["width"] <= 1.1 * mean["ridge"]["width"]


def test_prices_are_brought_to_the_condition_of_the_piece() -> None:
    shares = {grade.name: grade.share for grade in compared().steps.grades}
    worn = Profile("brooch", (UNKNOWN,), 1945, 1960, signed=False, grade=2)

    found = value_of(compared(), worn, (sale(100, condition="as made"),), "EUR", TODAY).estimate

    assert found is not None
    assert found.carried[0].counted == pytest.approx(100 * shares["worn"] / shares["as-made"])


def test_minor_units_follow_iso_4217() -> None:
    """ISO 4217, list one: yen have no minor unit, Kuwaiti dinars three decimals."""
    assert paid(sale(40)) == 40
    assert paid(sale(40, currency="JPY")) == 4000
    assert paid(sale(40, currency="KWD")) == 4


def test_days_may_be_months_or_years() -> None:
    assert day_of("2024-06-30") == datetime.date(2024, 6, 30)
    assert day_of("2024-06") == datetime.date(2024, 6, 15)
    assert day_of("2024") == datetime.date(2024, 7, 1)
    assert day_of("some day") is None
    assert day_of("2024-13") is None


@given(st.lists(st.floats(0.01, 1e6), min_size=1, max_size=12), st.floats(0.1, 50))
def test_prices_in_another_unit_scale_the_whole_estimate(prices: list[float], by: float) -> None:
    one = value_of(compared(), PIECE, [sale(p, n) for n, p in enumerate(prices)], "EUR", TODAY)
    if any(round(p * 100) < 1000 or round(p * by * 100) < 1000 for p in prices):
        return  # rounding to cents would show
    other = value_of(
        compared(), PIECE, [sale(p * by, n) for n, p in enumerate(prices)], "EUR", TODAY
    )

    assert one.estimate is not None
    assert other.estimate is not None
    assert other.estimate.middle == pytest.approx(one.estimate.middle * by, rel=2e-3)
    assert other.estimate.low == pytest.approx(one.estimate.low * by, rel=1e-2)


def test_the_melt_value_follows_from_mark_weight_and_price() -> None:
    """Sterling is 925 thousandths (United Kingdom Hallmarking Act 1973; 16 CFR 23.5)."""
    found = appraised_note("ring marked STERLING, 12 g", ()).melt

    assert found is not None
    assert found.grams is not None
    assert found.value is not None
    assert found.grams.high == pytest.approx(12 * 0.925)
    assert found.value.high == pytest.approx(12 * 0.925 * 0.90)
    assert any("local law" in words for words in found.words)


def test_without_a_weight_or_a_price_melt_says_what_is_wanting() -> None:
    unweighed = appraised_note("ring marked STERLING", ()).melt
    unpriced = appraised_note("ring marked STERLING, 12 g", (), figures(silver_price=None)).melt

    assert unweighed is not None
    assert unweighed.grams is None
    assert any("Weigh" in words for words in unweighed.words)
    assert unpriced is not None
    assert unpriced.value is None
    assert any("silver-price" in words for words in unpriced.words)


def test_plain_base_metal_has_no_melt() -> None:
    assert appraised_note("brooch marked AUSTRIA, 23 g").melt is None


def test_tested_metal_is_a_floor_under_all_that_is_said_of_the_price() -> None:
    """Gold of 750 thousandths at 60 a gram, less a tenth that the refiner keeps."""
    told = figures(gold_price="60/g", refiner_share="10%")
    found = appraised_note("ring, 5 g, tests as 18K", (sale(20, piece_type="ring"),), told)
    floor = 5 * 0.75 * 60 * 0.9

    estimate = found.valuation.estimate
    assert estimate is not None
    assert estimate.low == pytest.approx(floor)
    assert min(estimate.middle, estimate.high, estimate.expected) >= estimate.low
    assert found.decision.choice == "melt"
    assert found.decision.price == pytest.approx(floor)
    assert any("more than sales" in words for words in found.valuation.words)


def test_metal_that_is_only_marked_leaves_the_range_and_is_told() -> None:
    told = figures(gold_price="60/g")
    one = (sale(20, piece_type="ring"),)
    marked = appraised_note("ring, 5 g, marked 18K", one, told).valuation
    weightless = appraised_note("ring, marked 18K", one, told).valuation

    assert marked.estimate == weightless.estimate
    assert any(words.startswith("Not below 2") for words in marked.words)
    assert not any(words.startswith("Not below") for words in weightless.words)
