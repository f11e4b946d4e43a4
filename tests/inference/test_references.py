"""A curve is held against all pieces of the types on which its clue is met."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from inference_brute import emission, spread_curve
from inference_building import base_of, clue, feature, names, seen, sees

from markrules.inference.engine import Model, read
from markrules.inference.year_tables import NO_YEARS
from markrules.language.conditions import And
from markrules.language.tree import Origin, Piece, Prior
from markrules.language.windows import Spread, Wave, Year

YEARS = np.arange(1750, 2027)

CLOSE = 1e-3
"""At the far edge of a hump the quantile function is nearly upright and met less exactly."""


def common(early: int, middle: int, late: int, background: float = 0.05) -> Spread:
    return Spread((Wave(Year(early), Year(middle), Year(late)),), background)


ALL = common(1878, 1960, 2004)
BOX = common(1938, 1971, 2006)
TRAY = common(1868, 1924, 1972)
BOX_PIN = common(1898, 1922, 1960)
BOX_RING = common(1930, 1980, 2010)
SEEN = common(1905, 1925, 1950, 0.1)

PLACES = (
    Piece("ornament"),
    Piece("pin", under=names("ornament")[0]),
    Piece("ring"),
    Origin("box", share=0.6),
    Origin("tray", share=0.3),
    Origin("attic"),
    Prior("years", common=ALL),
    Prior("box-years", common=BOX, origin=names("box")[0]),
    Prior("tray-years", common=TRAY, origin=names("tray")[0]),
    Prior("box-pin", common=BOX_PIN, on=names("pin"), origin=names("box")[0]),
    Prior("box-ring", common=BOX_RING, on=names("ring"), origin=names("box")[0]),
)


def years_of(spread: Spread) -> np.ndarray:
    stray = spread.background or 0.0
    return (1 - stray) * spread_curve(spread, None, YEARS) + stray / len(YEARS)


def held_against(*weighed: tuple[float, Spread]) -> np.ndarray:
    """What the clue says where the curve of all pieces is this mixture of priors."""
    whole = sum(weight * years_of(spread) for weight, spread in weighed)
    return emission(None, SEEN, whole / whole.sum(), YEARS)


def said(*entries: Any, features: tuple[Any, ...] = (feature("catch", "hook"),)) -> np.ndarray:
    tables = Model(base_of(*PLACES, *features, *entries), 2026).tables
    voice = tables.voice("old", (0.0, 0.0, 0.0), NO_YEARS)
    assert voice is not None
    return np.array(voice.suits)


def test_a_clue_met_on_any_piece_is_held_against_all_pieces() -> None:
    assert said(clue("old", sees("catch", "hook"), None, common=SEEN)) == pytest.approx(
        held_against((1, ALL)), rel=CLOSE
    )


@pytest.mark.parametrize("way", ["on the clue", "in its condition", "on its feature"])
def test_a_clue_met_on_pins_is_held_against_pins_of_each_origin_by_its_share(way: str) -> None:
    when = sees("catch", "hook")
    if way == "in its condition":
        when = And((when, sees("piece", "pin")))
    on = names("pin") if way == "on its feature" else ()
    got = said(
        clue("old", when, None, common=SEEN, on=("pin",) if way == "on the clue" else ()),
        features=(feature("catch", "hook", on=on),),
    )

    # No prior of the tray is of pins, so its general one serves; the attic tells no share.
    assert got == pytest.approx(held_against((0.6, BOX_PIN), (0.3, TRAY)), rel=CLOSE)


def test_types_of_piece_count_alike() -> None:
    got = said(clue("old", sees("catch", "hook"), None, common=SEEN, on=("pin", "ring")))

    assert got == pytest.approx(
        held_against((0.6, BOX_PIN), (0.6, BOX_RING), (0.6, TRAY)), rel=CLOSE
    )


def test_without_shares_of_origins_all_pieces_are_the_measure() -> None:
    plain = [Origin(each.name) if isinstance(each, Origin) else each for each in PLACES]
    tables = Model(base_of(*plain), 2026).tables

    assert tables.reference_of(("pin",)) == tables.reference


def test_a_clue_as_common_on_pins_of_every_year_says_nothing_of_a_pin() -> None:
    """A curve that is that of all pins leaves the years of a pin as they were."""
    entries = (
        Piece("pin"),
        Origin("box", share=1.0, default=True),
        Prior("years", common=ALL),
        Prior("pins", common=BOX_PIN, on=names("pin"), origin=names("box")[0]),
        clue("old", sees("catch", "hook"), None, common=BOX_PIN),
    )

    def apart(on: tuple[str, ...]) -> float:
        """Total variation between the years with the clue and those without."""
        catch = feature("catch", "hook", on=names(*on))
        model = Model(base_of(*entries, catch), 2026)
        plain = np.array(read(model, [], piece_type="pin").date.curve)
        told = np.array(read(model, [seen("catch", "hook")], piece_type="pin").date.curve)
        return float(np.abs(plain - told).sum() / 2)

    # What strays does so as all pins do in the clue, and evenly in the prior.
    assert apart(("pin",)) < 0.06
    assert apart(()) > 0.2
