"""What could be mended at home, what it would change, and what would still be wrong."""

from __future__ import annotations

from fractions import Fraction

from markrules.appraisal.condition import Condition, Flaw, GradeStep, grade_without
from markrules.appraisal.findings import (
    advising,
    faults_named,
    findings_with,
    speaks,
    without_faults,
)
from markrules.frozen import dataclass
from markrules.inference.reading import Reading
from markrules.knowledge.base import KnowledgeBase

STONE_FINDINGS = ("stone-is-wanting", "stone-does-not-match", "stone-has-failed")


@dataclass(frozen=True, slots=True)
class Mending:
    """The faults that mend at home; none where mending would change nothing.

    `gain` is the price once mended beside the price as it is, and `pair_gain` that once the
    other half is found. `still_against` says why it could not be sold alone even then.
    """

    faults: tuple[Flaw, ...]
    stones: int
    mends: int
    grade: GradeStep
    gain: Fraction
    pair_gain: Fraction
    still_against: tuple[str, ...]


def mending_of(base: KnowledgeBase, reading: Reading, condition: Condition) -> Mending | None:
    """What mending at home would do; None for a piece without faults."""
    if not condition.flaws:
        return None
    faults = condition.mendable
    names = frozenset(flaw.fault for flaw in faults)
    left = findings_with(base, without_faults(reading.observations, names), reading.piece_type)
    grade = grade_without(base, condition, names)
    barred = speaks(base, left)
    still = tuple(each.say for each in barred if (each.effect, each.choice) == ("against", "alone"))
    helps = grade.rank < condition.grade.rank or _barred(base, reading) > len(still)
    stone_faults = frozenset[str]().union(*(faults_named(base, name) for name in STONE_FINDINGS))
    stones = sum(flaw.count for flaw in faults if flaw.fault in stone_faults)
    return Mending(
        faults=faults if helps else (),
        stones=stones,
        mends=sum(flaw.fault not in stone_faults for flaw in faults),
        grade=grade,
        gain=_gain(condition.grade, grade),
        pair_gain=_gain(condition.grade, _paired(base, condition)),
        still_against=still,
    )


def _barred(base: KnowledgeBase, reading: Reading) -> int:
    spoken = speaks(base, reading.findings)
    return sum((each.effect, each.choice) == ("against", "alone") for each in spoken)


def _paired(base: KnowledgeBase, condition: Condition) -> GradeStep:
    return grade_without(
        base, condition, faults_named(base, advising(base, "toward", "pair", "whole"))
    )


def _gain(now: GradeStep, then: GradeStep) -> Fraction:
    return Fraction(then.share / now.share).limit_denominator(10_000)
