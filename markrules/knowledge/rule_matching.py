"""Which rules hold for a piece: findings first, each after what it rests on, then the rest."""

from __future__ import annotations

from collections.abc import Sequence
from heapq import heapify, heappop, heappush
from typing import Any

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.conditions import Compiler
from markrules.knowledge.facts import Facts, Positions
from markrules.knowledge.kept_parts import Rows, rows_by_number
from markrules.knowledge.misled import MisledMatcher, misled_index
from markrules.knowledge.support import Supporter
from markrules.knowledge.triggers import KeptIndex, Trigger, indexed, present, touched
from markrules.knowledge.truth import Test
from markrules.knowledge.workings import NO_MAKERS
from markrules.language.collector import paused
from markrules.language.conditions import Condition
from markrules.language.tree import Caution, Clue, Finding, Sign, Type
from markrules.named_tuple import NamedTuple


@dataclass(frozen=True, slots=True)
class HeldRules:
    """Names of the entries that hold, in the order of the rules.

    For each clue and type, the positions of the observations that made it hold. `facts` are the
    facts given and those that follow from them. `misleading` are the misleading situations that
    hold, each with the positions of what was seen that it rests on.
    """

    clues: tuple[tuple[str, Positions], ...]
    findings: tuple[str, ...]
    signs: tuple[str, ...]
    faults: tuple[str, ...]
    cautions: tuple[str, ...]
    facts: Facts
    types: tuple[tuple[str, Positions], ...] = ()
    misleading: tuple[tuple[str, Positions], ...] = ()
    known: frozenset[str] = frozenset()


_HOMES = {"clue": "clues", "type": "types", "sign": "signs", "caution": "cautions"}
"""Kinds of rules, in their order, and the fields of the base that hold them."""


class _Rule(NamedTuple):
    """A rule that was once woken: its kind, its name, the piece types it is for, and its test."""

    kind: str
    name: str
    on: frozenset[str]
    when: Condition
    test: Test


class _Following(NamedTuple):
    """A finding that was once woken, with its tests."""

    finding: Finding
    test: Test
    unless: Test | None


