"""What is known of a clue before any piece is looked at."""

from __future__ import annotations

from collections.abc import Iterator

from markrules.frozen import dataclass
from markrules.inference.reading import Citation
from markrules.knowledge.base import KnowledgeBase
from markrules.language.conditions import (
    ON_A_FEATURE,
    And,
    AtLeast,
    Condition,
    Found,
    Is,
    Not,
    Or,
)
from markrules.language.tree import Cite, Clue, Type
from markrules.language.windows import Spread, Window, Year

TYPE = "type"
"""Stands before the name of a type where clues and types are named side by side."""

PIECE = "piece"
"""The built-in feature whose values are the piece types."""


@dataclass(frozen=True, slots=True)
class ClueFacts:
    """A clue with what its entry refers to, looked up once.

    `feature` is the first feature of its condition, `family` the family it belongs to (empty
    when none), `key` its name among clues and types, `misread` the chance of being wrong that
    its trust stands for. `relative` tells that its window depends on a year read off the piece.
    `on` are the piece types among which it is met; empty for all.
    """

    clue: Clue | Type
    feature: str
    family: str
    misread: float
    relative: bool
    cites: tuple[Citation, ...]
    points: frozenset[str]
    key: str = ""
    on: tuple[str, ...] = ()


def clue_facts(base: KnowledgeBase, clue: Clue | Type) -> ClueFacts:
    """The facts of a clue, or of a type, which belongs to no family."""
    feature = next(features_of(base, clue.when), "")
    family = ""
    if isinstance(clue, Clue):
        family = clue.family.name if clue.family else _feature_family(base, feature)
    return ClueFacts(
        clue=clue,
        feature=feature,
        family=family,
        misread=trust_misread(base, clue.trust.name),
        relative=(clue.made is not None and is_relative(clue.made))
        or (clue.common is not None and counts_from_a_year(clue.common)),
        cites=citations(base, clue.cites),
        points=frozenset(maker.name for maker in clue.points),
        key=f"{TYPE} {clue.name}" if isinstance(clue, Type) else clue.name,
        on=_met_on(base, clue),
    )


def _met_on(base: KnowledgeBase, clue: Clue | Type) -> tuple[str, ...]:
    """The piece types among which a clue is met, which its curve is of.

    They are those that it names, in `on` or as a part of its condition; or else those that the
    narrowest feature of its condition is seen on. None where it may be on any piece.
    """
    if clue.on:
        return tuple(each.name for each in clue.on)
    parts = clue.when.parts if isinstance(clue.when, And) else (clue.when,)
    for part in parts:
        if isinstance(part, Is) and part.feature.name == PIECE:
            return tuple(each.name for each in part.values)
    found = (base.features.get(name) for name in features_of(base, clue.when))
    named = [entry.on for entry in found if entry is not None and entry.on]
    return tuple(each.name for each in min(named, key=len, default=()))


def trust_misread(base: KnowledgeBase, name: str) -> float:
    """The chance that a clue of this trust misleads."""
    trust = base.trusts.get(name)
    return trust.misread if trust is not None else base.setting("unknown-misread")


def certainty_misread(base: KnowledgeBase, name: str) -> float:
    """The chance that an observer this sure is wrong."""
    certainty = base.certainties.get(name)
    return certainty.misread if certainty is not None else base.setting("unknown-misread")


def citations(base: KnowledgeBase, cites: tuple[Cite, ...]) -> tuple[Citation, ...]:
    """Citations with the titles of their sources; a source not in the rules gives its name."""
    return tuple(_citation(base, cite) for cite in cites)


def features_of(base: KnowledgeBase, condition: Condition) -> Iterator[str]:
    """The features that a condition looks at, in the order they are written.

    Findings are followed to the features that they rest on.
    """
    pending, followed = [condition], set[str]()
    while pending:
        part = pending.pop(0)
        if isinstance(part, And | Or | AtLeast):
            pending[:0] = part.parts
        elif isinstance(part, Not):
            pending.insert(0, part.part)
        elif isinstance(part, ON_A_FEATURE):
            yield part.feature.name
        elif isinstance(part, Found) and part.finding.name in base.findings.keys() - followed:
            followed.add(part.finding.name)
            pending.insert(0, base.findings[part.finding.name].when)


def is_relative(window: Window) -> bool:
    """Whether any year of the window counts from a year read off the piece."""
    ends = (window.first, window.mostly_first, window.mostly_last, window.last)
    gap_ends = (end for gap in window.gaps for end in gap)
    return any(isinstance(end, Year) and end.relative for end in (*ends, *gap_ends))


def counts_from_a_year(spread: Spread) -> bool:
    """Whether any year of a spread counts from a year read off the piece."""
    ends = (end for wave in spread.waves for end in (wave.early, wave.middle, wave.late))
    return any(end is not None and end.relative for end in ends)


def _feature_family(base: KnowledgeBase, feature: str) -> str:
    entry = base.features.get(feature)
    return entry.family.name if entry is not None and entry.family is not None else ""


def _citation(base: KnowledgeBase, cite: Cite) -> Citation:
    source = base.sources.get(cite.source.name)
    if source is None:
        return Citation(cite.source.name, cite.source.name, cite.place, "")
    return Citation(source.name, source.title, cite.place, source.kind)
