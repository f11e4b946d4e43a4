"""How likely a question tells anything, given what is known: it orders looks, and nothing else."""

from __future__ import annotations

import pytest
from engine_numbers import engine_settings
from inference_building import HILL, base_of, clue, feature, names, seen, sees, window

from markrules.inference.engine import Model, read
from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Asking


def of_asking(*entries: Asking) -> KnowledgeBase:
    """Two features that tell alike, one that tells nothing, and what is said of asking."""
    early, late = window(1850, 1900), window(1950, 2000)
    clues = [
        clue(f"{name}-{value}", sees(name, value), made)
        for name in ("front", "back")
        for value, made in (("old", early), ("new", late))
    ]
    parts = [feature(name, "old", "new") for name in ("front", "back")]
    return base_of(HILL, *parts, feature("metal", "base", "gold"), *clues, *entries)


def asked(base: KnowledgeBase, *observations: object) -> list[str]:
    found = read(Model(base, 2026), observations, next_looks=9)  # type: ignore[arg-type]
    return [each.feature for each in found.next]


def test_a_look_that_seldom_shows_anything_comes_later() -> None:
    assert asked(of_asking()) == ["back", "front"]

    seldom = Asking("seldom", names("back"), share=0.3)
    assert asked(of_asking(seldom)) == ["front", "back"]


def test_a_condition_is_asked_of_what_is_known() -> None:
    on_base = Asking("on-base", names("back"), share=0.0, when=sees("metal", "base"))
    base = of_asking(on_base)

    assert asked(base) == ["back", "front"]
    assert asked(base, seen("metal", "gold")) == ["back", "front"]
    assert asked(base, seen("metal", "base")) == ["front"]


def test_the_least_of_several_counts_and_chances_multiply() -> None:
    base = of_asking(
        Asking("one", names("back", "front"), share=0.5, answered=0.8),
        Asking("other", names("back"), share=0.9, answered=0.4),
    )
    cost = engine_settings().answer_cost
    found = read(Model(base, 2026), [], next_looks=9).next
    odds = {each.feature: (each.worth + cost) / each.gain_bits for each in found}

    assert odds == {"front": pytest.approx(0.4), "back": pytest.approx(0.5 * 0.4)}


def test_what_is_said_of_such_a_piece_goes_before_what_is_said_of_all() -> None:
    base = of_asking(
        Asking("of-all", names("back", "front"), share=0.2, answered=0.5),
        Asking("on-gold", names("back"), share=0.9, when=sees("metal", "gold")),
        Asking("on-gold-less", names("back"), share=0.8, when=sees("metal", "gold")),
    )
    cost = engine_settings().answer_cost

    def odds(*observations: object) -> dict[str, float]:
        found = read(Model(base, 2026), observations, next_looks=9).next  # type: ignore[arg-type]
        return {each.feature: (each.worth + cost) / each.gain_bits for each in found}

    of_gold = {"front": pytest.approx(0.1), "back": pytest.approx(0.8 * 0.5)}
    of_base = {"front": pytest.approx(0.1), "back": pytest.approx(0.1)}
    assert odds(seen("metal", "gold")) == of_gold
    assert odds(seen("metal", "base")) == of_base
    assert odds() == of_base


def test_asking_changes_no_reading() -> None:
    plain, with_asking = of_asking(), of_asking(Asking("never", names("back"), share=0.0))
    one, other = (read(Model(base, 2026), [seen("front", "old")]) for base in (plain, with_asking))

    assert one.date == other.date
    assert {each.feature for each in one.next} >= {each.feature for each in other.next}
