"""How far clues that would be wrong together are held back."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from markrules.inference.families import Crowding, FamilyMember, Sharpness, tempered
from markrules.inference.families import weights as weights_of

ROUNDED = 8 * 5 * 0.005
"""Eight clues that say up to five each, with weights rounded to two decimals."""


def weights(members, overlaps, **more):
    """The weights of (family, observations) or (family, observations, information)."""
    return weights_of(
        [FamilyMember(*each, *(1.0,) * (3 - len(each))) for each in members], overlaps, **more
    )


@given(st.integers(1, 30), st.floats(0, 1))
def test_tempering_is_the_effective_sample_size_of_correlated_answers(
    count: int, overlap: float
) -> None:
    # Kish, Survey Sampling (1965): the variance of a mean of k answers with correlation ρ
    # is σ²/k · (1 + ρ(k−1)). Worked out here from the covariance matrix itself.
    covariance = np.full((count, count), overlap) + (1 - overlap) * np.eye(count)
    effective = count**2 / covariance.sum()

    assert count * tempered(count, overlap) == pytest.approx(effective)


def test_clues_without_a_family_count_in_full() -> None:
    assert weights([("", (0,)), ("", (1,)), ("", (2,))], {}) == [1, 1, 1]


def test_clues_of_one_family_are_held_back_together() -> None:
    found = weights([("mark", (0,)), ("mark", (1,)), ("", (2,)), ("mark", (3,))], {"mark": 0.5})

    assert found == [0.5, 0.5, 1, 0.5]


def test_one_observation_never_counts_twice() -> None:
    found = weights([("", (0,)), ("", (0,)), ("", (1,))], {})

    assert found == [0.5, 0.5, 1]


def test_clues_with_some_observations_in_common_share_as_much_of_what_they_rest_on() -> None:
    found = weights([("", (0, 1)), ("", (0, 2)), ("", (3,))], {})

    assert found == [round(1 / (1 + 1 / 3), 2)] * 2 + [1]


def test_a_clue_on_part_of_what_another_rests_on_holds_it_back_by_that_part() -> None:
    assert weights([("", (0, 1, 2)), ("a", (1,))], {"a": 0.0}) == [0.75, 0.75]


def test_clues_of_different_families_on_one_observation_share_it() -> None:
    found = weights([("a", (0,)), ("b", (0,))], {"a": 0.0, "b": 0.0})

    assert found == [0.5, 0.5]


def test_within_one_family_its_own_overlap_decides() -> None:
    assert weights([("a", (0,)), ("a", (0,))], {"a": 0.2}) == [0.83] * 2


def test_the_stronger_of_both_rules_holds() -> None:
    found = weights([("a", (0,)), ("a", (1,)), ("", (1,))], {"a": 0.1})

    assert found == [0.91, 0.5, 0.5]


def test_a_clue_that_says_nothing_holds_no_other_back() -> None:
    found = weights([("a", (0,), 2.0), ("a", (1,), 0.0), ("", (0,), 0.0)], {"a": 0.9})

    assert found[0] == 1


def test_a_clue_holds_a_stronger_one_back_by_its_part_of_what_that_says() -> None:
    strong, weak = weights([("a", (0,), 2.0), ("a", (1,), 0.5)], {"a": 0.6})

    assert strong == round(1 / (1 + 0.6 * 0.25), 2)
    assert weak == round(1 / (1 + 0.6), 2)


def test_further_clues_of_a_family_count_as_saying_as_much() -> None:
    assert weights([("a", (0,))], {"a": 0.5}, held={"a": 2}) == [0.5]


def test_heed_raises_what_tempering_leaves() -> None:
    both = [("a", (0,)), ("a", (1,)), ("", (2,))]

    assert weights(both, {"a": 0.25}, heed=1.5) == [1.2, 1.2, 1.5]


def test_the_more_clues_speak_the_less_each_counts() -> None:
    # (2 / n) ** 0.5 of n clues apart: the square root of one half at four; two are as usual.
    apart = [("", (at,)) for at in range(4)]

    assert weights(apart, {}, crowding=Crowding(2, 0.5)) == [0.71] * 4
    assert weights(apart[:2], {}, crowding=Crowding(2, 0.5)) == [1, 1]
    assert weights(apart[:1], {}, crowding=Crowding(2, 0.5)) == [1]


def test_clues_that_tempering_holds_back_crowd_less() -> None:
    together = [("a", (at,)) for at in range(4)]  # with an overlap of all they count as one

    assert weights(together, {"a": 1.0}, crowding=Crowding(1, 0.5)) == [0.25] * 4
    assert weights(together, {"a": 0.0}, crowding=Crowding(1, 0.5)) == [0.5] * 4


def test_clues_that_say_little_crowd_less() -> None:
    """Beside one that says 2 nats, four that say a quarter of it are one clue more."""
    apart = [("", (0,), 2.0), *[("", (at,), 0.5) for at in range(1, 5)]]
    silent = [("", (0,), 2.0), *[("", (at,), 0.0) for at in range(1, 5)]]

    assert weights(apart, {}, crowding=Crowding(1, 0.5)) == [0.71] * 5  # n is 2
    assert weights(apart, {}, crowding=Crowding(2, 0.5)) == [1] * 5
    assert weights(silent, {}, crowding=Crowding(1, 0.5)) == [1] * 5


def test_a_clue_that_says_little_is_shrunk_and_what_is_seen_together_counts_for_more() -> None:
    found = weights(
        [("", (0,), 0.9), ("", (1,), 0.1), ("", (2,), 0.0), ("", (3, 4, 5, 6), 0.9)],
        {},
        sharpness=Sharpness(0.1, 0.5),
    )

    assert found == [0.9, 0.5, 0.0, 1.8]


members = st.lists(
    st.tuples(
        st.sampled_from(["", "a", "b"]),
        st.lists(st.integers(0, 4), min_size=1, max_size=3, unique=True).map(tuple),
        st.floats(0, 5),
    ),
    max_size=8,
)


@given(members, st.randoms(use_true_random=False))
def test_the_order_of_clues_changes_no_weight(given_members, random) -> None:
    overlaps = {"a": 0.3, "b": 0.9}
    order = list(range(len(given_members)))
    random.shuffle(order)

    found = weights(given_members, overlaps)
    shuffled = weights([given_members[at] for at in order], overlaps)

    assert [shuffled[order.index(at)] for at in range(len(order))] == pytest.approx(found)


@given(members)
def test_clues_of_mixed_families_on_the_same_say_no_more_than_the_strongest(
    given_members,
) -> None:
    found = weights(given_members, {"a": 0.0, "b": 0.0})

    for observations in {frozenset(used) for _, used, _ in given_members}:
        on_it = [at for at, (_, used, _) in enumerate(given_members) if set(used) == observations]
        families = {given_members[at][0] for at in on_it}
        if len(families) > 1 or families == {""}:
            said = [found[at] * given_members[at][2] for at in on_it]
            assert sum(said) <= max(given_members[at][2] for at in on_it) + ROUNDED


@given(members)
def test_the_overlap_of_what_clues_rest_on_is_that_of_sets(given_members) -> None:
    """Against the rule written out over all pairs, without families."""
    alone = [("", used, said) for _, used, said in given_members]
    expected = []
    for at, (_, used, said) in enumerate(alone):
        count = 1.0
        for other, (_, theirs, more) in enumerate(alone):
            common, either = {*used} & {*theirs}, {*used} | {*theirs}
            if other != at and common:
                count += len(common) / len(either) * (1 if more >= said else more / said)
        expected.append(1 / count)

    assert weights(alone, {}) == pytest.approx(expected, abs=0.005001)
