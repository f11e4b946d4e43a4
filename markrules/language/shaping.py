# ruff: noqa: D102 - each method bears the name of the grammar rule that it serves
"""What each rule of the grammar becomes: small values, and raw entries as kind, name and lines.

Every value is immutable, so that the parser can step back over a bad line. Lists grow as
pairs (list so far, item), for the same reason; `unrolled` makes tuples of them.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any, Literal, NamedTuple, TypeAlias

from markrules.language.lines import Word
from markrules.language.shapes import SHAPES
from markrules.language.tree import (
    And,
    AtLeast,
    Between,
    Cite,
    Compare,
    Condition,
    Expect,
    Found,
    Is,
    IsAbsent,
    IsNot,
    IsSeen,
    Named,
    Not,
    Or,
    Quantity,
    Row,
    Says,
    Span,
    Year,
)

# What a rule's parts became: words where they are terminals.
Parts: TypeAlias = list[Any]
Pairs: TypeAlias = tuple[Any, Any] | None

_ESCAPE = re.compile(r"\\(.)")


class RawLine(NamedTuple):
    """A line of an entry: its key, where the key stands, and its value (`None` if bare).

    `end` is the line and column after its last word.
    """

    key: str
    span: Span
    value: Any
    end: tuple[int, int] = (0, 0)


class RawEntry(NamedTuple):
    """An entry, or a part of one (`value`, `mark`), as read: nothing is checked yet."""

    kind: str
    name: Named
    text: str
    lines: tuple[RawLine | RawEntry, ...]
    span: Span


class WindowPart(NamedTuple):
    """A part of a window, such as `mostly 1925 to 1960`: its words and its years."""

    words: str
    years: tuple[Year, ...]
    fade: int | None
    span: Span


def unrolled(pairs: Pairs) -> tuple[Any, ...]:
    """The items of a list that was built as pairs, first to last."""
    items = []
    while pairs is not None:
        pairs, item = pairs
        items.append(item)
    return tuple(reversed(items))


def plain(text: str) -> str:
    """What a quoted text says, without quotes and escapes."""
    inner = text[1:-1]
    return _ESCAPE.sub(r"\1", inner) if "\\" in inner else inner


class Shaper:
    """The callbacks of the parser. `file` is the file being read, for the spans."""

    file = ""

    def _span(self, word: Word) -> Span:
        return Span(self.file, word[2], word[3], word[4])

    def _named(self, word: Word) -> Named:
        return Named(word[1], Span(self.file, word[2], word[3], word[4]))

    # --- Entries and their lines ---------------------------------------------------------

    def start(self, parts: Parts) -> tuple[RawEntry, ...]:
        return unrolled(parts[0])

    def entries(self, parts: Parts) -> Pairs:
        return (parts[0], parts[1]) if parts else None

    def entry(self, parts: Parts) -> RawEntry:
        kind, name = parts[0], parts[1]
        lines = unrolled(parts[4]) if len(parts) > 3 else ()
        return RawEntry(kind.text, self._named(name), "", lines, self._span(kind))

    def part(self, parts: Parts) -> RawEntry:
        kind, name = parts[0], parts[1]
        text = parts[2] if isinstance(parts[2], str) else ""
        lines = unrolled(parts[-2]) if len(parts) > 5 else ()
        return RawEntry(kind.text, self._named(name), text, lines, self._span(kind))

    def _lines(self, parts: Parts) -> Pairs:
        return (None, parts[0]) if len(parts) == 1 else (parts[0], parts[1])

    def _line(self, parts: Parts) -> RawLine:
        key = parts[0]
        value = parts[1] if len(parts) > 2 else None
        if type(value) is Word:
            value = self._named(value) if value.kind == "name" else int(value.text)
        return RawLine(key.text, self._span(key), value, (parts[-1].line, parts[-1].end_column))

    def line_not(self, parts: Parts) -> RawLine:
        return RawLine(parts[0].text, self._span(parts[0]), replace(parts[2], wanted=False))

    def first(self, parts: Parts) -> Pairs:
        return None, self._item(parts[0])

    def more(self, parts: Parts) -> Pairs:
        return parts[0], self._item(parts[2])

    def _item(self, part: Any) -> Any:
        return self._named(part) if type(part) is Word else part

    # --- Lines with a shape of their own -------------------------------------------------

    def point(self, parts: Parts) -> tuple[int, float]:
        return int(parts[0].text), parts[1]

    def role(self, parts: Parts) -> tuple[Named, ...]:
        return tuple(self._named(part) for part in parts)

    def meaning(self, parts: Parts) -> tuple[Named, Named]:
        return parts[0], self._named(parts[2])

    def strength(self, parts: Parts) -> Named | None:
        return self._named(parts[0]) if parts else None

    def mending(self, parts: Parts) -> tuple[Named, str]:
        return self._named(parts[0]), parts[1] if len(parts) > 1 else ""

    def row_key(self, parts: Parts) -> tuple[str, Span]:
        part = parts[0]
        key = plain(part.text) if part.kind == "text" else part.text
        return key, self._span(part)

    def row_tail(self, parts: Parts) -> Pairs:
        return (parts[0], parts[1]) if parts else None

    def row_extra(self, parts: Parts) -> tuple[Named, Any]:
        key, value = self._named(parts[0]), parts[1]
        return key, self._named(value) if type(value) is Word else value

    def row_year(self, parts: Parts) -> tuple[Row, Pairs]:
        (key, span), year = parts[0], int(parts[2].text)
        return Row(key, year, year, span=span), parts[3]

    def row_years(self, parts: Parts) -> tuple[Row, Pairs]:
        (key, span), first, last = parts[0], int(parts[2].text), int(parts[4].text)
        return Row(key, first, last, span=span), parts[5]

    def row_size(self, parts: Parts) -> tuple[Row, Pairs, Named]:
        (key, span), size = parts[0], parts[2]
        row = Row(key, low_mm=size, high_mm=size, span=span)
        return row, parts[4], self._named(parts[3])

    def row_sizes(self, parts: Parts) -> tuple[Row, Pairs, Named]:
        (key, span), low, high = parts[0], parts[2], parts[4]
        row = Row(key, low_mm=low, high_mm=high, span=span)
        return row, parts[6], self._named(parts[5])

    def number_range(self, parts: Parts) -> tuple[float, float]:
        return parts[0], parts[-1]

    share_range = number_range

    def expect_name(self, parts: Parts) -> Expect:
        return Expect(parts[0].text, self._named(parts[1]), span=self._span(parts[0]))

    def expect_years(self, parts: Parts) -> Expect:
        years = (int(parts[1].text), int(parts[3].text))
        return Expect("years", years=years, span=self._span(parts[0]))

    def expect_year(self, parts: Parts) -> Expect:
        return Expect("year", years=(int(parts[1].text),), span=self._span(parts[0]))

    def expect_sight(self, parts: Parts) -> Expect:
        return Expect("sees", condition=parts[0], span=parts[0].span)

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


for _kind in (kind.replace("-", "_") for kind in SHAPES):
    setattr(Shaper, f"{_kind}_lines", Shaper._lines)
    setattr(Shaper, f"{_kind}_line", Shaper._line)
