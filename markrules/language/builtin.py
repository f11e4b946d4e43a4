"""Entries that every rule base holds without writing them: two sources and some features."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from markrules.language.slots import REMARK, filled_name, slot_of
from markrules.language.tree import (
    Fault,
    Feature,
    Grade,
    MetalMark,
    Piece,
    Register,
    Remark,
    Slot,
    Source,
    Value,
)

BUILT_IN_SOURCES: Mapping[str, Source] = {
    "common-practice": Source("common-practice", "Common practice, no source", "practice"),
    "from-memory": Source("from-memory", "Written from memory, not checked", "memory"),
}
COLOUR = "colour"
"""The feature of the rules whose values are the colours that shades are of."""
STATED_CONDITION = "stated-condition"
"""The feature for the grade that somebody gives a piece in words: very good, as found."""
BUILT_IN_FEATURES = ("piece", "mark", "label", "fault", "metal-mark", REMARK, STATED_CONDITION)

VALUES_AS_ENTRIES: Mapping[str, str] = {
    "piece": "piece",
    "fault": "fault",
    "metal-mark": "metal-mark",
    STATED_CONDITION: "grade",
    REMARK: "remark",
}
"""Built-in features whose values are entries of a kind of their own, with that kind."""


def with_built_in(
    features: Mapping[str, Feature],
    pieces: Iterable[Piece],
    faults: Iterable[Fault],
    metal_marks: Iterable[MetalMark],
    registers: Iterable[Register],
    remarks: Iterable[Remark] = (),
    slots: Mapping[str, Slot] | None = None,
    grades: Iterable[Grade] = (),
) -> dict[str, Feature]:
    """All features by name: the built-in ones first, then those that the rules define.

    A feature entry with the name of a built-in one adds to it what the rules say (`ask`,
    `look`, `also`, `family`, shares); kind and values stay built in. A register of numbers
    or letters is a feature of kind `year`, one of sizes a `number` in mm.
    """
    built = [
        Feature("piece", values=tuple(_piece_value(piece) for piece in pieces), describes=True),
        Feature("mark", "text", describes=True),
        Feature("label", "text", describes=True),
        Feature("fault", "many", values=tuple(map(_fault_value, faults)), describes=True),
        Feature("metal-mark", "many", values=tuple(map(_metal_value, metal_marks)), describes=True),
        Feature(REMARK, "many", values=_remark_values(remarks, slots or {}), describes=True),
        *(_register_feature(register) for register in registers),
    ]
    stated = tuple(map(_grade_value, grades))
    if stated:
        built.append(Feature(STATED_CONDITION, also=("condition",), values=stated, describes=True))
    known = {feature.name: _refined(feature, features.get(feature.name)) for feature in built}
    return known | {name: each for name, each in features.items() if name not in known}


def _refined(built: Feature, written: Feature | None) -> Feature:
    if written is None:
        return built
    unit = built.unit or written.unit
    dates = written.dates or built.dates
    return replace(
        written, dates=dates, kind=built.kind, values=built.values, unit=unit, describes=True
    )


def _piece_value(piece: Piece) -> Value:
    return Value(piece.name, piece.say, piece.also, span=piece.span)


def _fault_value(fault: Fault) -> Value:
    return Value(fault.name, fault.say, fault.also, look=fault.look, span=fault.span)


def _grade_value(grade: Grade) -> Value:
    return Value(grade.name, also=grade.also, span=grade.span)


def _metal_value(mark: MetalMark) -> Value:
    return Value(mark.name, mark.say, span=mark.span)


def _remark_values(remarks: Iterable[Remark], slots: Mapping[str, Slot]) -> tuple[Value, ...]:
    """One value for each remark, and one more for each of the things that fill its slot."""
    values: list[Value] = []
    for remark in remarks:
        if remark.damages:
            continue
        values.append(Value(remark.name, remark.say, span=remark.span))
        slot = slot_of(remark, slots)
        for fill in slot.fills if slot is not None else ():
            values.append(Value(filled_name(remark.name, fill), remark.say, span=remark.span))
    return tuple(values)


def _register_feature(register: Register) -> Feature:
    if register.kind == "size":
        return Feature(register.name, "number", unit="mm", describes=True, span=register.span)
    return Feature(register.name, "year", describes=True, dates=register.dates, span=register.span)
