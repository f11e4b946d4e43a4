# ruff: noqa: D102 - each method bears the name of the grammar rule that it serves
"""What the grammar's rules for conditions, windows and small things become."""

from __future__ import annotations

from typing import Any, Literal

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
from markrules.language.line_words import Word
from markrules.language.raw import Parts, Placer, SpreadPart, WindowPart, plain, unrolled
from markrules.language.spans import NOWHERE, Named
from markrules.language.tree import Cite
from markrules.language.windows import Wave, Year


class ConditionShaper(Placer):
    """The callbacks for the inner parts of a line."""

    # --- Conditions ----------------------------------------------------------------------

    def _same(self, parts: Parts) -> Any:
        return parts[0]

    condition = conjunction = negation = _same

    def either(self, parts: Parts) -> Condition:
        left, right = parts[0], parts[2]
        return Or((*(left.parts if isinstance(left, Or) else (left,)), right), left.span)

    def both(self, parts: Parts) -> Condition:
        left, right = parts[0], parts[2]
        return And((*(left.parts if isinstance(left, And) else (left,)), right), left.span)

    def negated(self, parts: Parts) -> Condition:
        return Not(parts[1], self._span(parts[0]))

    def bracket(self, parts: Parts) -> Condition:
        inner: Condition = parts[1]
        return inner

    def at_least(self, parts: Parts) -> Condition:
        return AtLeast(int(parts[2].text), unrolled(parts[5]), self._span(parts[2]))

    def found(self, parts: Parts) -> Condition:
        name = self._named(parts[1])
        return Found(name, name.span)

    def found_type(self, parts: Parts) -> Condition:
        name = self._named(parts[2])
        return OfType(name, name.span)

    def found_type_until(self, parts: Parts) -> Condition:
        return OfTypeUntil(int(parts[3].text), self._span(parts[3]))

    def years_apart(self, parts: Parts) -> int:
        return int(parts[1].text)

    def before(self, parts: Parts) -> Condition:
        return Before(parts[0], parts[2], _apart(parts), parts[0].span)

    def after(self, parts: Parts) -> Condition:
        return Before(parts[2], parts[0], _apart(parts), parts[0].span)

    def feature(self, parts: Parts) -> Named:
        return self._named(parts[0])

    def is_value(self, parts: Parts) -> Condition:
        return Is(parts[0], (self._named(parts[2]),), parts[0].span)

    def is_one_of(self, parts: Parts) -> Condition:
        return Is(parts[0], unrolled(parts[5]), parts[0].span)

    def is_not_value(self, parts: Parts) -> Condition:
        return IsNot(parts[0], (self._named(parts[3]),), parts[0].span)

    def is_not_one_of(self, parts: Parts) -> Condition:
        return IsNot(parts[0], unrolled(parts[6]), parts[0].span)

    def is_seen(self, parts: Parts) -> Condition:
        return IsSeen(parts[0], parts[0].span)

    def is_absent(self, parts: Parts) -> Condition:
        return IsAbsent(parts[0], parts[0].span)

    def _compare(self, parts: Parts, sign: Literal["<", "<=", ">", ">="]) -> Condition:
        return Compare(parts[0], sign, parts[-1], parts[0].span)

    def over(self, parts: Parts) -> Condition:
        return self._compare(parts, ">")

    def under(self, parts: Parts) -> Condition:
        return self._compare(parts, "<")

    def no_less(self, parts: Parts) -> Condition:
        return self._compare(parts, ">=")

    def no_more(self, parts: Parts) -> Condition:
        return self._compare(parts, "<=")

    def between(self, parts: Parts) -> Condition:
        return Between(parts[0], parts[2], parts[4], parts[0].span)

    def says(self, parts: Parts) -> Condition:
        return Says(parts[0], (parts[2],), parts[0].span)

    def says_one_of(self, parts: Parts) -> Condition:
        return Says(parts[0], unrolled(parts[5]), parts[0].span)

    # --- Windows -------------------------------------------------------------------------

    def window_part(self, parts: Parts) -> WindowPart:
        words = [part.text for part in parts if type(part) is Word and part.kind != "number"]
        years = tuple(part for part in parts if isinstance(part, Year))
        fade = int(parts[1].text) if words[0] == "fade" else None
        return WindowPart(" ".join(words), years, fade, self._span(parts[0]))

    # --- Spreads -------------------------------------------------------------------------

    def wave(self, parts: Parts) -> SpreadPart:
        return SpreadPart(Wave(*parts[:3]), False, None, NOWHERE)

    def level_wave(self, parts: Parts) -> SpreadPart:
        return SpreadPart(Wave(parts[0], None, parts[2]), False, None, NOWHERE)

    def later_wave(self, parts: Parts) -> SpreadPart:
        return SpreadPart(
            Wave(parts[1], parts[2], parts[3], parts[5]), True, None, self._span(parts[0])
        )

    def later_level_wave(self, parts: Parts) -> SpreadPart:
        wave = Wave(parts[1], None, parts[3], parts[5])
        return SpreadPart(wave, True, None, self._span(parts[0]))

    def background(self, parts: Parts) -> SpreadPart:
        return SpreadPart(None, False, parts[1], self._span(parts[0]))

    def year(self, parts: Parts) -> Year:
        word = parts[0].text
        if word == "now":
            return Year(0, now=True)
        if word != "year":
            return Year(int(word))
        if len(parts) == 1:
            return Year(0, relative=True)
        shift = int(parts[2].text)
        return Year(shift if parts[1].text == "+" else -shift, relative=True)

    # --- Small things --------------------------------------------------------------------

    def quantity(self, parts: Parts) -> Quantity:
        unit = parts[1].text if len(parts) > 1 else ""
        return Quantity(float(parts[0].text), unit, self._span(parts[0]))

    def number(self, parts: Parts) -> float:
        return float(parts[0].text)

    def share(self, parts: Parts) -> float:
        return round(float(parts[0].text[:-1]) / 100, 12)

    def text(self, parts: Parts) -> str:
        return plain(parts[0].text)

    def cite(self, parts: Parts) -> Cite:
        source = self._named(parts[0])
        return Cite(source, parts[1] if len(parts) > 1 else "", source.span)


def _apart(parts: Parts) -> int:
    """The least number of years between the sides; one year where none is said."""
    return parts[3] if len(parts) > 3 and parts[3] is not None else 1
