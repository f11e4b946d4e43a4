"""Counting votes for whole lists of marks at once, on sets of marks kept as long integers.

Bit i of a set stands for mark i of a list. The votes are added column by column, as a binary
adder does, so the work is a few operations on long integers for each vote, whatever the list
holds. The number of votes of every mark is kept in binary: plane k is the set of marks whose
number has bit k.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import reduce
from operator import or_

Planes = Sequence[int]

_SET_BITS = tuple(tuple(bit for bit in range(8) if byte >> bit & 1) for byte in range(256))
_NONZERO = re.compile(rb"[^\0]")


def tally(votes: Iterable[int]) -> list[int]:
    """The planes of the number of votes of each mark, lowest first."""
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


def highest(lists: Sequence[Planes], wanted: int) -> tuple[int, list[int], list[int]]:
    """The marks with most votes over several lists.

    Gives the most votes that at least `wanted` marks have, the marks of each list with more
    than that, and those with just as many. Where fewer than `wanted` marks have any vote, all
    of them have more than 0, and the last is empty.
    """
    deepest = max(map(len, lists), default=0)
    above = [0] * len(lists)
    level = [reduce(or_, planes, 0) for planes in lists]
    votes = number_above = 0
    for place in range(deepest - 1, -1, -1):
        having = [
            marks & planes[place] if place < len(planes) else 0
            for marks, planes in zip(level, lists, strict=True)
        ]
        number = sum(map(int.bit_count, having))
        if number_above + number >= wanted:
            level, votes = having, votes | 1 << place
        else:
            above = [one | other for one, other in zip(above, having, strict=True)]
            level = [one ^ one & other for one, other in zip(level, having, strict=True)]
            number_above += number
    return votes, above, level if votes else [0] * len(lists)


def at_least(planes: Planes, votes: int) -> int:
    """The set of marks with at least that many votes; `votes` is 1 or more."""
    if votes >> len(planes):
        return 0
    above = level = 0
    everything = True  # until the first bit that `votes` has, every mark is level with it
    for place in range(len(planes) - 1, -1, -1):
        plane = planes[place]
        if votes >> place & 1:
            level, everything = plane if everything else level & plane, False
        elif everything:
            above |= plane
        else:
            both = level & plane
            above, level = above | both, level ^ both
    # What is above was never taken out of `everything`, and may be level with it too.
    return above | level


def members(marks: int, most: int) -> list[int]:
    """The first `most` numbers in the set, ascending."""
    found: list[int] = []
    if most <= 0:
        return found
    for place in _NONZERO.finditer(marks.to_bytes((marks.bit_length() + 7) // 8, "little")):
        first = place.start() * 8
        found += [first + bit for bit in _SET_BITS[place[0][0]]]
        if len(found) >= most:
            break
    return found[:most]
