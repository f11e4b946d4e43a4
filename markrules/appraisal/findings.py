"""Which findings of the rules hold for a piece, also for the piece as it would be once mended."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from functools import lru_cache
from typing import Literal

from markrules.frozen import dataclass
from markrules.inference.held import hold
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.knowledge.rule_matching import HeldRules, Matcher
from markrules.language.conditions import And, AtLeast, Condition, Is, Not, Or

FAULT = "fault"

Effect = Literal["first", "against", "toward", "done"]
_EFFECTS: tuple[Effect, ...] = ("first", "against", "toward", "done")


@dataclass(frozen=True, slots=True)
class Speaks:
    """A finding that speaks on what to do: `effect` on `choice`, in the rule's words.

    `about` tells what for.
    """

    finding: str
    effect: Effect
    choice: str
    about: str
    say: str


def speaks(base: KnowledgeBase, found: Collection[str], also: Collection[str] = ()) -> list[Speaks]:
    """What the findings that hold advise to do; `also` holds matters that hold besides.

    A finding that advises `against lot signed` speaks also when `signed` is among `also`; that a
    thing is done with needs the finding itself.
    """
    spoken = []
    for name, finding in base.findings.items():
        advice = finding.advise
        if advice is None:
            continue
        effect = next((each for each in _EFFECTS if each == advice.effect), None)
        if effect is not None and (name in found or (advice.about in also and effect != "done")):
            spoken.append(Speaks(name, effect, advice.choice, advice.about, finding.say))
    return spoken


def findings_with(
    base: KnowledgeBase, observations: Sequence[Observation], piece_type: str = ""
) -> tuple[str, ...]:
    """The names of all findings that a reading of these observations would have."""
    return _held(base, observations, piece_type).findings


def cautions_with(
    base: KnowledgeBase, observations: Sequence[Observation], piece_type: str = ""
) -> tuple[str, ...]:
    """The names of all cautions that a reading of these observations would have."""
    return _held(base, observations, piece_type).cautions


def without_faults(
    observations: Sequence[Observation], faults: Collection[str]
) -> tuple[Observation, ...]:
    """The observations, less those of the given faults."""
    return tuple(
        each for each in observations if not (each.feature == FAULT and each.value in faults)
    )


def advising(base: KnowledgeBase, effect: str, choice: str, about: str) -> str:
    """The name of the finding that gives this advice; empty where none does."""
    wanted = (effect, choice, about)
    for name, finding in base.findings.items():
        each = finding.advise
        if each is not None and (each.effect, each.choice, each.about) == wanted:
            return name
    return ""


def faults_named(base: KnowledgeBase, finding: str) -> frozenset[str]:
    """The faults that a finding's condition names; empty where the rules have no such finding."""
    entry = base.findings.get(finding)
    if entry is None:
        return frozenset()
    return frozenset(
        value.name
        for part in _atoms(entry.when)
        if isinstance(part, Is) and part.feature.name == FAULT
        for value in part.values
    )


def _atoms(condition: Condition) -> Iterator[Condition]:
    if isinstance(condition, And | Or | AtLeast):
        for part in condition.parts:
            yield from _atoms(part)
    elif not isinstance(condition, Not):
        yield condition


def _held(base: KnowledgeBase, observations: Sequence[Observation], piece_type: str) -> HeldRules:
    return hold(_matcher(base), base, observations, piece_type=piece_type).matched


@lru_cache(maxsize=4)
def _matcher(base: KnowledgeBase) -> Matcher:
    return Matcher(base)
