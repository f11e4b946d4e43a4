"""How names are spelt: the chance of a word on a mark that is in no list.

The model was trained on open lists of names and words by `tests/bench/train_names.py`, which tells
its sources and their licences. It says for up to ORDER letters before, which letter comes next or
whether the word ends. Longer and shorter contexts are mixed; every row sums to 1.
"""

from __future__ import annotations

import os.path
import zlib
from collections.abc import Mapping
from functools import lru_cache
from math import exp, log

from markrules.marks.letters import ALPHABET

ORDER = 4
"""Letters looked back at."""

COINED = 0.05
"""Share of each letter that follows the letter before alone, so that a name spelt like no other
is rare and not impossible. Tried from 0 to 0.3 on held-out surnames: at 0.05 the oddest hundredth
costs two bits less than at 0, and the mean is least; with more, what the model makes up ends as no
name does, and an end that was read (`...SON`) is thought too rare among makers in no list."""

START, END = "^", "$"
SIGNS = ALPHABET + END
"""What a row gives a chance to, in order."""

_STEPS = 24
"""Steps of a stored chance to one natural log: a byte reaches down to e to the -10.6."""

_PLACE = {sign: place for place, sign in enumerate(SIGNS)}
_WIDTH = 4
"""Bytes of a count or a place."""


class NameModel:
    """Rows of chances, each made when it is first asked for."""

    def __init__(self, data: bytes) -> None:
        """Take what `packed` gives."""
        self._data = data
        self._rows: dict[str, tuple[float, ...]] = {}

    def row(self, before: str) -> tuple[float, ...]:
        """P(next | the letters before), one for each of SIGNS; only the last ORDER count."""
        before = before[-ORDER:]
        row = self._rows.get(before)
        if row is None:
            row = self._rows[before] = self._made(before)
        return row

    def word(self, letters: str) -> float:
        """P(a word has exactly these folded letters)."""
        total = 0.0
        before = START
        for letter in (*letters, END):
            total += log(self.row(before)[_PLACE.get(letter, 0)])
            before += letter
        return exp(total)

    def _made(self, before: str) -> tuple[float, ...]:
        shorter = self.row(before[1:]) if before else (1 / len(SIGNS),) * len(SIGNS)
        found = _after(self._data, before)
        if found is None:
            return shorter
        letters, steps = found
        gains = [exp(-step / _STEPS) for step in steps]
        # Gains are stored in steps, and so may sum to a little over 1.
        left = max(1.0 - sum(gains), 1e-4)
        made = [chance * left for chance in shorter]
        for place, gain in zip(letters, gains, strict=True):
            made[place] += gain
        total = sum(made)
        # These rows are what coined names are made of, which are mixed in below.
        if len(before) < 2:
            return tuple(chance / total for chance in made)
        share, coined = (1 - COINED) / total, self.row(before[-1])
        return tuple(
            share * chance + COINED * pair for chance, pair in zip(made, coined, strict=True)
        )


def packed(gains: Mapping[str, Mapping[str, float]]) -> bytes:
    """The gains of each context as bytes, so laid out that one is found without reading the rest.

    First the number of contexts; then all contexts in order, each filled up to ORDER bytes; then
    where each one's gains begin; then the gains: their number, the letters, and the steps.
    """
    contexts = sorted((context.encode("ascii").ljust(ORDER), context) for context in gains)
    parts, places = bytearray(), bytearray()
    for _, context in contexts:
        after = dict(sorted(gains[context].items()))
        places += len(parts).to_bytes(_WIDTH, "big")
        parts += bytes([len(after)])
        parts += bytes(_PLACE[letter] for letter in after)
        parts += bytes(min(255, round(-log(gain) * _STEPS)) for gain in after.values())
    count = len(contexts).to_bytes(_WIDTH, "big")
    return count + b"".join(each for each, _ in contexts) + bytes(places) + bytes(parts)


def _after(data: bytes, context: str) -> tuple[bytes, bytes] | None:
    """The letters that gain after a context, and how much, in steps; None where it has no row."""
    wanted = context.encode("ascii", "replace").ljust(ORDER)
    count = int.from_bytes(data[:_WIDTH], "big")
    low, high = 0, count
    while low < high:
        middle = (low + high) // 2
        start = _WIDTH + middle * ORDER
        if data[start : start + ORDER] < wanted:
            low = middle + 1
        else:
            high = middle
    start = _WIDTH + low * ORDER
    if low == count or data[start : start + ORDER] != wanted:
        return None
    start = _WIDTH + count * ORDER + low * _WIDTH
    at = _WIDTH + count * (ORDER + _WIDTH) + int.from_bytes(data[start : start + _WIDTH], "big")
    number = data[at]
    return data[at + 1 : at + 1 + number], data[at + 1 + number : at + 1 + 2 * number]


@lru_cache(maxsize=1)
def shipped_name_model() -> NameModel:
    """The model that comes with the package."""
    with open(os.path.join(os.path.dirname(__file__), "name_model.bin"), "rb") as file:
        return NameModel(zlib.decompress(file.read()))
