"""Without which facts a condition cannot hold: so that only rules that may hold are tried."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeAlias

from markrules.knowledge.facts import Facts
from markrules.knowledge.phrases import phrase
from markrules.language.conditions import ON_A_FEATURE, atoms
from markrules.language.tree import And, AtLeast, Condition, Found, Is, Or, Says

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


def present(facts: Facts) -> set[Trigger]:
    """The triggers that the facts hold."""
    found: set[Trigger] = {("", ""), *facts.seen}
    for known in (facts.touched, facts.absent):
        found.update((feature, "") for feature in known)
    found.update((feature, "") for feature, _ in facts.ruled_out)
    for feature, texts in facts.texts.items():
        found.update((feature, f'"{run}') for text in texts for run in text.runs)
    return found
