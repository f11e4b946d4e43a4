"""A guided look: what is asked at once, what is passed over, and why it ends."""

from __future__ import annotations

import pytest
from shipped_base import shipped_base, shipped_reader
from together import every_case

from markrules.inference.reading import Reading
from markrules.inference.settings import settings_of
from markrules.knowledge.observation import Observation
from markrules.reading.reader import Request
from markrules.tasks.looking import (
    ALL_LOOKS,
    MOST_TOGETHER,
    Look,
    Session,
    question_of,
    why_enough,
)


def reading_of(note: str) -> Reading:
    return shipped_reader().read(Request(note, next_looks=ALL_LOOKS))


def asked(note: str, passed: tuple[str, ...] = ()) -> list[str]:
    question = question_of(shipped_base(), reading_of(note), passed)
    return [each.feature for each in question.looks] if question is not None else []


def test_what_one_turn_shows_is_asked_at_once_in_the_order_of_the_rules() -> None:
    entry = shipped_base().together["back-of-a-pin"]
    found = asked("brooch")

    assert 2 <= len(found) <= MOST_TOGETHER
    assert found == [each.name for each in entry.of if each.name in found]


def test_a_screen_is_worth_its_parts_less_one_answer() -> None:
    question = question_of(shipped_base(), reading_of("brooch"))

    assert question is not None
    cost = settings_of(shipped_base()).answer_cost
    assert question.worth == pytest.approx(sum(each.beside for each in question.looks) - cost)
    assert all(each.beside > 0 for each in question.looks)


def test_nothing_is_asked_that_is_known_or_was_passed_over() -> None:
    first = asked("brooch")
    known, passed = first[0], tuple(first[1:3])

    later = asked(f"brooch, {known.replace('-', ' ')} none", passed)
    seen: set[str] = set()
    note = "brooch, rollover catch, ball hinge, gold tone, rhinestones, unsigned"
    reading, over = reading_of(note), passed
    while (question := question_of(shipped_base(), reading, over)) is not None:
        names = {each.feature for each in question.looks}
        assert not names & seen
        seen |= names
        over += tuple(names)

    assert not set(later) & set(passed)
    told = {each.feature for each in reading.observations}
    assert seen
    assert not seen & told


def test_one_thing_is_asked_where_one_is_wanted() -> None:
    question = question_of(shipped_base(), reading_of("brooch"), single=True)

    assert question is not None
    assert len(question.looks) == 1
    assert question.worth == max(each.worth for each in reading_of("brooch").next)


@every_case(
    ("note", "ruled_out"),
    [
        ("brooch, rollover catch", {"clip-mechanism", "eagle-number"}),
        ("bracelet, link bracelet", {"bangle-hinge", "fob-part"}),
        ("earrings, shepherd hooks", {"ear-pad"}),
        ("necklace, hand knotted", {"back-texture", "fob-part"}),
    ],
)
def test_what_the_rest_rules_out_is_not_asked_for(note: str, ruled_out: set[str]) -> None:
    over: tuple[str, ...] = ()
    asked_for: list[str] = []
    while names := asked(note, over):
        asked_for += names
        over += tuple(names)

    assert asked_for
    assert not ruled_out & set(asked_for)


@pytest.mark.parametrize(
    ("note", "asked_about"),
    [
        ("pendant, silver, marked MEXICO", True),
        ("brooch, gold tone, rhinestones", False),
        ("ring, marked STERLING", False),
    ],
)
def test_state_marks_are_asked_for_where_they_are_likely(note: str, asked_about: bool) -> None:
    over: tuple[str, ...] = ()
    found: set[str] = set()
    while names := asked(note, over):
        found |= set(names)
        over += tuple(names)

    assert ("hallmark-mark" in found) is asked_about


def test_stones_that_are_not_there_are_not_asked_for() -> None:
    session = Session(shipped_reader(), [Look("brooch")])
    session.answer(Observation("stone-kind", state="absent"))
    of_stones = {"stone-cut", "stone-coating", "stone-back", "stone-seating", "setting"}

    while (question := session.question(session.reading())) is not None:
        names = [each.feature for each in question.looks]
        assert not of_stones & set(names)
        session.skip(*names)


def test_marks_of_state_are_not_asked_for_on_costume() -> None:
    session = Session(shipped_reader(), [Look("brooch, gold tone, rhinestones")])

    while (question := session.question(session.reading())) is not None:
        names = [each.feature for each in question.looks]
        assert "hallmark-mark" not in names
        session.skip(*names)


def test_it_ends_with_a_reason_that_names_the_best_look_left() -> None:
    session = Session(shipped_reader(), [Look("ring")])
    while (question := session.question(session.reading())) is not None:
        session.skip(*(each.feature for each in question.looks))
    reading = session.reading()
    left = [each for each in reading.next if each.feature not in session.passed]

    said = why_enough(reading, session.passed)

    assert "pass over" in said
    assert max(left, key=lambda each: each.worth).ask in said
    assert all(each.worth <= 0 for each in left)


def test_an_answer_and_what_nobody_knew_are_one_step() -> None:
    session = Session(shipped_reader(), [Look("brooch")])
    session.answer(Observation("catch", "rollover"), unknown=("hinge", "pin-stem"))

    assert session.passed == ("hinge", "pin-stem")
    assert session.back()
    assert session.passed == ()
    assert session.past == [Look("brooch")]


def test_what_is_asked_together_can_be_asked() -> None:
    for entry in shipped_base().together.values():
        for each in entry.of:
            feature = shipped_base().features[each.name]
            assert feature.ask, feature.name
            assert feature.values, feature.name
            assert not feature.describes, feature.name
