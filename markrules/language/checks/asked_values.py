"""Do conditions name features and values that exist, and ask of each what it can answer?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import singledispatch

from markrules.language.builtin import STATED_CONDITION
from markrules.language.checks.known_names import KnownNames, kind_of
from markrules.language.conditions import (
    Before,
    Between,
    Compare,
    Condition,
    Found,
    Is,
    IsAbsent,
    IsNot,
    IsSeen,
    OfType,
    OfTypeUntil,
    Quantity,
    Says,
    atoms,
    groups,
)
from markrules.language.nearest import nearest
from markrules.language.problems import Place
from markrules.language.spans import Named
from markrules.language.tree import (
    DATINGS,
    Case,
    Caution,
    Claim,
    Clue,
    Entry,
    Fault,
    Feature,
    Finding,
    Misleading,
    Sign,
    Type,
)
from markrules.language.units import UNITS, converted, convertible


def conditions_of(entries: Iterable[Entry]) -> Iterator[tuple[str, Condition]]:
    """Every condition of the entries, with the kind of entry that holds it."""
    for entry in entries:
        if isinstance(entry, Fault) and entry.unless is not None:
            yield kind_of(entry), entry.unless
        if (
            isinstance(entry, Clue | Type | Finding | Sign | Caution | Fault)
            and entry.when is not None
        ):
            yield kind_of(entry), entry.when
            if isinstance(entry, Finding) and entry.unless is not None:
                yield kind_of(entry), entry.unless
        elif isinstance(entry, Misleading):
            asked = (entry.when, entry.told, entry.unless, entry.known)
            yield from (("misleading", each) for each in asked if each is not None)
        elif isinstance(entry, Claim):
            yield from (("claim", each) for each in (entry.when, entry.unless) if each is not None)
        elif isinstance(entry, Case):
            yield from (("case", each) for each in entry.given if not isinstance(each, str))
            yield from (("case", each.condition) for each in entry.expect if each.condition)


def check_conditions(known: KnownNames) -> None:
    """Check every condition: names, kinds, units and counts."""
    for kind, condition in conditions_of(known.entries):
        for atom, _ in atoms(condition):
            _check(atom, known)
            if isinstance(atom, OfType | OfTypeUntil) and kind != "misleading":
                message = "only a misleading situation can ask for a type"
                known.note("type-too-early", message, atom.span)
        for group in groups(condition):
            if not 1 <= group.count <= len(group.parts):
                message = f"at least {group.count} of {len(group.parts)} conditions cannot be met"
                if group.count < 1:
                    message = "`at least` counts from 1"
                known.note("count", message, group.span)


def check_value(known: KnownNames, feature: Named, value: Named) -> None:
    """Check that a feature exists, takes values, and has this one."""
    found = known.resolve("feature", feature)
    if found is not None:
        _check_value(known, found, value)


def _check_value(known: KnownNames, feature: Feature, value: Named) -> None:
    if feature.kind not in ("choice", "many"):
        what = {"number": "a number", "year": "a year"}.get(feature.kind, "a text")
        how = {
            "number": f"{feature.name} over 5 {feature.unit}".rstrip(),
            "year": f"{feature.name} over 1900, or: {feature.name} is seen",
        }.get(feature.kind, f'{feature.name} says "…"')
        message = f'feature "{feature.name}" is {what} and has no values; write: {how}'
        known.note("no-values", message, value.span, also=_defined(feature))
    elif value.name not in known.values[feature.name] and not _may_be_lost(known, feature, value):
        known.note(
            "unknown-value",
            f'unknown value "{value}" for feature "{feature.name}"',
            value.span,
            also=_defined(feature, "its values are listed here"),
            near=nearest(value.name, known.values[feature.name]),
        )


def _may_be_lost(known: KnownNames, feature: Feature, value: Named) -> bool:
    built_in = {
        "piece": "piece",
        "fault": "fault",
        "metal-mark": "metal-mark",
        STATED_CONDITION: "grade",
    }
    kind = built_in.get(feature.name)
    if kind is not None:
        return known.is_broken(kind, value.name)
    return known.is_broken("feature", feature.name)


def _defined(feature: Feature, reason: str = "defined here") -> tuple[Place, ...]:
    return (Place(feature.span, reason),) if feature.span.line else ()


@singledispatch
def _check(atom: object, _: KnownNames) -> None:
    raise TypeError(f"no check for {atom!r}")


@_check.register
def _(atom: Is, known: KnownNames) -> None:
    _values(atom.feature, atom.values, known)


@_check.register
def _(atom: IsNot, known: KnownNames) -> None:
    _values(atom.feature, atom.values, known)


def _values(feature: Named, values: tuple[Named, ...], known: KnownNames) -> None:
    found = known.resolve("feature", feature)
    if found is not None:
        for value in values:
            _check_value(known, found, value)


@_check.register
def _(atom: IsSeen, known: KnownNames) -> None:
    known.resolve("feature", atom.feature)


@_check.register
def _(atom: IsAbsent, known: KnownNames) -> None:
    known.resolve("feature", atom.feature)


@_check.register
def _(atom: Found, known: KnownNames) -> None:
    known.resolve("finding", atom.finding)


@_check.register
def _(atom: OfType, known: KnownNames) -> None:
    known.resolve("type", atom.type)


@_check.register
def _(atom: OfTypeUntil, known: KnownNames) -> None:
    """It names nothing that could be unknown."""


@_check.register
def _(atom: Before, known: KnownNames) -> None:
    for side in (atom.earlier, atom.later):
        if side.name in DATINGS and side.name not in known.features:
            continue
        found: Feature | None = known.resolve("feature", side)
        if found is not None and found.kind != "year":
            message = f'feature "{side}" holds no year to compare'
            known.note("not-a-number", message, side.span, also=_defined(found))


@_check.register
def _(atom: Compare, known: KnownNames) -> None:
    _measure(atom.feature, (atom.quantity,), known)


@_check.register
def _(atom: Between, known: KnownNames) -> None:
    if _measure(atom.feature, (atom.low, atom.high), known) and _crossed(atom):
        known.note(
            "range-crossed",
            "this range runs backwards: write the smaller quantity first",
            atom.low.span,
        )


def _crossed(atom: Between) -> bool:
    return converted(atom.low, atom.high.unit) > atom.high.number


def _measure(feature: Named, quantities: tuple[Quantity, ...], known: KnownNames) -> bool:
    found: Feature | None = known.resolve("feature", feature)
    if found is None:
        return False
    if found.kind not in ("number", "year"):
        message = f'feature "{feature}" has no number to compare'
        known.note("not-a-number", message, feature.span, also=_defined(found))
        return False
    return sum(_unit(found, quantity, known) for quantity in quantities) == len(quantities)


def _unit(feature: Feature, quantity: Quantity, known: KnownNames) -> bool:
    if convertible(quantity.unit, feature.unit):
        return True
    if quantity.unit and quantity.unit not in UNITS:
        message = f'unknown unit "{quantity.unit}"; the units are {", ".join(UNITS)}'
        near = nearest(quantity.unit, UNITS)
        known.note("unknown-unit", message, quantity.span, near=near)
    elif not feature.unit:
        message = f'feature "{feature.name}" has no unit: write the number alone'
        known.note("unit", message, quantity.span, also=_defined(feature))
    elif not quantity.unit:
        message = f'feature "{feature.name}" is measured in {feature.unit}: write a unit'
        near = f"{quantity.number:g} {feature.unit}"
        known.note("unit", message, quantity.span, also=_defined(feature), near=near)
    else:
        message = f'feature "{feature.name}" is measured in {feature.unit}, not {quantity.unit}'
        known.note("unit", message, quantity.span, also=_defined(feature))
    return False


@_check.register
def _(atom: Says, known: KnownNames) -> None:
    found: Feature | None = known.resolve("feature", atom.feature)
    if found is not None and found.kind != "text":
        message = f'feature "{atom.feature}" is no text; `says` asks for text on the piece'
        known.note("not-a-text", message, atom.feature.span, also=_defined(found))
    for text in atom.texts:
        if not any(sign.isalnum() or sign in "©®" for sign in text):
            known.note("empty-text", "this text has no letter or digit", atom.span)
