"""Condition: grade, originality, completeness, and what mends at home."""

from __future__ import annotations

from appraisal_building import appraised_note, compared, shipped
from hypothesis import given
from hypothesis import strategies as st
from shipped_base import shipped_reader
from together import every_case

from markrules.appraisal.condition import Condition, grade_without, ladder
from markrules.knowledge.base import KnowledgeBase
from markrules.reading.reader import Request


def condition(note: str) -> Condition:
    return appraised_note(note, ()).condition


def test_grades_of_the_rules_fall_in_price_from_best_to_worst() -> None:
    grades = ladder(shipped()).grades

    assert [grade.words for grade in grades] == [
        "as made",
        "light wear",
        "worn",
        "damaged",
        "for parts",
    ]
    shares = [grade.share for grade in grades]
    assert shares == sorted(shares, reverse=True)
    assert shares[0] == 1


def test_more_faults_never_better() -> None:
    notes = [
        "brooch, no stones missing",
        "brooch, light scratches",
        "brooch, one stone missing",
        "brooch, four stones missing, plating blistered",
        "brooch, broken, plating blistered, zinc pest",
    ]
    ranks = [condition(note).grade.rank for note in notes]

    assert ranks == sorted(ranks)
    assert ranks[0] == 0
    assert ranks[-1] == 4


def test_tarnish_and_new_string_do_not_lower_a_piece() -> None:
    assert condition("silver spoon brooch, tarnished").grade.rank == 0
    assert condition("necklace, restrung").grade.rank == 0


def test_stones_wanting_are_counted() -> None:
    found = condition("brooch, 3 stones missing").completeness

    assert found.stones_wanting == 3
    assert not found.counted
    assert condition("brooch, no stones missing").completeness.counted


def test_a_replaced_catch_is_named_as_changed() -> None:
    found = condition("brooch, replaced catch")

    assert [each.part for each in found.changed] == ["replaced-catch"]
    assert found.changed[0].probability == 1


def test_a_catch_far_too_young_for_the_piece_is_thought_replaced() -> None:
    found = condition(
        "brooch, tube hinge, mine cut diamonds, silver topped gold, hallmark 1880, rollover catch,"
        " dated 1880, hair compartment, foiled closed back"
    )

    assert any(each.part == "catch" for each in found.changed)


def test_what_mends_at_home_and_what_does_not() -> None:
    found = condition("brooch, one stone missing, plating blistered, dented")
    by_name = {flaw.fault: flaw for flaw in found.flaws}

    assert by_name["missing-stones"].at_home
    assert by_name["missing-stones"].caution
    assert not by_name["blistered-plating"].at_home
    assert not by_name["dents"].at_home
    assert [flaw.fault for flaw in found.mendable] == ["missing-stones"]


def test_nothing_noted_is_not_the_same_as_nothing_wrong() -> None:
    assert not condition("brooch").looked
    assert condition("brooch").reasons == ("Nothing was noted of the condition.",)
    assert condition("brooch").words == "not stated"
    assert condition("brooch, no stones missing").looked


def test_rules_without_grades_give_one_grade() -> None:
    steps = ladder(KnowledgeBase("0"))

    assert len(steps.grades) == 1
    assert steps.at(99).share == 1


@given(st.floats(0, 1e6), st.floats(0, 1e6))
def test_more_points_never_a_better_grade(one: float, other: float) -> None:
    steps = compared().steps
    low, high = sorted((one, other))

    assert steps.at(low).rank <= steps.at(high).rank


@every_case(
    ("said", "grade"),
    [
        ("Mint", "as made"),
        ("excellent vintage condition", "as made"),
        ("nice vintage condition", "light wear"),
        ("some wear consistent with age", "light wear"),
        ("very good", "light wear"),
        ("Good; clasp works", "light wear"),
        ("fair", "worn"),
        ("poor", "damaged"),
        ("sold as found", "damaged"),
        ("for parts or repair", "for parts"),
        ("excellent, but one stone is poor", "damaged"),
        ("not mint", None),
        ("", None),
        ("lovely", None),
    ],
)
def test_sellers_words_stand_for_a_step_of_the_ladder(said: str, grade: str | None) -> None:
    found = ladder(shipped()).in_words(said)

    assert (found.words if found is not None else None) == grade


@every_case(
    ("note", "words"),
    [
        ("brooch, excellent", "as made"),
        ("brooch, good vintage condition", "light wear"),
        ("brooch, as found", "damaged"),
        ("brooch, for crafts", "for parts"),
        ("brooch", "not stated"),
        ("brooch, seller says mint", "not stated"),
        ("brooch, excellent patina", "not stated"),
    ],
)
def test_words_of_a_note_state_the_grade(note: str, words: str) -> None:
    assert condition(note).words == words


def test_the_worst_of_what_is_said_and_what_was_seen_counts() -> None:
    assert condition("brooch, excellent, one stone missing").words == "worn"
    assert condition("brooch, poor, light scratches").words == "damaged"


def test_faults_that_contradict_what_is_said_are_told_so() -> None:
    found = condition("brooch, excellent condition, one stone missing")

    assert found.against.startswith("Said to be “excellent condition”; and yet: ")
    assert "stones are gone" in found.against
    assert not condition("brooch, fair condition, light scratches").against


def test_the_words_stand_without_what_leads_up_to_them() -> None:
    assert [each.words for each in condition("brooch. condition: VGC").said] == ["VGC"]


def test_what_was_only_told_is_kept_apart() -> None:
    found = condition("brooch, dealer said very good condition")

    assert [(each.grade.words, each.told) for each in found.said] == [("light wear", True)]
    assert not found.stated


def test_mending_leaves_what_was_stated_beyond_the_faults() -> None:
    base = shipped()
    poor = condition("brooch, poor, one stone missing")
    fair = condition("brooch, fair, one stone missing")

    assert grade_without(base, poor, ["missing-stones"]).words == "damaged"
    assert grade_without(base, fair, ["missing-stones"]).rank == 0


@every_case(
    ("cell", "grade"),
    [
        ("neuwertig", "as-made"),
        ("zustand: sehr gut", "light-wear"),
        ("gut condition", "light-wear"),
        ("très bon état", "light-wear"),
        ("en mal estado", "damaged"),
        ("buone condizioni", "light-wear"),
        ("defekt", "damaged"),
        ("rotto", "for-parts"),
        ("gebraucht", "worn"),
    ],
)
def test_condition_is_read_in_the_words_of_neighbours(cell: str, grade: str) -> None:
    seen = shipped_reader().read(Request(f"brooch, gold tone, {cell}", next_looks=0)).observations
    assert [each.value for each in seen if each.feature == "stated-condition"] == [grade]
    assert not [each for each in seen if each.feature == "organic"]
