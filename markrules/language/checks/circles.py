"""Findings rest on findings, straight or through features: no `not` may stand in a circle."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from markrules.language.conditions import Condition, Found, Is, IsAbsent, IsNot, IsSeen, atoms
from markrules.language.problems import Place
from markrules.language.spans import Named
from markrules.language.tree import Fault, Finding
from markrules.named_tuple import NamedTuple

if TYPE_CHECKING:
    from markrules.language.checks.known_names import KnownNames


class FindingStep(NamedTuple):
    """A finding that another rests on; `negated` where it rests on the finding not holding."""

    name: str
    negated: bool


FAULT = "fault "
"""What stands before a fault's name where it is told as a finding."""


def derived(findings: Mapping[str, Finding], faults: Mapping[str, Fault]) -> Iterator[Finding]:
    """All that follows from what was seen: findings, and faults with a condition of their own.

    Such a fault is told as a finding called `fault NAME`, which no rule can name, that puts
    the fault to the feature `fault`.
    """
    yield from findings.values()
    for fault in faults.values():
        if fault.when is not None:
            means = (Named("fault"), Named(fault.name))
            yield Finding(f"{FAULT}{fault.name}", fault.when, means=means, span=fault.span)


def dependencies(findings: Iterable[Finding]) -> dict[str, tuple[FindingStep, ...]]:
    """What each finding rests on, with features that findings put values to seen through."""
    findings = tuple(findings)
    putting: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for finding in findings:
        if finding.means is not None:
            feature, value = finding.means
            putting[feature.name].append((value.name, finding.name))
    names = {finding.name for finding in findings}
    return {
        finding.name: tuple(
            dict.fromkeys(
                step
                for condition in (finding.when, finding.unless)
                if condition is not None
                for step in _steps(condition, putting)
                if step.name in names
            )
        )
        for finding in findings
    }


def _steps(
    condition: Condition, putting: Mapping[str, Sequence[tuple[str, str]]]
) -> Iterator[FindingStep]:
    for atom, negated in atoms(condition):
        match atom:
            case Found():
                yield FindingStep(atom.finding.name, negated)
            case Is():
                # Below a `not`, any other value counts: it would make the condition false.
                wanted = {value.name for value in atom.values}
                for value, name in putting.get(atom.feature.name, ()):
                    if negated or value in wanted:
                        yield FindingStep(name, negated)
            case IsNot() | IsAbsent():
                yield from (
                    FindingStep(name, True) for _, name in putting.get(atom.feature.name, ())
                )
            case IsSeen():
                yield from (
                    FindingStep(name, negated) for _, name in putting.get(atom.feature.name, ())
                )


def layers(rests_on: Mapping[str, Sequence[FindingStep]]) -> list[list[str]]:
    """The findings in groups: each group after all that it rests on, circles in one group.

    Tarjan's strongly connected components (SIAM J. Comput. 1, 1972), without recursion.
    """
    order: dict[str, int] = {}
    low: dict[str, int] = {}
    stack: list[str] = []
    waiting: set[str] = set()
    groups: list[list[str]] = []
    for root in rests_on:
        if root in order:
            continue
        order[root] = low[root] = len(order)
        stack.append(root)
        waiting.add(root)
        path = [(root, iter(rests_on[root]))]
        while path:
            name, steps = path[-1]
            step = next(steps, None)
            if step is not None and step.name not in order:
                order[step.name] = low[step.name] = len(order)
                stack.append(step.name)
                waiting.add(step.name)
                path.append((step.name, iter(rests_on[step.name])))
            elif step is not None:
                if step.name in waiting:
                    low[name] = min(low[name], order[step.name])
            else:
                path.pop()
                if path:
                    low[path[-1][0]] = min(low[path[-1][0]], low[name])
                if low[name] == order[name]:
                    groups.append(_popped(stack, waiting, name))
    return groups


def _popped(stack: list[str], waiting: set[str], name: str) -> list[str]:
    at = stack.index(name)
    group = stack[at:]
    del stack[at:]
    waiting.difference_update(group)
    return group


def check_findings(known: KnownNames) -> None:
    """Tell of circles: an error where one holds a `not`, else a warning."""
    faults = {fault.name: fault for fault in known.each(Fault)}
    named = {finding.name: finding for finding in known.each(Finding)}
    findings = {finding.name: finding for finding in derived(named, faults)}
    rests_on = dependencies(findings.values())
    for group in layers(rests_on):
        inside = set(group)
        circle = _negative(rests_on, inside) or _positive(rests_on, inside)
        if circle:
            _tell(known, findings, circle)


def _negative(rests_on: Mapping[str, Sequence[FindingStep]], group: set[str]) -> list[FindingStep]:
    for name in sorted(group):
        for step in rests_on[name]:
            if step.negated and step.name in group:
                return [FindingStep(name, False), step, *_way(rests_on, group, step.name, name)]
    return []


def _positive(rests_on: Mapping[str, Sequence[FindingStep]], group: set[str]) -> list[FindingStep]:
    name = min(group)
    for step in rests_on[name]:
        if step.name in group:
            return [FindingStep(name, False), step, *_way(rests_on, group, step.name, name)]
    return []


def _way(
    rests_on: Mapping[str, Sequence[FindingStep]], group: set[str], start: str, goal: str
) -> list[FindingStep]:
    """The steps of a shortest way from one finding of a circle to another."""
    came: dict[str, tuple[str, FindingStep]] = {}
    edge = [start]
    while edge and goal not in came and start != goal:
        reached = []
        for name in edge:
            for step in rests_on[name]:
                if step.name in group and step.name != start and step.name not in came:
                    came[step.name] = (name, step)
                    reached.append(step.name)
        edge = reached
    way: list[FindingStep] = []
    at = goal
    while at != start:
        at, step = came[at]
        way.append(step)
    return way[::-1]


def _tell(known: KnownNames, findings: Mapping[str, Finding], circle: list[FindingStep]) -> None:
    shown = " -> ".join(f"not {step.name}" if step.negated else step.name for step in circle)
    span = findings[circle[0].name].span
    also = [Place(findings[step.name].span, "part of the circle") for step in circle[1:-1]]
    if any(step.negated for step in circle):
        message = f"findings rest on their own opposite: {shown}"
        known.note("negative-circle", message, span, also=also)
    else:
        known.warn("circle", f"findings rest on each other: {shown}", span, also)
