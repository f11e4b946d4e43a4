# ruff: noqa: D102 - each method bears the name of the grammar rule that it serves
"""What each rule of the grammar becomes: small values, and raw entries as kind, name and lines.

Every value is immutable, so that the parser can step back over a bad line. Lists grow as
pairs (list so far, item), for the same reason; `unrolled` makes tuples of them.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from markrules.language.condition_shaping import ConditionShaper
from markrules.language.kinds import SHAPES
from markrules.language.line_words import Word
from markrules.language.raw import Pairs, Parts, RawEntry, RawLine, plain, unrolled
from markrules.language.spans import Named, Span
from markrules.language.tree import Chance, Expect, Order, Row, SharesRow


class Shaper(ConditionShaper):
    """The callbacks of the parser."""

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

    def chance(self, parts: Parts) -> Chance:
        return Chance(parts[0], unrolled(parts[2]) if len(parts) > 2 else ())

    def order_before(self, parts: Parts) -> Order:
        return self._order(parts[0], parts[2], parts)

    def order_after(self, parts: Parts) -> Order:
        return self._order(parts[2], parts[0], parts)

    def _order(self, earlier: Pairs, later: Pairs, parts: Parts) -> Order:
        years = parts[3] if len(parts) > 3 and parts[3] is not None else 1
        return Order(unrolled(earlier), unrolled(later), years, self._span(parts[1]))

    def value_share(self, parts: Parts) -> tuple[Named, float]:
        return self._named(parts[0]), parts[1]

    def shares_row(self, parts: Parts) -> SharesRow:
        return SharesRow(int(parts[0].text), unrolled(parts[1]))

    def role(self, parts: Parts) -> tuple[Named, ...]:
        return tuple(self._named(part) for part in parts)

    def advice(self, parts: Parts) -> tuple[Named, ...]:
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


for _kind in (kind.replace("-", "_") for kind in SHAPES):
    setattr(Shaper, f"{_kind}_lines", Shaper._lines)
    setattr(Shaper, f"{_kind}_line", Shaper._line)
