"""An index of texts held by columns: the first letters of all texts, the second letters ..."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator

from markrules.marks.grams import DEEPEST, PAIRS
from markrules.marks.letters import ALPHABET

LETTERS = ALPHABET + "?"
_WIDEST = 64  # pairs further than this from the start of a text are not indexed

# For each letter, a table that turns it into "1" and every other byte into "0".
_IS = {a: bytes(49 if byte == ord(a) else 48 for byte in range(256)) for a in LETTERS}


class ColumnIndex:
    """A text index in memory. A feature's set is worked out when it is first asked for."""

    def __init__(self, texts: Iterable[str]) -> None:
        """Take the distinct texts of `texts`, each in folded letters and not empty."""
        self.texts = sorted(set(texts), key=_length_first)
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
