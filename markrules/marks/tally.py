"""Counting votes for a whole list of marks at once, on sets of marks kept as long integers.

Bit number i of a set stands for mark number i of the list. The votes are added column by
column, as a binary adder does, so the work is a few operations on long integers for each vote,
whatever the list holds.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

_SET_BITS = tuple(tuple(bit for bit in range(8) if byte >> bit & 1) for byte in range(256))
_NONZERO = re.compile(rb"[^\0]")


def tally(votes: Iterable[int]) -> list[int]:
    """The number of votes of each mark in binary: item k holds the marks with bit k set."""
    columns: list[list[int]] = [[vote for vote in votes if vote]]
    planes: list[int] = []
    for column in columns:  # grows while it is walked
        carried: list[int] = []
        while len(column) > 2:
            first, second, third = column.pop(), column.pop(), column.pop()
            either = first ^ second
            column.insert(0, either ^ third)
            carried.append(first & second | either & third)
        if len(column) == 2:
            carried.append(column[0] & column[1])
            column[:] = [column[0] ^ column[1]]
        planes.append(column[0] if column else 0)
        if carried:
            columns.append(carried)
    return planes


def at_least(planes: list[int], votes: int) -> int:
    """The set of marks with at least that many votes; `votes` is 1 or more."""
    above = 0
    level = -1
    for place in range(max(len(planes), votes.bit_length()) - 1, -1, -1):
        plane = planes[place] if place < len(planes) else 0
        if votes >> place & 1:
            level &= plane
        else:
            above |= level & plane
            level &= ~plane
    return above | level


def best(planes: list[int], wanted: int) -> tuple[int, int]:
    """The most votes that at least `wanted` marks have, and the set of marks with so many.

    With fewer marks than `wanted` that have any vote, all of those, and 1.
    """
    low, high = 1, (1 << len(planes)) - 1
    chosen = at_least(planes, low)
    while low < high:
        middle = (low + high + 1) // 2
        tried = at_least(planes, middle)
        if tried.bit_count() >= wanted:
            low, chosen = middle, tried
        else:
            high = middle - 1
    return low, chosen


def members(marks: int, most: int) -> list[int]:
    """The first `most` numbers in the set, ascending."""
    if marks < 0:
        raise ValueError("a set of marks is never negative")
    found: list[int] = []
    for place in _NONZERO.finditer(marks.to_bytes((marks.bit_length() + 7) // 8, "little")):
        first = place.start() * 8
        found += [first + bit for bit in _SET_BITS[place[0][0]]]
        if len(found) >= most:
            break
    return found[:most]
