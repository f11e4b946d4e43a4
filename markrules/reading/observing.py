"""`FEATURE=VALUE` as a person types it, turned into an observation."""

from __future__ import annotations

import re
from collections.abc import Iterable

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation, State
from markrules.language.tree import Feature

_ABSENT = ("none", "absent", "no")
SIDE_BY_SIDE = ("many", "text")
"""Kinds of features of which a piece can have several values at once."""
_UNITS_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4, '"': 25.4}
_UNITS_G = {"g": 1.0, "oz": 28.349523125}  # international avoirdupois ounce, exact


class WordProblem(ValueError):
    """A feature, value or number that the rules do not know, told with the nearest that they do."""


def observe(base: KnowledgeBase, text: str, certainty: str = "sure") -> Observation:
    """The observation that `feature=value` stands for.

    A value may be given by its name or any of its other words; `none` means that somebody
    looked and there is none; `not VALUE` rules a value out; a `?` at the end makes it a guess.
    Raises WordProblem where the feature or the value is not known.
    """
    name, equals, value = (part.strip() for part in text.partition("="))
    if not equals or not value:
        raise WordProblem(f'"{text}": write FEATURE=VALUE, such as catch=rollover')
    feature = _feature(base, name)
    if value.endswith("?") and feature.kind != "text" and "guess" in base.certainties:
        value, certainty = value[:-1].rstrip(), "guess"
    if value.casefold() in _ABSENT and not _named(feature, value):
        return Observation(feature.name, state="absent", certainty=certainty, words=text)
    if feature.kind == "text":
        return Observation(feature.name, value, certainty=certainty, words=text)
    if feature.kind == "number":
        number = in_unit(value, feature.unit)
        return Observation(feature.name, value, number=number, certainty=certainty, words=text)
    if feature.kind == "year":
        year = _year(value)
        return Observation(
            feature.name, value, number=year, years=(year, year), certainty=certainty, words=text
        )
    ruled_out = re.fullmatch(r"not\s+(.+)", value, re.IGNORECASE)
    found = _value(feature, ruled_out[1] if ruled_out else value)
    state: State = "ruled-out" if ruled_out else "seen"
    return Observation(feature.name, found, state, certainty=certainty, words=text)


def still_said(
    base: KnowledgeBase, note: Iterable[Observation], given: Iterable[Observation]
) -> tuple[Observation, ...]:
    """What a note says beside what was given by name.

    Where a piece has one value of a feature, the given one takes the place of the note's. Of what
    can stand side by side (marks, faults, motifs) both count, save where one says that there is
    none; of the same value the given one.
    """
    every = tuple(given)

    def stands(said: Observation) -> bool:
        beside = base.kind_of(said.feature) in SIDE_BY_SIDE and said.state != "absent"
        return not any(
            not beside or each.state == "absent" or each.value == said.value
            for each in every
            if each.feature == said.feature
        )

    return tuple(each for each in note if stands(each))


def in_unit(text: str, unit: str) -> float:
    """The number of a quantity such as `5.5 cm`, in the feature's own unit.

    Raises WordProblem where it is not a number or the units do not go together.
    """
    match = re.fullmatch(r"([0-9]+(?:[.,][0-9]+)?)\s*([a-z\"]*)", text.strip().casefold())
    if match is None:
        raise WordProblem(f'"{text}": write a number and its unit, such as 5.5 {unit or "cm"}')
    number, given = float(match[1].replace(",", ".")), match[2] or unit
    for units in (_UNITS_MM, _UNITS_G):
        if given in units and unit in units:
            return number * units[given] / units[unit]
    if given == unit:
        return number
    raise WordProblem(f'"{text}": the unit here is {unit or "none"}, not {given}')


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word most like this one, or None where none is near."""
    from rapidfuzz import fuzz, process

    # As a whole first: else `kach` is nearest to a long word that holds one like it.
    for scorer in (fuzz.ratio, fuzz.WRatio):
        match = process.extractOne(word.casefold(), list(known), scorer=scorer, score_cutoff=60)
        if match:
            return str(match[0])
    return None


def _feature(base: KnowledgeBase, name: str) -> Feature:
    wanted = _plain(name)
    # A feature's own name goes before another feature's word for it.
    for feature in base.features.values():
        if wanted == _plain(feature.name):
            return feature
    for feature in base.features.values():
        if wanted in map(_plain, feature.also):
            return feature
    near = nearest(name, base.features)
    hint = f'; nearest: "{near}"' if near else ""
    raise WordProblem(f'no feature is called "{name}"{hint}')


def _named(feature: Feature, text: str) -> str | None:
    wanted = _plain(text)
    for value in feature.values:
        if wanted in (_plain(value.name), *map(_plain, value.also)):
            return value.name
    return None


def _value(feature: Feature, text: str) -> str:
    found = _named(feature, text)
    if found is not None:
        return found
    names = [value.name for value in feature.values]
    near = nearest(text, names)
    hint = f'; nearest: "{near}"' if near else ""
    some = ", ".join(names[:8]) + (" …" if len(names) > 8 else "")
    raise WordProblem(f'{feature.name} has no value "{text}"{hint}. Known: {some}')


def _year(text: str) -> int:
    if not re.fullmatch(r"[0-9]{4}", text.strip()):
        raise WordProblem(f'"{text}": write a year with four digits, such as 1911')
    return int(text)


def _plain(text: str) -> str:
    return re.sub(r"[\s\-_]+", " ", text.casefold()).strip()
