"""A list of texts with their features, and the few of them worth scoring for a reading."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from typing import Protocol

from markrules.marks.grams import features, sought
from markrules.marks.reading_syntax import Cell
from markrules.marks.tally import at_least, best, members, tally
from markrules.marks.wear import WearModel

SHORT = 3
"""Readings of up to this many letters without a gap look among short marks first."""


class TextIndex(Protocol):
    """Distinct folded texts, numbered by length and then by letters, and their features."""

    def __len__(self) -> int:
        """How many texts there are."""

    def text(self, number: int) -> str:
        """The text of that number."""

    def having(self, feature: str) -> int:
        """The set of texts with the feature: bit i for text i."""

    def shorter_than(self, length: int) -> int:
        """How many texts have fewer letters than `length`: they have the lowest numbers."""


class SmallIndex:
    """A text index in memory, for some thousand texts."""

    def __init__(self, texts: Iterable[str]) -> None:
        """Take distinct texts out of `texts` and note their features."""
        self.texts = sorted(set(texts), key=lambda text: (len(text), text))
        having: dict[str, int] = {}
        for number, text in enumerate(self.texts):
            bit = 1 << number
            for feature in set(features(text)):
                having[feature] = having.get(feature, 0) | bit
        self._having = having

    def __len__(self) -> int:
        """How many texts there are."""
        return len(self.texts)

    def text(self, number: int) -> str:
        """The text of that number."""
        return self.texts[number]

    def having(self, feature: str) -> int:
        """The set of texts with the feature."""
        return self._having.get(feature, 0)

    def shorter_than(self, length: int) -> int:
        """How many texts have fewer letters."""
        return bisect_left(self.texts, length, key=len)


def candidates(index: TextIndex, cells: Sequence[Cell], model: WearModel, most: int) -> list[str]:
    """Up to `most` texts that share most with the reading, in alphabetical order.

    Each feature of the reading that a text has counts two, one that a look-alike letter would
    give counts one. Of texts that share equally much the shorter come first. A reading of a few
    letters without a gap looks among the short marks and among all, half of the number each.
    """
    votes: list[int] = []
    for own, like in sought(cells, model):
        exact = _any(index, own)
        votes += [exact, exact | _any(index, like)]
    short = len(cells) <= SHORT and all(cell.kind != "gap" for cell in cells)
    found: list[int] = []
    if short:
        few = (1 << index.shorter_than(len(cells) + 2)) - 1
        found = _most_voted([vote & few for vote in votes], most // 2)
    found += _most_voted(votes, most - len(found))
    return sorted({index.text(number) for number in found})


def _any(index: TextIndex, wanted: Sequence[str]) -> int:
    together = 0
    for feature in wanted:
        together |= index.having(feature)
    return together


def _most_voted(votes: list[int], most: int) -> list[int]:
    planes = tally(votes)
    if not planes or most <= 0:
        return []
    least, marks = best(planes, most)
    if marks.bit_count() <= most:
        return members(marks, most)
    # Those with more votes than the last to get in, and then the shortest of the last.
    surely = at_least(planes, least + 1)
    first = members(surely, most)
    return first + members(marks & ~surely, most - len(first))
