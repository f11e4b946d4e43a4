"""What the words of a note, taken together, tell of what misleads about a piece.

Remarks are known by words in an order that the rules foresee. Whoever tells of something odd in
words that nobody foresaw uses, all the same, many words that such notes have in common. Each word
and pair of words of a note weighs for each kind of what misleads, and for a note on which nothing
does. The weights were learned from notes of which that is known, by
`tests/bench/train_whole_note.py`.
"""

from __future__ import annotations

import os
import re
import zlib
from array import array
from bisect import bisect_left
from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise
from math import exp, sqrt

from markrules.frozen import dataclass
from markrules.late import late

SOUND = "sound"
"""The name of the notes on which nothing misleads."""

MOST_WORDS = 400
"""Words that are weighed: nobody describes one piece in more."""

LONGEST_SAID = 60
"""Letters of a stretch of the note that is told back."""

MAGIC = b"whole-note/1\n"
STEPS = 127

LONGEST_FIGURE = 3
"""Figures of a number that is a word like others, as what is stamped is; longer ones are alike."""

_WORD = re.compile(r"[^\W_]+|[£$©®?]")
_YEAR = late(r"1[5-9][0-9]{2}|20[0-4][0-9]")
_STRETCHES = re.compile(r"(?<=[.;!?])\s+|,\s+|\s+(?=but )")


def words_of(text: str) -> list[str]:
    """The words of a text as they are weighed: in small letters, years and long numbers alike."""
    return [_plain(word) for word in _WORD.findall(text.casefold())[:MOST_WORDS]]


def _plain(word: str) -> str:
    if not word.isdigit() or len(word) <= LONGEST_FIGURE:
        return word
    return "#year" if _YEAR.fullmatch(word) else "#"


def signs_of(words: list[str]) -> Iterator[str]:
    """The words, and the pairs of words next to each other."""
    yield from words
    for one, other in pairwise(words):
        yield f"{one} {other}"


def key_of(sign: str) -> int:
    """The number under which the weights of a sign are kept."""
    return zlib.crc32(sign.encode())


@dataclass(frozen=True, slots=True)
class WholeNote:
    """Weights of signs for each kind; the last kind is SOUND.

    `keys` are the keys of the signs, rising; `rareness` of each how much it counts, and
    `weights` its weights in the order of the kinds, in steps of `step`.
    """

    kinds: tuple[str, ...]
    bases: tuple[float, ...]
    step: float
    keys: array[int]
    rareness: array[float]
    weights: array[int]

    def chances(self, text: str) -> dict[str, float]:
        """The probability of each kind, and of SOUND; they sum to 1."""
        logs = self._logs(words_of(text))
        top = max(logs)
        odds = [exp(each - top) for each in logs]
        return {kind: each / sum(odds) for kind, each in zip(self.kinds, odds, strict=True)}

    def said(self, text: str, kind: str) -> str:
        """The stretch of a note that speaks most for a kind, in the writer's words."""
        at, sound = self.kinds.index(kind), self.kinds.index(SOUND)
        stretches = [each.strip(" .,;") for each in _STRETCHES.split(text)]

        def speaks(stretch: str) -> float:
            logs = self._logs(words_of(stretch))
            return logs[at] - logs[sound]

        # A single word between two commas says little by itself.
        long = [each for each in stretches if len(each.split()) > 2]
        best = max(long or stretches, key=speaks)
        plain = " ".join("".join(sign if sign.isprintable() else " " for sign in best).split())
        if len(plain) <= LONGEST_SAID:
            return plain
        return plain[:LONGEST_SAID].rsplit(" ", 1)[0] + " …"

    def _logs(self, words: list[str]) -> list[float]:
        found = [
            at for at in map(self._place, {key_of(sign) for sign in signs_of(words)}) if at >= 0
        ]
        norm = sqrt(sum(self.rareness[at] ** 2 for at in found)) or 1.0
        logs = list(self.bases)
        width, step = len(self.kinds), self.step / norm
        for at in found:
            share = self.rareness[at] * step
            row = self.weights[at * width : (at + 1) * width]
            for kind, weight in enumerate(row):
                logs[kind] += weight * share
        return logs

    def _place(self, key: int) -> int:
        at = bisect_left(self.keys, key)
        return at if at < len(self.keys) and self.keys[at] == key else -1


def packed(model: WholeNote) -> bytes:
    """A model as it is kept: `unpacked` gives it back."""
    head = ",".join([*model.kinds, *map(repr, model.bases), repr(model.step)])
    parts = (model.keys, model.rareness, model.weights)
    return MAGIC + zlib.compress(
        head.encode() + b"\n" + b"".join(_bytes(each) for each in parts), 9
    )


def unpacked(data: bytes) -> WholeNote:
    """The model of which these are the bytes. Raises ValueError if they are none."""
    if not data.startswith(MAGIC):
        raise ValueError("not a model of whole notes")
    head, _, body = zlib.decompress(data[len(MAGIC) :]).partition(b"\n")
    said = head.decode().split(",")
    width = (len(said) - 1) // 2
    keys, rareness, weights = array("I"), array("f"), array("b")
    count = len(body) // (keys.itemsize + rareness.itemsize + width)
    ends = (count * keys.itemsize, count * (keys.itemsize + rareness.itemsize))
    for part, some in ((keys, body[: ends[0]]), (rareness, body[ends[0] : ends[1]])):
        part.frombytes(some)
        if _BIG_ENDED:
            part.byteswap()
    weights.frombytes(body[ends[1] :])
    kinds, numbers = tuple(said[:width]), [float(each) for each in said[width:]]
    return WholeNote(kinds, tuple(numbers[:width]), numbers[width], keys, rareness, weights)


_BIG_ENDED = array("H", [1]).tobytes() == b"\0\1"


def _bytes(part: array[int] | array[float]) -> bytes:
    """The items of an array, the least byte first."""
    if _BIG_ENDED:
        part = part[:]
        part.byteswap()
    return part.tobytes()


@lru_cache(maxsize=1)
def shipped() -> WholeNote:
    """The model that comes with the package."""
    with open(os.path.join(os.path.dirname(__file__), "whole_note.bin"), "rb") as file:
        return unpacked(file.read())