class Matcher:
    """Matches facts against all rules of a base; build it once."""

    def __init__(self, base: KnowledgeBase) -> None:
        """Indexes every rule by the facts it cannot do without; compiles none before its time."""
        self._base = base
        self._compiler = Compiler(base)
        kept = base.workings.parts("rules", lambda: _worked_out(base), apart_from=NO_MAKERS)
        said = kept["rules"]
        self._rules: Sequence[tuple[str, str, Sequence[str]]] = Rows(kept["all-rules"])
        self._index = KeptIndex(kept, "rules")
        self._derived: Sequence[str] = said["derived"]
        self._derived_index = KeptIndex(kept, "derived")
        self._misled = MisledMatcher(base, self._compiler, kept)
        self._fault_order = {name: at for at, name in enumerate(said["faults"])}
        self._ready: dict[int, _Rule] = {}
        self._following: dict[int, _Following] = {}

    def _finding(self, name: str) -> Finding:
        """A finding, or a fault that follows from a condition as one."""
        if name in self._base.findings:
            return self._base.findings[name]
        from markrules.language.checks.circles import FAULT, derived

        fault = self._base.faults[name.removeprefix(FAULT)]
        return next(derived({}, {fault.name: fault}))

    def match(self, facts: Facts, told: Facts | None = None) -> HeldRules:
        """All that holds, given the facts; `told` are those that were told and not seen."""
        facts, found = self._chained(facts)
        supporter = Supporter(self._compiler, facts, found)
        held: dict[str, list[str]] = {"clue": [], "sign": [], "caution": []}
        dated: dict[str, list[tuple[str, Positions]]] = {"clue": [], "type": []}
        known = present(facts)
        known.update(("", name) for name in found)
        for at in touched(self._index, known):
            rule = self._ready.get(at) or self._rule(at)
            if rule.on and not facts.is_on(rule.on):
                continue
            if rule.test(facts, found) is not True:
                continue
            if rule.kind in dated:
                dated[rule.kind].append((rule.name, supporter.of_true(rule.when)))
            else:
                held[rule.kind].append(rule.name)
        told = told or Facts(())
        misled = tuple(self._misled.match(facts, found, told, dated["type"], known))
        faults = (name for name in facts.values.get("fault", ()) if name in self._fault_order)
        return HeldRules(
            clues=tuple(dated["clue"]),
            findings=tuple(name for name in found if " " not in name),
            signs=tuple(held["sign"]),
            faults=tuple(sorted(faults, key=self._fault_order.__getitem__)),
            cautions=tuple(held["caution"]),
            facts=facts,
            types=tuple(dated["type"]),
            misleading=misled,
            known=self._misled.known((name for name, _ in misled), facts, found, told),
        )

    def _rule(self, at: int) -> _Rule:
        kind, name, on = self._rules[at]
        when: Condition = getattr(self._base, _HOMES[kind])[name].when
        rule = _Rule(kind, name, frozenset(on), when, self._compiler.test(when))
        self._ready[at] = rule
        return rule

    def _derivation(self, at: int) -> _Following:
        finding = self._finding(self._derived[at])
        test = self._compiler.test
        unless = test(finding.unless) if finding.unless is not None else None
        made = _Following(finding, test(finding.when), unless)
        self._following[at] = made
        return made

    def _chained(self, facts: Facts) -> tuple[Facts, dict[str, Positions]]:
        """The facts with all that follows, and the findings with what each rests on.

        Findings stand so that each comes after all that it rests on; one that holds wakes
        those that may rest on it. In a circle (a warning of the checker) a finding is tried
        again when another wakes it, so that the end is a fixed point all the same.
        """
        found: dict[str, Positions] = {}
        waiting = touched(self._derived_index, present(facts))
        heapify(waiting)
        while waiting:
            at = heappop(waiting)
            finding, test, unless = self._following.get(at) or self._derivation(at)
            if finding.name in found or test(facts, found) is not True:  # it may be woken again
                continue
            if unless is not None and unless(facts, found) is True:
                continue
            positions = Supporter(self._compiler, facts, found).of_true(finding.when)
            found[finding.name] = positions
            woken: list[Trigger] = [("", finding.name)]
            if finding.means is not None:
                feature, value = (each.name for each in finding.means)
                if self._is_open(facts, feature, value):
                    facts = facts.with_value(feature, value, positions)
                    woken += [(feature, value), (feature, "")]
            for trigger in woken:
                for other in self._derived_index.get(trigger):
                    heappush(waiting, other)
        return facts, found

    def _is_open(self, facts: Facts, feature: str, value: str) -> bool:
        """True if a value may be inferred: what was seen outranks what follows."""
        if (feature, value) in facts.ruled_out or feature in facts.absent:
            return False
        one_only = self._compiler.kind(feature) == "choice"
        return not (one_only and feature in facts.values)


def _worked_out(base: KnowledgeBase) -> dict[str, Any]:
    """The rules in their order, and where each may be woken, by feature and value."""
    from markrules.language.checks.circles import dependencies, derived, layers

    with paused():
        rules: list[tuple[str, Clue | Type | Sign | Caution]] = [
            (kind, entry) for kind, home in _HOMES.items() for entry in getattr(base, home).values()
        ]
        findings = {each.name: each for each in derived(base.findings, base.faults)}
        order = layers(dependencies(findings.values()))
        following = [findings[name] for group in order for name in group]
        return {
            "rules": {
                "derived": [each.name for each in following],
                "faults": list(base.faults),
            },
            "all-rules": rows_by_number((kind, entry.name, _on(entry)) for kind, entry in rules),
            **indexed("rules", [entry.when for _, entry in rules]),
            **indexed("derived", [each.when for each in following]),
            **misled_index(base),
        }


def _on(entry: Clue | Type | Sign | Caution) -> list[str]:
    return [] if isinstance(entry, Caution) else sorted({each.name for each in entry.on})
