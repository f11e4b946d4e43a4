"""Which observations make a condition hold."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from markrules.knowledge.conditions import Compiler
from markrules.knowledge.facts import Facts, Positions, phrase
from markrules.knowledge.truth import Truth
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
    Says,
)


def used(
    condition: Condition, facts: Facts, found: Mapping[str, Positions] | None = None
) -> Positions:
    """Positions of the observations that make a condition true, rising.

    `found` tells, for each finding that holds, the positions it rests on. Empty where the
    condition does not hold. Where an `or` holds twice over, both sides count.
    """
    return Supporter(Compiler(facts.base), facts, found or {}).used(condition)


class Supporter:
    """Finds the support of conditions in one set of facts."""

    def __init__(self, compiler: Compiler, facts: Facts, found: Mapping[str, Positions]) -> None:
        """All that an answer depends on."""
        self._compiler, self._facts, self._found = compiler, facts, found

    def used(self, condition: Condition) -> Positions:
        """Positions of the observations that make the condition true, rising."""
        if self._answer(condition) is not True:
            return ()
        return self.of_true(condition)

    def of_true(self, condition: Condition) -> Positions:
        """The same for a condition that is known to be true."""
        found = self._why(condition, True)
        return tuple(found) if len(found) < 2 else tuple(sorted(set(found)))

    def _answer(self, condition: Condition) -> Truth:
        return self._compiler.test(condition)(self._facts, self._found)

    def _why(self, condition: Condition, truth: bool) -> Sequence[int]:
        """Positions that make a condition, which is `truth`, what it is."""
        # The kinds of nearly all conditions go before all others.
        if isinstance(condition, Is) and truth:
            seen, name = self._facts.seen, condition.feature.name
            known = self._facts.values.get(name)
            if known is None:
                return ()
            if len(condition.values) == 1:
                return seen.get((name, condition.values[0].name), ())
            wanted = [value.name for value in condition.values if value.name in known]
            return _joined([seen[name, value] for value in wanted])
        if isinstance(condition, (And, Or, AtLeast)):
            of_each = truth and isinstance(condition, And)  # what is true of all is true of each
            found: list[int] = []
            known_values = self._facts.values
            for part in condition.parts:
                if truth and isinstance(part, Is):
                    # A value that was not seen has no positions, whatever else is known of it.
                    if part.feature.name in known_values:
                        found += self._why(part, True)
                elif of_each or self._answer(part) is truth:
                    found += self._why(part, truth)
            return found
        match condition:
            case Not(part):
                return self._why(part, not truth)
            case Found(finding):
                return self._why_found(finding.name, truth)
            case _:
                return self._why_atom(condition, truth)

    def _why_found(self, name: str, truth: bool) -> Sequence[int]:
        if truth:
            return self._found.get(name, ()) if isinstance(self._found, Mapping) else ()
        finding = self._compiler.finding(name)
        if finding is None or self._answer(finding.when) is not False:
            return ()
        return self._why(finding.when, False)

    def _why_atom(self, condition: Condition, truth: bool) -> Sequence[int]:
        facts = self._facts
        match condition:
            case Is(feature, values) | IsNot(feature, values):
                wanted = [(feature.name, value.name) for value in values]
                if truth == isinstance(condition, Is):
                    return _joined(facts.seen.get(key, ()) for key in wanted)
                against = [facts.ruled_out.get(key, ()) for key in wanted]
                return _joined([*against, self._beside(feature.name)])
            case IsSeen(feature) | IsAbsent(feature):
                seen = truth == isinstance(condition, IsSeen)
                return (facts.touched if seen else facts.absent).get(feature.name, ())
            case Compare(feature) | Between(feature):
                numbers = facts.numbers.get(feature.name, ())
                return _joined(number.at for number in numbers) or facts.absent.get(
                    feature.name, ()
                )
            case OfType(kind):
                return self._found.get(f"type {kind.name}", ())
            case OfTypeUntil():
                return self._found.get(condition.found_as, ())
            case Before(earlier, later):
                sides = [*self._compiler.dated_by(earlier.name)]
                sides += self._compiler.dated_by(later.name)
                return _joined(number.at for number in facts.years_of(sides))
            case Says(feature, texts):
                return self._why_says(feature.name, texts, truth)
        raise TypeError(f"no such condition: {condition!r}")

    def _beside(self, feature: str) -> Positions:
        """What rules out a value from outside: another value, or the absence of the feature."""
        one_only = self._compiler.kind(feature) == "choice"
        seen = self._facts.touched.get(feature, ()) if one_only else ()
        return seen or self._facts.absent.get(feature, ())

    def _why_says(self, feature: str, texts: tuple[str, ...], truth: bool) -> Positions:
        seen = self._facts.texts.get(feature, ())
        if truth:
            wanted = [phrase(text) for text in texts]
            seen = tuple(each for each in seen if not each.runs.isdisjoint(wanted))
        elif not seen:
            ruled = [at for (known, _), at in self._facts.ruled_out.items() if known == feature]
            return _joined([*ruled, self._facts.absent.get(feature, ())])
        return _joined(each.at for each in seen)


def _joined(positions: Iterable[Positions]) -> Positions:
    return tuple(at for each in positions for at in each)
