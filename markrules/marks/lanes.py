"""Rough scores of many marks at once: the wear model's likeliest way, in whole numbers.

Each mark has a lane of 16 bits in a long integer, and one operation on the integers works on
all lanes. Costs are negative natural logs in steps of 1/8. The recursion is that of
`likelihood`, with the likeliest way in place of the sum of all ways and without merged letters,
so a score is a close lower bound. It serves to choose which marks to score exactly.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from math import log
from operator import neg

from markrules.marks.letters import ALPHABET
from markrules.marks.wear import Compiled

STEPS = 8
"""Steps of cost to one natural log."""

_DEAREST = 127
"""The greatest cost of one place: e to the -16. A lane of 16 bits holds the sum of all."""

_NEVER = 4000  # with the dearest of 64 letters and 80 places on top it stays below 2**15
_LONGEST = 64
"""Letters of a text that count: each costs a step over all texts."""


def rough_costs(reading: Compiled, texts: Sequence[str]) -> list[int]:
    """For each text (folded letters) -log P of the likeliest way, in steps of 1/STEPS.

    Only the first 64 letters of a text count.
    """
    if not texts:
        return []
    # The longest texts take the lowest lanes, so that lanes which are done can be cut off.
    order = sorted(range(len(texts)), key=lambda number: -len(texts[number]))
    lengths = [min(len(texts[number]), _LONGEST) for number in order]
    columns = _columns([texts[number] for number in order], lengths[0])
    data = _run(reading, columns, lengths).to_bytes(2 * len(texts), "little")
    costs = [0] * len(texts)
    for number, cost in zip(order, _numbers(data), strict=True):
        costs[number] = cost
    return costs


def _numbers(data: bytes) -> Sequence[int]:
    if _LITTLE:
        return memoryview(data).cast("H")
    return [low | high << 8 for low, high in zip(data[::2], data[1::2], strict=True)]


_LITTLE = memoryview(b"\1\0").cast("H")[0] == 1


def _columns(texts: Sequence[str], width: int) -> list[bytes]:
    """The first letters of all texts, the second letters ..., each letter in two bytes."""
    padded = "".join([text[:width].ljust(width) for text in texts])
    if not padded.isascii():
        padded = padded.encode("ascii", "replace").decode()
    return [padded[place::width].encode("utf-16-le") for place in range(width)]


def _cost(chance: float) -> int:
    return min(_DEAREST, round(-log(chance) * STEPS)) if chance > 0 else _DEAREST


def _run(reading: Compiled, columns: list[bytes], lengths: list[int]) -> int:
    """The costs of all texts, one in each lane; `lengths` descend."""
    number = len(lengths)
    all_ones = int.from_bytes(b"\1\0" * number, "little")
    rates, places = reading.model.rates, len(reading.cells)
    tables = [_table(reading, place) for place in range(places)]
    whole = _cost(1 - rates.tail_lost)
    run_on, run = _cost(rates.run_on), _cost(rates.tail_lost * (1 - rates.run_on))
    lanes = _Lanes(all_ones, reading)
    chances = [all_ones * cost for cost in _before_any_letter(reading)]
    missing = [all_ones * _NEVER] * (places + 1)
    lost = all_ones * _NEVER
    active, total = number, 0
    for place, column in enumerate(columns):
        ones = lanes.ones
        head = _cost(rates.head_lost * (1 - rates.run_on) * rates.run_on**place)
        lost = lanes.less(lost + ones * run_on, chances[-1] + ones * run)
        letters = {table: _lanes_of(column[: 2 * active], table) for table in set(tables)}
        row = [letters[table] for table in tables]
        chances, missing = lanes.column(chances, missing, ones * head, row)
        left = bisect_left(lengths, -place - 1, key=neg)
        if left < active:
            mask = (1 << 16 * left) - 1
            total |= lanes.less(chances[-1] + ones * whole, lost) & ~mask
            lanes = _Lanes(all_ones >> 16 * (number - left), reading)
            chances = [each & mask for each in chances]
            missing = [each & mask for each in missing]
            lost &= mask
            active = left
    return total


def _lanes_of(column: bytes, table: bytes) -> int:
    return int.from_bytes(column.translate(table), "little")


def _before_any_letter(reading: Compiled) -> list[int]:
    costs = [_cost(1 - reading.model.rates.head_lost)]
    for inserted in reading.inserted:
        costs.append(min(costs[-1] + _cost(inserted), _NEVER))
    return costs


class _Lanes:
    """One step of the recursion, for as many lanes as `ones` has."""

    def __init__(self, ones: int, reading: Compiled) -> None:
        self.ones = ones
        self.tops = ones << 15
        each = zip(reading.inserted, reading.opened, reading.kept_on, strict=True)
        self.fixed = [
            (ones * _cost(inserted), ones * _cost(opened), ones * _cost(opened + kept_on))
            for inserted, opened, kept_on in each
        ]

    def less(self, first: int, second: int) -> int:
        """The smaller number of each lane; all numbers are below 2**15."""
        top = ((first | self.tops) - second) & self.tops
        return first ^ ((first ^ second) & (top - (top >> 15)))

    def column(
        self, old: list[int], old_missing: list[int], start: int, row: list[int]
    ) -> tuple[list[int], list[int]]:
        """The costs of all places, and of those after a missing letter, one letter on."""
        less = self.less
        chances, missing = [start], old_missing[:1]
        now, before = start, old[0]
        after = zip(row, self.fixed, old[1:], old_missing[1:], strict=True)
        for letter, (inserted, opened, kept_on), was, was_missing in after:
            gone = less(was + opened, was_missing + kept_on)
            now = less(less(before + letter, gone), now + inserted)
            chances.append(now)
            missing.append(gone)
            before = was
        return chances, missing


def _table(reading: Compiled, place: int) -> bytes:
    """What a letter struck costs at this place, for every byte; nothing for the upper bytes."""
    column, rest = reading.columns[place]
    cached = _TABLES.get(id(column)) if len(column) > 1 else None
    if cached is not None and cached[0] is column:
        return cached[1]
    table = bytearray([_DEAREST]) * 256
    table[0] = 0
    for letter in ALPHABET + "?":
        table[ord(letter)] = _cost(column.get(letter, rest))
    made = bytes(table)
    if len(_TABLES) > 500:
        _TABLES.clear()
    _TABLES[id(column)] = (column, made)
    return made


_TABLES: dict[int, tuple[object, bytes]] = {}
