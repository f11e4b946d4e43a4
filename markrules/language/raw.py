"""What is read before it is checked: raw entries and lines, and lists as they grow."""

from __future__ import annotations

import re
from typing import Any, TypeAlias

from markrules.language.line_words import Word
from markrules.language.spans import Named, Span
from markrules.language.windows import Wave, Year
from markrules.named_tuple import NamedTuple

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


class SpreadPart(NamedTuple):
    """A part of a spread: a wave, or the background's share."""

    wave: Wave | None
    again: bool
    background: float | None
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


class Placer:
    """Gives words their place. `file` is the file being read."""

    file = ""

    def _span(self, word: Word) -> Span:
        return Span(self.file, word[2], word[3], word[4])

    def _named(self, word: Word) -> Named:
        return Named(word[1], Span(self.file, word[2], word[3], word[4]))
