"""The few texts of long lists that are worth scoring for a reading."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import Protocol

from markrules.frozen import dataclass
from markrules.marks.columns import sought
from markrules.marks.reading_syntax import Cell
from markrules.marks.tally import Planes, at_least, highest, members, tally
from markrules.marks.wear import Compiled, in_other_letters

LOOKED_AT = 600
"""Texts that are scored roughly for each reading."""

SCORED = 48
"""Texts that are scored exactly: the best of those."""

SHORT = 3
"""Readings of up to this many letters without a gap look among short marks first."""

HOPELESS = 0.55
"""A text with less than this share of the votes of the best is not looked at,"""

FEWEST = 12
"""unless fewer than this many were left: a list of results should have some to compare."""


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


@dataclass(frozen=True, slots=True)
class Candidate:
    """A text to be scored, and its place: number of the index, number of the text in it.

    Where texts that share as much with the reading were left out for want of room, `stands_for`
    is how many texts this one represents, itself included; 1 otherwise.
    """

    text: str
    index: int
    number: int
    stands_for: float = 1.0


def candidates(
    indexes: Sequence[TextIndex],
    reading: Compiled,
    looked_at: int = LOOKED_AT,
    scored: int = SCORED,
    fewest: int = FEWEST,
    least: float = -inf,
    pairs: bool = True,
) -> list[Candidate]:
    """Up to `scored` texts worth scoring exactly, in alphabetical order; at least `fewest` if
    so many share anything with the reading.

    First, up to `looked_at` texts that have most features of the reading, the shorter first of
    those that have equally many; a reading of a few letters without a gap takes half of them
    from the short marks. Of these the best by a rough score, and none whose rough score, a natural
    log of P(reading | text) that is a little too low, lies below `least`; but the best always.
    The rough score knows no letters but those of the wear model: of others none is left out by it.
    `pairs` as for `sought`: without them less is asked of a long list, a third of it the dearest.
    """
    if in_other_letters(reading.cells):
        least = -inf
    found = _most_alike(indexes, reading.cells, looked_at, fewest, pairs)
    if len(found) > scored or least > -inf:
        from markrules.marks.lanes import STEPS, rough_costs

        costs = rough_costs(reading, [each.text for each in found])
        order = sorted(range(len(found)), key=costs.__getitem__)
        dearest = -least * STEPS
        kept = [place for place in order[:scored] if costs[place] <= dearest]
        found = [found[place] for place in kept or order[:1]]
    return sorted(found, key=_alphabetical)


def _alphabetical(candidate: Candidate) -> tuple[str, int, int, float]:
    return candidate.text, candidate.index, candidate.number, candidate.stands_for


def _most_alike(
    indexes: Sequence[TextIndex], cells: Sequence[Cell], most: int, fewest: int, pairs: bool
) -> list[Candidate]:
    asked = sought(cells, pairs)
    votes = [[_any(index, wanted) for wanted in asked] for index in indexes]
    found: dict[tuple[int, int], Candidate] = {}
    if len(cells) <= SHORT and all(cell.kind != "gap" for cell in cells):
        # At most one letter longer than what was read: a long mark shares letters with anything.
        short = [(1 << index.shorter_than(len(cells) + 2)) - 1 for index in indexes]
        few = [tally(vote & mask for vote in each) for each, mask in zip(votes, short, strict=True)]
        found = _voted(indexes, few, most // 2, fewest)
    every = [tally(each) for each in votes]
    return list((_voted(indexes, every, most - len(found), fewest) | found).values())


def _any(index: TextIndex, wanted: Sequence[str]) -> int:
    together = 0
    for feature in wanted:
        together |= index.having(feature)
    return together


def _voted(
    indexes: Sequence[TextIndex], lists: Sequence[Planes], most: int, fewest: int
) -> dict[tuple[int, int], Candidate]:
    """The texts with most votes, as many as there is room for."""
    above, level = _cut(lists, most, fewest)
    found: dict[tuple[int, int], Candidate] = {}
    for place, (index, marks) in enumerate(zip(indexes, above, strict=True)):
        for number in members(marks, most):
            found[place, number] = Candidate(index.text(number), place, number)
    total = sum(map(int.bit_count, level))
    room = most - len(found)
    if total and room > 0:
        # Each list has its part of the room, so that a long one does not crowd out a short one.
        share = max(1, -(-room // sum(map(bool, level))))
        last = [
            (place, number) for place, marks in enumerate(level) for number in members(marks, share)
        ][:room]
        for place, number in last:
            text = indexes[place].text(number)
            found[place, number] = Candidate(text, place, number, total / len(last))
    return found


def _cut(lists: Sequence[Planes], most: int, fewest: int) -> tuple[list[int], list[int]]:
    """The marks of each list that surely belong, and those that do as far as there is room."""
    best, _, _ = highest(lists, 1)
    least, above, level = highest(lists, most)
    # Against the best, and not as a fixed number: a reading of few letters gives few votes to any.
    enough = int(best * HOPELESS)
    if enough <= least:
        return above, level
    together = [at_least(planes, enough) for planes in lists]
    if sum(map(int.bit_count, together)) >= fewest:
        return together, [0] * len(lists)
    _, above, level = highest(lists, fewest)
    return above, level
