"""Three answers, True, False and None for unknown, and how they are put together.

Conjunction, disjunction and negation are those of Kleene's strong three-valued logic
(Introduction to Metamathematics, 1952, section 64).
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from typing import TypeAlias

from markrules.knowledge.facts import Facts, SeenNumber

Truth: TypeAlias = "bool | None"
# Takes the facts and the names of the findings that hold.
Test: TypeAlias = Callable[[Facts, Collection[str]], Truth]


def both(parts: Sequence[Test]) -> Test:
    """The test that all parts hold."""
    if len(parts) == 1:
        return parts[0]

    def test(facts: Facts, found: Collection[str]) -> Truth:
        answer: Truth = True
        for part in parts:
            truth = part(facts, found)
            if truth is False:
                return False
            if truth is None:
                answer = None
        return answer

    return test


def either(parts: Sequence[Test]) -> Test:
    """The test that some part holds."""
    if len(parts) == 1:
        return parts[0]

    def test(facts: Facts, found: Collection[str]) -> Truth:
        answer: Truth = False
        for part in parts:
            truth = part(facts, found)
            if truth is True:
                return True
            if truth is None:
                answer = None
        return answer

    return test


def negation(part: Test) -> Test:
    """The test that a part does not hold; unknown stays unknown."""

    def test(facts: Facts, found: Collection[str]) -> Truth:
        truth = part(facts, found)
        return None if truth is None else not truth

    return test


def of_number(feature: str, truth: Callable[[SeenNumber], Truth]) -> Test:
    """The test of a number: known to hold if it does for any number seen."""

    def test(facts: Facts, _: Collection[str]) -> Truth:
        numbers = facts.numbers.get(feature)
        if numbers is None:
            return False if feature in facts.absent else None
        answers = [truth(number) for number in numbers]
        return True if True in answers else None if None in answers else False

    return test
