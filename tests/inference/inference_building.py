"""Small invented knowledge bases for the tests of the engine."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from engine_numbers import setting_entries

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.language.conditions import Condition, Is
from markrules.language.spans import Named
from markrules.language.tree import (
    Asking,
    Certainty,
    Cite,
    Clue,
    Commonness,
    Family,
    Feature,
    Fittings,
    Maker,
    Mark,
    Origin,
    Piece,
    PieceException,
    Prior,
    Setting,
    Shares,
    Source,
    Together,
    Trust,
    Type,
    Value,
)
from markrules.language.windows import Spread, Window, Year

KINDS = {
    Asking: "asking",
    Together: "together",
    Certainty: "certainties",
    Clue: "clues",
    Commonness: "commonness",
    Family: "families",
    Feature: "features",
    Maker: "makers",
    Piece: "pieces",
    Prior: "priors",
    Setting: "settings",
    Shares: "shares",
    Source: "sources",
    Trust: "trusts",
    Fittings: "fittings",
    Origin: "origins",
    PieceException: "exceptions",
    Type: "types",
}

LEVELS = (
    Trust("hard", 0.01),
    Trust("strong", 0.06),
    Trust("moderate", 0.15),
    Trust("weak", 0.30),
    Trust("hearsay", 0.60),
    Certainty("sure", 0.01),
    Certainty("fair", 0.15),
    Certainty("guess", 0.40),
    Commonness("often", 8),
    Commonness("seldom", 1),
)

HILL = Prior("years", ((1750, 0.2), (1840, 1), (1890, 3), (1950, 7), (1968, 7), (2026, 2)))


def base_of(*entries: Any, levels: tuple[Any, ...] = LEVELS) -> KnowledgeBase:
    """A knowledge base of these entries and the usual levels of trust."""
    found: defaultdict[str, dict[str, Any]] = defaultdict(dict)
    found["settings"] = {**setting_entries()}
    for entry in (*levels, *entries):
        found[KINDS[type(entry)]][entry.name] = entry
    return KnowledgeBase("0+test", **found)


def names(*given: str) -> tuple[Named, ...]:
    return tuple(Named(each) for each in given)


def window(
    first: int | None = None,
    mostly_first: int | None = None,
    mostly_last: int | None = None,
    last: int | None = None,
    *,
    gaps: tuple[tuple[int, int], ...] = (),
    fade: int | None = None,
) -> Window:
    """A window with absolute years, in the order they are written in a rule."""
    ends = [None if year is None else Year(year) for year in (first, mostly_first, mostly_last)]
    return Window(
        *ends,
        None if last is None else Year(last),
        tuple((Year(a), Year(b)) for a, b in gaps),
        fade,
    )


def sees(feature: str, *values: str) -> Condition:
    return Is(Named(feature), names(*values))


def clue(
    name: str,
    when: Condition,
    made: Window | None,
    trust: str = "strong",
    *,
    family: str = "",
    refit: float | None = None,
    reuse: float | None = None,
    points: tuple[str, ...] = (),
    on: tuple[str, ...] = (),
    cites: tuple[Cite, ...] = (),
    common: Spread | None = None,
) -> Clue:
    return Clue(
        name,
        when,
        made,
        Named(trust),
        f"why {name}",
        cites,
        family=Named(family) if family else None,
        refit=refit,
        reuse=reuse,
        points=names(*points),
        on=names(*on),
        common=common,
    )


def feature(name: str, *values: str, family: str = "", **more: Any) -> Feature:
    return Feature(
        name,
        ask=f"{name}?",
        values=tuple(Value(each) for each in values),
        family=Named(family) if family else None,
        **more,
    )


def maker(
    name: str, works: Window | None, *used: Window | None, common: str = "", trust: str = ""
) -> Maker:
    """A maker with one mark variant for each window; variants are named a, b, c …"""
    marks = tuple(
        Mark(chr(97 + at), f"{name} {at}", used=each, trust=Named(trust) if trust else None)
        for at, each in enumerate(used)
    )
    return Maker(
        name,
        name.title(),
        works=works,
        marks=marks,
        common=Named(common) if common else None,
    )


def seen(feature_name: str, value: str, certainty: str = "sure", **more: Any) -> Observation:
    return Observation(feature_name, value, certainty=certainty, words=value, **more)
