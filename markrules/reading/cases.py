"""Worked examples in the rules: each is read, and what it expects is compared."""

from __future__ import annotations

from collections.abc import Iterable

from markrules.inference.reading import Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.conditions import Facts, evaluate
from markrules.knowledge.observation import Observation
from markrules.language.conditions import (
    And,
    Between,
    Compare,
    Condition,
    Is,
    IsAbsent,
    IsNot,
    Says,
)
from markrules.language.problems import Problem
from markrules.language.tree import Case, Expect
from markrules.reading.reader import Reader, Request

CASE_LAST_YEAR = 2026
"""The grid of years for worked examples ends here, so that they do not change with the clock."""


def check_cases(base: KnowledgeBase) -> tuple[Problem, ...]:
    """A problem for each expectation of a worked example that does not hold."""
    reader = Reader(base, CASE_LAST_YEAR)
    return tuple(problem for case in base.cases.values() for problem in check_case(reader, case))


def check_case(reader: Reader, case: Case) -> tuple[Problem, ...]:
    """What one worked example expects and the reading does not bear out."""
    notes = [given for given in case.given if isinstance(given, str)]
    conditions = [given for given in case.given if not isinstance(given, str)]
    observations = tuple(one for each in conditions for one in as_observations(each))
    # No expectation speaks of next looks, and finding them takes most of a reading.
    reading = reader.read(Request(", ".join(notes), observations, next_looks=0))
    return tuple(
        Problem("case-fails", f"in case {case.name}: {text}", expect.span)
        for expect in case.expect
        if (text := unmet(reading, expect))
    )


def as_observations(condition: Condition) -> tuple[Observation, ...]:
    """The observations that make a simple condition true.

    Raises ValueError for conditions that no single look can make true (or, not, at least,
    findings); the checker lets none of those stand in `given`.
    """
    match condition:
        case And(parts):
            return tuple(one for part in parts for one in as_observations(part))
        case Is(feature, values):
            return (Observation(feature.name, values[0].name),)
        case IsNot(feature, values):
            return tuple(
                Observation(feature.name, value.name, state="ruled-out") for value in values
            )
        case IsAbsent(feature):
            return (Observation(feature.name, state="absent"),)
        case Says(feature, texts):
            return (Observation(feature.name, texts[0]),)
        case Compare(feature, sign, quantity):
            step = {"<": -1, "<=": 0, ">": 1, ">=": 0}[sign]
            return (Observation(feature.name, number=quantity.number + step),)
        case Between(feature, low, high):
            return (Observation(feature.name, number=(low.number + high.number) / 2),)
    raise ValueError(f"cannot be given as seen: {condition}")


def unmet(reading: Reading, expect: Expect) -> str:
    """What is wrong, in words, or the empty text where the expectation holds."""
    span = reading.date.range
    got = f"{span.first} to {span.last}"
    if expect.kind == "years":
        first, last = expect.years
        inside = first <= span.first and span.last <= last
        return "" if inside == expect.wanted else _text(expect, f"years {first} to {last}", got)
    if expect.kind == "year":
        year = expect.years[0]
        holds = span.first <= year <= span.last
        return "" if holds == expect.wanted else _text(expect, f"year {year}", got)
    if expect.kind == "sees":
        assert expect.condition is not None
        holds = evaluate(expect.condition, Facts(reading.observations), _found(reading)) is True
        seen = ", ".join(
            f"{each.feature}={each.value or each.state}" for each in reading.observations
        )
        return "" if holds == expect.wanted else _text(expect, "what is to be seen", seen)
    assert expect.name is not None
    names = list(_names(reading, expect.kind))
    holds = expect.name.name in names
    wanted = f"{expect.kind} {expect.name}"
    return "" if holds == expect.wanted else _text(expect, wanted, ", ".join(names) or "none")


def _names(reading: Reading, kind: str) -> Iterable[str]:
    match kind:
        case "clue":
            return (each.clue for each in reading.clues)
        case "type":
            return (each.type for each in reading.types)
        case "misleading":
            return (each.name for each in reading.misleading)
        case "finding":
            return reading.findings
        case "sign":
            return (each.sign for each in reading.signs)
        case "fault":
            return (each.fault for each in reading.faults)
        case "caution":
            return (each.caution for each in reading.cautions)
        case "maker":
            return (each.maker for each in reading.makers[:1])
    return ()


def _found(reading: Reading) -> frozenset[str]:
    return frozenset(reading.findings)


def _text(expect: Expect, wanted: str, got: str) -> str:
    return f"expected {'' if expect.wanted else 'not '}{wanted}, but got {got}"
