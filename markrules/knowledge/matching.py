"""Which rules hold for a piece: findings first, each after what it rests on, then the rest."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from heapq import heapify, heappop, heappush
from typing import TypeAlias

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.conditions import Compiler
from markrules.knowledge.facts import Facts, Positions, phrase
from markrules.knowledge.support import Supporter
from markrules.language.checks.findings import dependencies, derived, layers
from markrules.language.collector import paused
from markrules.language.conditions import (
    ON_A_FEATURE,
    And,
    AtLeast,
    Condition,
    Found,
    Is,
    Or,
    Says,
    atoms,
)
from markrules.language.tree import Caution, Clue, Sign, Type

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


@dataclass(frozen=True, slots=True)
class Matched:
    """Names of the entries that hold, in the order of the rules.

    For each clue and type, the positions of the observations that made it hold. `facts` are the
    facts given and those that follow from them.
    """

    clues: tuple[tuple[str, Positions], ...]
    findings: tuple[str, ...]
    signs: tuple[str, ...]
    faults: tuple[str, ...]
    cautions: tuple[str, ...]
    facts: Facts
    types: tuple[tuple[str, Positions], ...] = ()


@dataclass(frozen=True, slots=True)
class _Rule:
    kind: str
    name: str
    when: Condition
    on: frozenset[str]


class Matcher:
    """Matches facts against all rules of a base; build it once."""

    def __init__(self, base: KnowledgeBase) -> None:
        """Indexes every rule by the facts it cannot do without; compiles none before its time."""
        self._compiler = Compiler(base)
        with paused():
            self._index_rules(base)

    def _index_rules(self, base: KnowledgeBase) -> None:
        self._rules = [
            *_rules_of("clue", base.clues.values()),
            *_rules_of("type", base.types.values()),
            *_rules_of("sign", base.signs.values()),
            *_rules_of("caution", base.cautions.values()),
        ]
        self._index = _indexed([rule.when for rule in self._rules])
        findings = {each.name: each for each in derived(base.findings, base.faults)}
        order = layers(dependencies(findings.values()))
        self._derived = [findings[name] for group in order for name in group]
        self._derived_index = _indexed([each.when for each in self._derived])
        self._fault_order = {name: at for at, name in enumerate(base.faults)}

    def match(self, facts: Facts) -> Matched:
        """All that holds, given the facts."""
        facts, found = self._chained(facts)
        supporter = Supporter(self._compiler, facts, found)
        held: dict[str, list[str]] = {"clue": [], "sign": [], "caution": []}
        dated: dict[str, list[tuple[str, Positions]]] = {"clue": [], "type": []}
        known = present(facts)
        known.update(("", name) for name in found)
        for at in _touched(self._index, known):
            rule = self._rules[at]
            if rule.on and not facts.is_on(rule.on):
                continue
            if self._compiler.test(rule.when)(facts, found) is not True:
                continue
            if rule.kind in dated:
                dated[rule.kind].append((rule.name, supporter.used(rule.when)))
            else:
                held[rule.kind].append(rule.name)
        faults = (name for name in facts.values.get("fault", ()) if name in self._fault_order)
        return Matched(
            clues=tuple(dated["clue"]),
            findings=tuple(name for name in found if " " not in name),
            signs=tuple(held["sign"]),
            faults=tuple(sorted(faults, key=self._fault_order.__getitem__)),
            cautions=tuple(held["caution"]),
            facts=facts,
            types=tuple(dated["type"]),
        )

    def _chained(self, facts: Facts) -> tuple[Facts, dict[str, Positions]]:
        """The facts with all that follows, and the findings with what each rests on.

        Findings stand so that each comes after all that it rests on; one that holds wakes
        those that may rest on it. In a circle (a warning of the checker) a finding is tried
        again when another wakes it, so that the end is a fixed point all the same.
        """
        found: dict[str, Positions] = {}
        waiting = _touched(self._derived_index, present(facts))
        heapify(waiting)
        while waiting:
            at = heappop(waiting)
            finding = self._derived[at]
            test = self._compiler.test(finding.when)
            if finding.name in found or test(facts, found) is not True:
                continue
            positions = Supporter(self._compiler, facts, found).used(finding.when)
            found[finding.name] = positions
            woken: list[Trigger] = [("", finding.name)]
            if finding.means is not None:
                feature, value = (each.name for each in finding.means)
                if self._is_open(facts, feature, value):
                    facts = facts.with_value(feature, value, positions)
                    woken += [(feature, value), (feature, "")]
            for trigger in woken:
                for other in self._derived_index.get(trigger, ()):
                    heappush(waiting, other)
        return facts, found

    def _is_open(self, facts: Facts, feature: str, value: str) -> bool:
        """True if a value may be inferred: what was seen outranks what follows."""
        if (feature, value) in facts.ruled_out or feature in facts.absent:
            return False
        one_only = self._compiler.kind(feature) == "choice"
        return not (one_only and feature in facts.values)


def _rules_of(kind: str, entries: Iterable[Clue | Type | Sign | Caution]) -> list[_Rule]:
    rules = []
    for entry in entries:
        on = () if isinstance(entry, Caution) else entry.on
        rules.append(_Rule(kind, entry.name, entry.when, frozenset(each.name for each in on)))
    return rules


def _indexed(conditions: Sequence[Condition]) -> Mapping[Trigger, Sequence[int]]:
    index: dict[Trigger, list[int]] = defaultdict(list)
    for at, condition in enumerate(conditions):
        for trigger in triggers(condition):
            index[trigger].append(at)
    return dict(index)


def _touched(index: Mapping[Trigger, Sequence[int]], known: Iterable[Trigger]) -> list[int]:
    """Positions of the conditions that may hold, rising."""
    return sorted({at for trigger in known for at in index.get(trigger, ())})
