"""A type speaks instead of its parts, save of one that says more than it does."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from inference_building import HILL, base_of, clue, feature, seen, sees
from together import every_case

from markrules.inference.baselines import NAMED, SINGLE, baseline_curves
from markrules.inference.engine import Model, read
from markrules.inference.reading import ClueReading
from markrules.language.conditions import And
from markrules.language.spans import Named
from markrules.language.tree import Setting, Type
from markrules.language.windows import Spread, Wave, Window, Year

WIDE = Wave(Year(1880), Year(1920), Year(1980))
NARROW = Wave(Year(1928), Year(1934), Year(1940))
REVIVED = Wave(Year(1980), Year(1992), Year(2010), 0.4)

SEEN = (seen("stone", "paste"), seen("clip", "plate"))
LOOKS = (feature("stone", "paste"), feature("clip", "plate"), HILL)


def kind(*waves: Wave) -> Type:
    both = And((sees("stone", "paste"), sees("clip", "plate")))
    trust = Named("moderate")
    return Type("paste-clip", "a clip of paste", both, trust, "why", common=Spread(waves, 0.05))


def part(name: str, value: str, wave: Wave) -> Any:
    return clue(name, sees(name, value), None, "moderate", common=Spread((wave,), 0.05))


def spoken(*entries: Any) -> dict[str, float]:
    base = base_of(*LOOKS, *entries)
    model = Model(base, 2026)
    return {each.clue: each.weight for each in read(model, SEEN, next_looks=0).clues}


def test_parts_that_say_less_than_their_type_are_silent() -> None:
    found = spoken(kind(NARROW), part("stone", "paste", WIDE), part("clip", "plate", WIDE))

    assert set(found) == {"paste-clip"}


def test_a_part_that_says_more_than_its_type_speaks_beside_it() -> None:
    found = spoken(kind(WIDE), part("stone", "paste", WIDE), part("clip", "plate", NARROW))

    assert set(found) == {"paste-clip", "clip"}


@every_case(
    ("trust", "made", "speaks"),
    [
        ("strong", Window(first=Year(1854)), True),
        ("strong", Window(last=Year(1991)), True),
        ("strong", Window(first=Year(1850)), False),  # the type knows of that
        ("weak", Window(first=Year(1854)), False),  # too weak to set a limit
    ],
)
def test_no_type_takes_away_a_limit_that_it_does_not_know_of(
    trust: str, made: Window, speaks: bool
) -> None:
    whole = replace(kind(NARROW), made=Window(first=Year(1850), last=Year(1999)))
    wide = clue("stone", sees("stone", "paste"), made, trust, common=Spread((WIDE,), 0.05))

    assert ("stone" in spoken(whole, wide)) == speaks


def test_type_and_part_are_tempered_by_what_both_rest_on() -> None:
    found = spoken(kind(WIDE), part("clip", "plate", NARROW))

    # The part rests on one of the two things that both rest on together: Jaccard 1/2. The type
    # says less than the part, so it is tempered in full, the part by less than that.
    assert found["paste-clip"] == pytest.approx(1 / (1 + 0.5), abs=0.01)
    assert found["paste-clip"] < found["clip"] < 1


def test_a_clue_on_all_that_a_type_rests_on_is_silent_whatever_it_says() -> None:
    both = And((sees("stone", "paste"), sees("clip", "plate")))
    same = clue("same", both, None, "moderate", common=Spread((NARROW,), 0.05))

    assert set(spoken(kind(WIDE), same)) == {"paste-clip"}


def test_clues_on_the_very_same_repeat_each_other_in_full() -> None:
    found = spoken(
        part("stone", "paste", WIDE),
        clue("again", sees("stone", "paste"), None, "moderate", common=Spread((WIDE,), 0.05)),
        Setting("shared-look", 0.5),
    )

    assert found == {"stone": 0.5, "again": 0.5}


def test_a_part_of_a_type_of_several_times_is_silent() -> None:
    found = spoken(kind(WIDE, REVIVED), part("clip", "plate", NARROW))

    assert set(found) == {"paste-clip"}


def test_the_setting_says_how_far_clues_on_one_thing_repeat_each_other() -> None:
    half = Setting("shared-look", 0.5)
    found = spoken(kind(WIDE), part("clip", "plate", NARROW), half)

    assert found["paste-clip"] == pytest.approx(1 / (1 + 0.5 * 0.5), abs=0.01)


def test_the_best_single_clue_is_no_type_and_the_best_clue_or_type_may_be() -> None:
    curves = baseline_curves(
        Model(base_of(*LOOKS, kind(NARROW), part("stone", "paste", WIDE)), 2026), SEEN
    )
    without = baseline_curves(Model(base_of(*LOOKS, part("stone", "paste", WIDE)), 2026), SEEN)

    assert curves[SINGLE] == pytest.approx(without[SINGLE])
    assert max(curves[NAMED]) > 2 * max(curves[SINGLE])


def told_of(second: int) -> ClueReading:
    """A clue with a wave about 1910 and another about the `second` year."""
    early = Wave(Year(1900), Year(1910), Year(1920))
    later = Wave(Year(second - 10), Year(second), Year(second + 10), 0.4)
    common = Spread((early, later), 0.0)
    entry = clue("stone", sees("stone", "paste"), None, "moderate", common=common)
    (told,) = read(Model(base_of(*LOOKS, entry), 2026), SEEN[:1], next_looks=0).clues
    return told


def low_runs(told: ClueReading) -> list[int]:
    """How many years each stretch between its first and last holds that is a tenth or less."""
    inside = range(told.first - 1750, told.last - 1750 + 1)
    low = "".join("-" if told.window[at] <= 0.1 else "+" for at in inside)
    return [len(run) for run in low.split("+") if run]


def test_years_between_two_waves_are_told_where_they_are_five_or_more() -> None:
    told = {second: told_of(second) for second in range(1935, 1985)}

    for each in told.values():
        lengths = [last - first + 1 for first, last in each.gaps]
        assert lengths == [run for run in low_runs(each) if run >= 5]
    assert any(0 < run < 5 for each in told.values() for run in low_runs(each))
    assert any(each.gaps for each in told.values())
