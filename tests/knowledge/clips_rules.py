"""Our conditions told to CLIPS, the expert-system tool from NASA, for a second opinion.

CLIPS 6.4 Basic Programming Guide, chapter 5 (defrule): patterns, `or`, `not`, constraints.
What is known is told to it as facts: (obs FEATURE VALUE), with the values `@seen` and `@absent`
for the feature as a whole, `-VALUE` for one ruled out and `"RUN` for each run of words of a text;
(num FEATURE LOW HIGH) for numbers. Three values need no third truth: a condition and its denial
are two patterns, and both fail where nobody looked.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import Any

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.conditions import Compiler
from markrules.knowledge.facts import Facts, phrase
from markrules.language.conditions import (
    And,
    AtLeast,
    Between,
    Compare,
    Condition,
    Found,
    Is,
    IsAbsent,
    IsNot,
    IsSeen,
    Not,
    Or,
    Says,
)

TEMPLATES = (
    "(deftemplate obs (slot feature) (slot value))",
    "(deftemplate num (slot feature) (slot low) (slot high))",
    "(deftemplate holds (slot clue))",
)


def quoted(text: str) -> str:
    """A CLIPS string."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def obs(feature: str, value: str) -> str:
    """The pattern, or fact, of one thing known."""
    return f"(obs (feature {quoted(feature)}) (value {quoted(value)}))"


class Translator:
    """Conditions of one base as the left-hand sides of CLIPS rules."""

    def __init__(self, base: KnowledgeBase) -> None:
        """Kinds and units come from the base."""
        self._compiler = Compiler(base)
        self._count = 0

    def rule(self, name: str, condition: Condition) -> str:
        """A rule that asserts (holds (clue NAME)) where the condition holds."""
        left = self.pattern(condition, True)
        return f"(defrule r-{name} {left} => (assert (holds (clue {quoted(name)}))))"

    def pattern(self, condition: Condition, wanted: bool) -> str:
        """What must match for the condition to be known as true, or as false."""
        match condition:
            case Not(part):
                left = self.pattern(part, not wanted)
            case And(parts) | Or(parts):
                inner = " ".join(self.pattern(part, wanted) for part in parts)
                left = f"({'and' if isinstance(condition, And) == wanted else 'or'} {inner})"
            case AtLeast(count, parts):
                left = self._at_least(count, parts, wanted)
            case IsNot(feature, values):
                left = self.pattern(Is(feature, values), not wanted)
            case Found(finding):
                left = obs("@finding", finding.name if wanted else f"-{finding.name}")
            case IsSeen(feature) | IsAbsent(feature):
                left = self._seen(feature.name, isinstance(condition, IsSeen) == wanted)
            case Is(feature, values):
                left = self._is(feature.name, [value.name for value in values], wanted)
            case Says(feature, texts):
                left = self._says(feature.name, [phrase(text) for text in texts], wanted)
            case Compare() | Between():
                left = self._number(condition, wanted)
        return left

    def _at_least(self, count: int, parts: tuple[Condition, ...], wanted: bool) -> str:
        size = count if wanted else len(parts) - count + 1
        ways = " ".join(
            f"(and {' '.join(self.pattern(part, wanted) for part in way)})"
            for way in combinations(parts, size)
        )
        return f"(or {ways})"

    def _seen(self, feature: str, seen: bool) -> str:
        missing = f"(not {obs(feature, '@seen')})"
        absent = f"(and {obs(feature, '@absent')} {missing})"
        return obs(feature, "@seen") if seen else absent

    def _is(self, feature: str, values: list[str], wanted: bool) -> str:
        if wanted:
            return f"(or {' '.join(obs(feature, value) for value in values)})"
        one_only = self._compiler.kind(feature) == "choice"
        return f"(and {' '.join(self._is_no(feature, value, one_only) for value in values)})"

    def _is_no(self, feature: str, value: str, one_only: bool) -> str:
        ways = [obs(feature, f"-{value}"), obs(feature, "@absent")]
        if one_only:
            ways.append(obs(feature, "@seen"))
        return f"(and (or {' '.join(ways)}) (not {obs(feature, value)}))"

    def _says(self, feature: str, phrases: list[str], wanted: bool) -> str:
        runs = [obs(feature, f'"{each}') for each in phrases]
        if wanted:
            return f"(or {' '.join(runs)})"
        known = f"(or {obs(feature, '@seen')} {obs(feature, '@absent')})"
        return f"(and {known} {' '.join(f'(not {run})' for run in runs)})"

    def _number(self, condition: Compare | Between, wanted: bool) -> str:
        assert wanted, "no rule denies a comparison"
        feature = condition.feature
        self._count += 1
        low, high = f"?low{self._count}", f"?high{self._count}"
        if isinstance(condition, Compare):
            edge = self._compiler.number(feature, condition.quantity)
            end = low if condition.sign[0] == ">" else high
            test = f"({condition.sign} {end} {edge})"
        else:
            least = self._compiler.number(feature, condition.low)
            most = self._compiler.number(feature, condition.high)
            test = f"(and (<= {least} {low}) (<= {high} {most}))"
        number = f"(num (feature {quoted(feature.name)}) (low {low}) (high {high}))"
        return f"(and {number} (test {test}))"


def facts_for_clips(facts: Facts, found: Iterator[str] | tuple[str, ...]) -> list[str]:
    """Everything known, as CLIPS facts."""
    told = [obs(feature, value) for feature, value in facts.seen]
    told += [obs(feature, f"-{value}") for feature, value in facts.ruled_out]
    told += [obs(feature, "@seen") for feature in facts.touched]
    told += [obs(feature, "@absent") for feature in facts.absent]
    for feature, texts in facts.texts.items():
        runs = {run for text in texts for run in text.runs}
        told += [obs(feature, f'"{run}') for run in runs]
    for feature, numbers in facts.numbers.items():
        told += [
            f"(num (feature {quoted(feature)}) (low {number.low}) (high {number.high}))"
            for number in numbers
        ]
    told += [obs("@finding", name) for name in found]
    return told


def environment(base: KnowledgeBase) -> Any:
    """A CLIPS environment that holds one rule for each clue of the base."""
    import clips

    made = clips.Environment()
    translator = Translator(base)
    for template in TEMPLATES:
        made.build(template)
    for name, clue in base.clues.items():
        made.build(translator.rule(name, clue.when))
    return made


def matched_by_clips(made: Any, facts: Facts, found: Iterator[str] | tuple[str, ...]) -> set[str]:
    """The clues that hold, as CLIPS sees it."""
    made.reset()
    for fact in facts_for_clips(facts, found):
        made.assert_string(fact)
    made.run()
    return {fact["clue"] for fact in made.facts() if fact.template.name == "holds"}
