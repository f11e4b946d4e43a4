"""Does a condition hold? Three answers: True, False, and None where nobody has looked.

Conditions are compiled to functions, put together as in `truth.py`.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.facts import Facts, SeenNumber, phrase
from markrules.knowledge.truth import Test, Truth, both, either, negation, of_number
from markrules.language.conditions import (
    And,
    AtLeast,
    Before,
    Between,
    Compare,
    Condition,
    Found,
    Is,
    IsAbsent,
    IsNot,
    IsSeen,
    Not,
    OfType,
    OfTypeUntil,
    Or,
    Quantity,
    Says,
)
from markrules.language.spans import Named
from markrules.language.tree import DATINGS, Finding
from markrules.language.units import converted, convertible

__all__ = ["Compiler", "Facts", "Test", "Truth", "compile_condition", "evaluate"]


def evaluate(condition: Condition, facts: Facts, found: Collection[str] = ()) -> Truth:
    """Whether a condition holds, given what was seen and which findings hold."""
    return compile_condition(condition, facts.base)(facts, found)


def compile_condition(condition: Condition, base: KnowledgeBase | None) -> Test:
    """A function that evaluates the condition; `base` tells kinds, units and findings."""
    return Compiler(base).test(condition)


class Compiler:
    """Compiles the conditions of one base. Each condition is compiled once."""

    def __init__(self, base: KnowledgeBase | None) -> None:
        """Without a base every feature counts as `choice`, and quantities must share a unit."""
        self.base = base
        self._tests: dict[int, tuple[Condition, Test]] = {}
        self._circular: frozenset[str] | None = None
        self._dated: Mapping[str, Sequence[str]] | None = None

    def test(self, condition: Condition) -> Test:
        """The function for a condition."""
        # By identity: to hash a condition walks through all of it. It is kept beside its test, so
        # that no other takes its identity.
        kept = self._tests.get(id(condition))
        if kept is None:
            kept = self._tests[id(condition)] = (condition, self._new(condition))
        return kept[1]

    def _new(self, condition: Condition) -> Test:
        make: Callable[..., Test] = _MAKERS[type(condition)]
        return make(self, condition)

    def kind(self, feature: str) -> str:
        """The kind of a feature; `choice` where it is not known."""
        known = self.base.kind_of(feature) if self.base is not None else None
        return known if known is not None else "choice"

    def number(self, feature: Named, quantity: Quantity) -> float:
        """A quantity in the unit of the feature it is compared with."""
        known = self.base.features.get(feature.name) if self.base is not None else None
        unit = known.unit if known is not None else quantity.unit
        return converted(quantity, unit) if convertible(quantity.unit, unit) else quantity.number

    def finding(self, name: str) -> Finding | None:
        """The finding of that name, unless it is unknown or rests on itself."""
        finding = self.base.findings.get(name) if self.base is not None else None
        return None if finding is None or name in self._circles() else finding

    def _circles(self) -> frozenset[str]:
        if self._circular is None:
            base = self.base
            self._circular = frozenset(
                base.workings.parts("circles", lambda: {"findings": _circular(base)})["findings"]
                if base is not None
                else ()
            )
        return self._circular

    # --- What was seen -------------------------------------------------------------------

    def _is_any(self, feature: str, values: Sequence[str]) -> Test:
        """The test that a feature has one of these values: as `either`, with one look at it."""
        wanted, one_only = frozenset(values), self.kind(feature) == "choice"
        keys = [(feature, value) for value in values]

        def test(facts: Facts, _: Collection[str]) -> Truth:
            seen = facts.values.get(feature)
            if seen is not None:
                if not wanted.isdisjoint(seen):
                    return True
                if one_only:
                    return False
            if feature in facts.absent:
                return False
            ruled_out = facts.ruled_out
            return False if ruled_out and all(key in ruled_out for key in keys) else None

        return test

    def _is_piece(self, value: str) -> Test:
        """A narrower type than the one seen stays open; all types beside it are ruled out."""
        key = ("piece", value)
        broader = frozenset(self.base.broader(value)) if self.base is not None else frozenset()

        def test(facts: Facts, _: Collection[str]) -> Truth:
            if key in facts.seen:
                return True
            if facts.piece_types and facts.piece_types.isdisjoint(broader):
                return False
            return False if key in facts.ruled_out else None

        return test

    def _is(self, condition: Is | IsNot) -> Test:
        feature, values = condition.feature.name, [value.name for value in condition.values]
        if feature == "piece":
            return either(list(map(self._is_piece, values)))
        return self._is_any(feature, values)

    def _is_not(self, condition: IsNot) -> Test:
        return negation(self._is(condition))

    def _is_seen(self, condition: IsSeen) -> Test:
        feature = condition.feature.name

        def test(facts: Facts, _: Collection[str]) -> Truth:
            if feature in facts.touched:
                return True
            return False if feature in facts.absent else None

        return test

    def _is_absent(self, condition: IsAbsent) -> Test:
        feature = condition.feature.name

        def test(facts: Facts, _: Collection[str]) -> Truth:
            if feature in facts.touched:
                return False
            return True if feature in facts.absent else None

        return test

    def _says(self, condition: Says) -> Test:
        return either([self.says(condition.feature.name, text) for text in condition.texts])

    def says(self, feature: str, text: str) -> Test:
        """The test that a text stands on the piece."""
        wanted = phrase(text)

        def test(facts: Facts, _: Collection[str]) -> Truth:
            texts = facts.texts.get(feature)
            if texts is None:
                return False if feature in facts.absent else _ruled_out(facts, feature, wanted)
            if any(wanted in each.runs for each in texts):
                return True
            return None if any(each.partly_unread for each in texts) else False

        return test

    # --- Numbers -------------------------------------------------------------------------

    def _compare(self, condition: Compare) -> Test:
        limit = self.number(condition.feature, condition.quantity)
        upward, strict = condition.sign[0] == ">", len(condition.sign) == 1

        def truth(number: SeenNumber) -> Truth:
            # Turned about so that only `over` and `at least` are left.
            low, high, edge = number.low, number.high, limit
            if not upward:
                low, high, edge = -number.high, -number.low, -limit
            if low > edge or (low == edge and not strict):
                return True
            return False if high < edge or (high == edge and strict) else None

        return of_number(condition.feature.name, truth)

    def _between(self, condition: Between) -> Test:
        low = self.number(condition.feature, condition.low)
        high = self.number(condition.feature, condition.high)

        def truth(number: SeenNumber) -> Truth:
            if low <= number.low and number.high <= high:
                return True
            return False if number.high < low or high < number.low else None

        return of_number(condition.feature.name, truth)

    def dated_by(self, name: str) -> tuple[str, ...]:
        """The features whose years a side of `before` compares: one, or all of one meaning."""
        base = self.base
        if name not in DATINGS or (base is not None and name in base.features):
            return (name,)
        if self._dated is None:
            self._dated = (
                base.workings.parts("dated", lambda: _dated(base)) if base is not None else {}
            )
        return tuple(self._dated.get(name, ()))

    def _before(self, condition: Before) -> Test:
        earlier, later = self.dated_by(condition.earlier.name), self.dated_by(condition.later.name)
        by = condition.by

        def test(facts: Facts, _: Collection[str]) -> Truth:
            pairs = [(a, b) for a in facts.years_of(earlier) for b in facts.years_of(later)]
            if any(a.high + by <= b.low for a, b in pairs):
                return True
            return False if pairs and all(a.low + by > b.high for a, b in pairs) else None

        return test

    # --- Put together --------------------------------------------------------------------

    def _found(self, condition: Found) -> Test:
        name = condition.finding.name
        finding = self.finding(name)
        if finding is None:
            return lambda _, found: True if name in found else None
        rests_on = self.test(finding.when)

        def test(facts: Facts, found: Collection[str]) -> Truth:
            if name in found:
                return True
            return False if rests_on(facts, found) is False else None

        return test

    def _of_type(self, condition: OfType) -> Test:
        name = f"type {condition.type.name}"
        return lambda _, found: True if name in found else None

    def _of_type_until(self, condition: OfTypeUntil) -> Test:
        name = condition.found_as
        return lambda _, found: True if name in found else None

    def _and(self, condition: And) -> Test:
        return both([self.test(part) for part in condition.parts])

    def _or(self, condition: Or) -> Test:
        return either([self.test(part) for part in condition.parts])

    def _not(self, condition: Not) -> Test:
        return negation(self.test(condition.part))

    def _at_least(self, condition: AtLeast) -> Test:
        parts = [self.test(part) for part in condition.parts]
        count = condition.count

        def test(facts: Facts, found: Collection[str]) -> Truth:
            answers = [part(facts, found) for part in parts]
            if answers.count(True) >= count:
                return True
            return False if len(answers) - answers.count(False) < count else None

        return test


_MAKERS: dict[type, Callable[..., Test]] = {
    Is: Compiler._is,
    IsNot: Compiler._is_not,
    IsSeen: Compiler._is_seen,
    IsAbsent: Compiler._is_absent,
    Says: Compiler._says,
    Compare: Compiler._compare,
    Between: Compiler._between,
    Found: Compiler._found,
    OfType: Compiler._of_type,
    OfTypeUntil: Compiler._of_type_until,
    Before: Compiler._before,
    And: Compiler._and,
    Or: Compiler._or,
    Not: Compiler._not,
    AtLeast: Compiler._at_least,
}


def _circular(base: KnowledgeBase) -> list[str]:
    """The findings that rest on themselves."""
    from markrules.language.checks.circles import dependencies, layers

    rests_on = dependencies(base.findings.values())
    return [
        name
        for group in layers(rests_on)
        for name in group
        if len(group) > 1 or any(step.name == name for step in rests_on[name])
    ]


def _dated(base: KnowledgeBase) -> dict[str, list[str]]:
    """The features of each meaning of a year."""
    found: dict[str, list[str]] = {}
    for each in base.features.values():
        if each.dates:
            found.setdefault(each.dates, []).append(each.name)
    return found


def _ruled_out(facts: Facts, feature: str, wanted: str) -> Truth:
    """False if a text ruled out on the piece is the one wanted, or a part of it."""
    for known, text in facts.ruled_out:
        if known == feature and (part := phrase(text)) and part in wanted:
            return False
    return None
