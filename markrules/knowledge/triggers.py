"""The facts that wake a rule: those of which at least one must be there for it to hold."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, TypeAlias

from markrules.knowledge.facts import Facts, phrase
from markrules.language.conditions import (
    ON_A_FEATURE,
    And,
    AtLeast,
    Before,
    Condition,
    Found,
    Is,
    OfType,
    OfTypeUntil,
    Or,
    Says,
    atoms,
)

# (feature, value), (feature, run of words), (feature, "") for anything known of a feature,
# or ("", finding).
Trigger: TypeAlias = tuple[str, str]


def triggers(condition: Condition) -> frozenset[Trigger]:
    """Facts of which at least one must be there for the condition to hold."""
    match condition:
        case Is(feature, values):
            return frozenset((feature.name, value.name) for value in values)
        case Says(feature, texts):
            return frozenset((feature.name, f'"{phrase(text)}') for text in texts)
        case And(parts):
            # Any one part will do, for all must hold: take the most telling.
            return min(map(triggers, parts), key=_breadth)
        case Or(parts) | AtLeast(_, parts):
            return frozenset().union(*map(triggers, parts))
        case Found(finding):
            found = {("", finding.name)}
        case OfType(kind):
            found = {("", f"type {kind.name}")}
        case OfTypeUntil():
            found = {("", condition.found_as)}
        case _:
            found = set(_mentioned(condition))
    return frozenset(found)


def _breadth(found: frozenset[Trigger]) -> tuple[bool, int]:
    """How often these facts are likely met: whole features most, then the number of values."""
    return any(not value for _, value in found), len(found)


def _mentioned(condition: Condition) -> Iterator[Trigger]:
    for atom, _ in atoms(condition):
        if isinstance(atom, Found):
            # It can be known not to hold without being found: through what it rests on.
            yield ("", "")
        elif isinstance(atom, ON_A_FEATURE):
            yield (atom.feature.name, "")
        elif isinstance(atom, Before):
            # Either side may stand for many features.
            yield ("", "")


def present(facts: Facts) -> set[Trigger]:
    """The triggers that the facts hold."""
    found: set[Trigger] = {("", ""), *facts.seen}
    for known in (facts.touched, facts.absent):
        found.update((feature, "") for feature in known)
    found.update((feature, "") for feature, _ in facts.ruled_out)
    for feature, texts in facts.texts.items():
        found.update((feature, f'"{run}') for text in texts for run in text.runs)
    return found


class KeptIndex:
    """Positions of rules by trigger, as kept."""

    def __init__(self, kept: Mapping[str, Any], name: str) -> None:
        """`name` is that under which `indexed` made its part of what was kept."""
        self._kept = kept
        self._name = name
        self._of: dict[str, Mapping[str, Sequence[int]]] = {}

    def get(self, trigger: Trigger) -> Sequence[int]:
        """Positions of the rules that may hold by this trigger, rising."""
        feature, value = trigger
        found = self._of.get(feature)
        if found is None:
            found = self._of[feature] = self._kept.get(f"{self._name}:{feature}", _NOTHING)
        return found.get(value, ())


_NOTHING: Mapping[str, Sequence[int]] = {}


def indexed(name: str, conditions: Sequence[Condition]) -> dict[str, dict[str, list[int]]]:
    """Positions of the conditions by what wakes them, to be kept under this name."""
    index: defaultdict[str, defaultdict[str, list[int]]] = defaultdict(lambda: defaultdict(list))
    for at, condition in enumerate(conditions):
        for feature, value in triggers(condition):
            index[f"{name}:{feature}"][value].append(at)
    return {part: dict(values) for part, values in index.items()}


def touched(index: KeptIndex, known: Iterable[Trigger]) -> list[int]:
    """Positions of the conditions that may hold, rising."""
    found: set[int] = set()
    for some in map(index.get, known):
        if some:
            found.update(some)
    return sorted(found)
