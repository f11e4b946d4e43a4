"""What is known of a piece, in the words that a sale of it keeps: for estimates of others."""

from __future__ import annotations

from functools import lru_cache

from markrules.frozen import dataclass
from markrules.inference.reading import Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.conditions import Compiler
from markrules.knowledge.facts import Facts
from markrules.knowledge.observation import Observation
from markrules.knowledge.support import Supporter

_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4}
"""Millimetres of each unit; an inch is 25.4 mm by definition (NIST Handbook 44, appendix C)."""


@dataclass(frozen=True, slots=True)
class Known:
    """Materials and subjects by the rules' values, and the largest measure in millimetres."""

    materials: tuple[str, ...]
    subjects: tuple[str, ...]
    size_mm: float | None


def known_of(base: KnowledgeBase, reading: Reading) -> Known:
    """What was seen of material, subject and size: what the rules count as each by Object ID."""
    return Known(
        materials=_values(_filling(base, reading, "materials")),
        subjects=_values(_filling(base, reading, "subject")),
        size_mm=max(_sizes(base, _filling(base, reading, "measurements")), default=None),
    )


def _filling(base: KnowledgeBase, reading: Reading, category: str) -> list[Observation]:
    finding = _identifying(base, category)
    if finding is None:
        return []
    seen = reading.observations
    used = Supporter(_compiler(base), Facts(seen, base), {}).used(base.findings[finding].when)
    return [each for each in (seen[at] for at in used) if each.state == "seen" and not each.heard]


def _values(seen: list[Observation]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(each.value for each in seen if each.value and each.number is None))


def _sizes(base: KnowledgeBase, seen: list[Observation]) -> list[float]:
    found = []
    for each in seen:
        feature = base.features.get(each.feature)
        scale = _MM.get(feature.unit if feature is not None else "")
        if scale is not None and each.number is not None and each.number > 0:
            found.append(each.number * scale)
    return found


@lru_cache(maxsize=16)
def _identifying(base: KnowledgeBase, category: str) -> str | None:
    wanted = ("identify", category)
    for name, finding in base.findings.items():
        if finding.advise is not None and (finding.advise.effect, finding.advise.choice) == wanted:
            return name
    return None


@lru_cache(maxsize=4)
def _compiler(base: KnowledgeBase) -> Compiler:
    return Compiler(base)
