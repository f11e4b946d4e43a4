"""Which entries hold for a piece, and which observations made them hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markrules.inference.observation import Observation
from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import And, Condition, Is, IsAbsent, IsSeen, Or


@dataclass(frozen=True, slots=True)
class Matched:
    """Names of the entries that hold. For each clue, the positions of the observations used."""

    clues: tuple[tuple[str, tuple[int, ...]], ...]
    findings: tuple[str, ...] = ()
    signs: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


def match(base: KnowledgeBase, seen: Sequence[Observation], piece_type: str) -> Matched:
    """What holds for the piece, given what was seen on it."""
    kinds = set(base.broader(piece_type)) or {piece_type}
    found = []
    for clue in base.clues.values():
        if clue.on and not kinds & {each.name for each in clue.on}:
            continue
        used = _holds(clue.when, seen)
        if used:
            found.append((clue.name, tuple(sorted(used))))
    return Matched(tuple(found))


def _holds(condition: Condition, seen: Sequence[Observation]) -> set[int]:
    if isinstance(condition, Is):
        names = {value.name for value in condition.values}
        return {
            at
            for at, each in enumerate(seen)
            if each.state == "seen"
            and each.feature == condition.feature.name
            and each.value in names
        }
    if isinstance(condition, IsSeen | IsAbsent):
        state = "seen" if isinstance(condition, IsSeen) else "absent"
        return {
            at
            for at, each in enumerate(seen)
            if each.state == state and each.feature == condition.feature.name
        }
    if isinstance(condition, And):
        parts = [_holds(part, seen) for part in condition.parts]
        return set().union(*parts) if all(parts) else set()
    if isinstance(condition, Or):
        return set().union(*(_holds(part, seen) for part in condition.parts))
    return set()
