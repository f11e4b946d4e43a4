"""What a question offers: every answer once, long lists by groups, kinds a beginner knows first."""

from __future__ import annotations

from shipped_base import shipped_base

from markrules.tasks.questions import (
    FEW_ANSWERS,
    FIRST_ANSWERS,
    Offer,
    few_of,
    kinds_offered,
    offer_of,
)


def held(offer: Offer) -> list[str]:
    grouped = [value.name for group in offer.groups for value in group.values]
    return [*grouped, *(value.name for value in (*offer.common, *offer.rare))]


def test_every_answer_is_offered_once() -> None:
    for feature in shipped_base().features.values():
        assert sorted(held(offer_of(shipped_base(), feature))) == sorted(
            value.name for value in feature.values
        ), feature.name


def test_beside_others_every_answer_is_offered_once_and_few_are_shown() -> None:
    for feature in shipped_base().features.values():
        offer = few_of(shipped_base(), feature)

        assert sorted(held(offer)) == sorted(value.name for value in feature.values), feature.name
        assert len(offer.common) <= FEW_ANSWERS + 1
        assert not offer.rare


def test_the_first_question_offers_several_ways_of_wearing_and_every_kind() -> None:
    base = shipped_base()
    first = kinds_offered(base)

    assert 5 <= len(first.groups) <= FIRST_ANSWERS
    assert sorted(held(first)) == sorted(
        each.name for each in base.pieces.values() if each.under is not None
    )


def test_a_long_list_is_chosen_in_two_steps() -> None:
    base = shipped_base()
    marks = base.features["hallmark-mark"]
    first = offer_of(base, marks)

    assert len(first.groups) + len(first.common) <= FIRST_ANSWERS
    assert not first.rare
    for group in first.groups:
        chosen = offer_of(base, marks, group.name)
        assert chosen.common == group.values
        assert not chosen.groups


def test_an_unknown_group_offers_the_groups_again() -> None:
    base = shipped_base()

    assert offer_of(base, base.features["finish"], "no such group").groups
