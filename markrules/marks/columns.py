"""An index of texts held by columns: the first letters of all texts, the second letters ..."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence

from markrules.marks.letters import ALPHABET
from markrules.marks.reading_syntax import Cell

DEEPEST = 12
"""Letters further than this from an end have no feature of their place."""

PAIRS = {1: "", 2: "."}
"""The steps from one letter of a pair to the other, and what is written between them."""


def sought(cells: Sequence[Cell]) -> list[tuple[str, ...]]:
    """What a reading asks for: for each place and pair of places, the features that would do.

    Places are counted from an end only where no gap lies between, and a pair never spans a gap.
    """
    kinds = [cell.kind for cell in cells]
    first_gap = kinds.index("gap") if "gap" in kinds else len(cells)
    last_gap = len(cells) - 1 - kinds[::-1].index("gap") if "gap" in kinds else -1
    letters = [tuple(_key(letter) for letter, _ in cell.letters) for cell in cells]
    asked = []
    for place, own in enumerate(letters):
        after = len(cells) - 1 - place
        if place < min(first_gap, DEEPEST):
            asked.append(tuple(f"^{place}{letter}" for letter in own))
        if place > last_gap and after < DEEPEST:
            asked.append(tuple(f"${after}{letter}" for letter in own))
        for step, between in PAIRS.items():
            if place + step < len(cells) and "gap" not in kinds[place : place + step]:
                other = letters[place + step]
                asked.append(tuple(a + between + b for a in own for b in other))
    return [each for each in asked if each]


def _key(letter: str) -> str:
    return letter if letter.isascii() else "?"


LETTERS = ALPHABET + "?"
_WIDEST = 64  # pairs further than this from the start of a text are not indexed

# For each letter, a table that turns it into "1" and every other byte into "0".
_IS = {a: bytes(49 if byte == ord(a) else 48 for byte in range(256)) for a in LETTERS}


class ColumnIndex:
    """A text index in memory. A feature's set is worked out when it is first asked for."""

    def __init__(self, texts: Iterable[str]) -> None:
        """Take the distinct texts of `texts`, each in folded letters and not empty."""
        self.texts = sorted(dict.fromkeys(texts), key=_length_first)
        self._lengths = [len(text) for text in self.texts]
        plain = [text.encode("ascii", "replace") for text in self.texts]
        self.width = min(max(self._lengths, default=0), _WIDEST)
        ends = min(self.width, DEEPEST)
        # Last text first, so that the first text is the lowest bit.
        plain.reverse()
        self._from_start = b"".join(text[: self.width].ljust(self.width) for text in plain)
        self._from_end = b"".join(text[: -ends - 1 : -1].ljust(ends) for text in plain)
        self._known: dict[str, int] = {}

    def __len__(self) -> int:
        """How many texts there are."""
        return len(self.texts)

    def text(self, number: int) -> str:
        """The text of that number."""
        return self.texts[number]

    def shorter_than(self, length: int) -> int:
        """How many texts have fewer letters."""
        return bisect_left(self._lengths, length)

    def having(self, feature: str) -> int:
        """The set of texts with the feature: bit i for text i."""
        marks = self._known.get(feature)
        if marks is None:
            marks = self._known[feature] = self._find(feature)
        return marks

    def features(self) -> Iterator[tuple[str, int]]:
        """Every feature that some text has, with its set."""
        for end in "^$":
            for place in range(min(self.width, DEEPEST)):
                yield from _present((f"{end}{place}{a}", self) for a in LETTERS)
        for between in PAIRS.values():
            yield from _present((a + between + b, self) for a in LETTERS for b in LETTERS)

    def _find(self, feature: str) -> int:
        if feature[0] in "^$":
            return self._in_place(feature[0], int(feature[1:-1]), feature[-1])
        first, second, step = feature[0], feature[-1], len(feature) - 1
        together = 0
        for place in range(self.width - step):
            one = self.having(f"^{place}{first}")
            if one:
                together |= one & self.having(f"^{place + step}{second}")
        return together

    def _in_place(self, end: str, place: int, letter: str) -> int:
        width = self.width if end == "^" else min(self.width, DEEPEST)
        if place >= width or not self.texts:
            return 0
        column = (self._from_start if end == "^" else self._from_end)[place::width]
        return int(column.translate(_IS[letter]), 2)


def _length_first(text: str) -> tuple[int, str]:
    return len(text), text


def _present(asked: Iterable[tuple[str, ColumnIndex]]) -> Iterator[tuple[str, int]]:
    for feature, index in asked:
        marks = index.having(feature)
        if marks:
            yield feature, marks
