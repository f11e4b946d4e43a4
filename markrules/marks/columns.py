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


def sought(cells: Sequence[Cell], pairs: bool = True) -> list[tuple[str, ...]]:
    """What a reading asks for: for each place and pair of places, the features that would do.

    Places are counted from an end only where no gap lies between, and a pair never spans a gap.
    Without `pairs` only places are asked for, where every letter has one: what is missing or added
    inside moves the letters on one side of it only.
    """
    kinds = [cell.kind for cell in cells]
    first_gap = kinds.index("gap") if "gap" in kinds else len(cells)
    last_gap = len(cells) - 1 - kinds[::-1].index("gap") if "gap" in kinds else -1
    held = pairs or any(first_gap < at < last_gap for at in range(len(cells)))
    held = held or len(cells) > 2 * DEEPEST
    letters = [tuple(_key(letter) for letter, _ in cell.letters) for cell in cells]
    asked = []
    for place, own in enumerate(letters):
        after = len(cells) - 1 - place
        if place < min(first_gap, DEEPEST):
            asked.append(tuple(f"^{place}{letter}" for letter in own))
        if place > last_gap and after < DEEPEST:
            asked.append(tuple(f"${after}{letter}" for letter in own))
        for step, between in PAIRS.items() if held else ():
            if place + step < len(cells) and "gap" not in kinds[place : place + step]:
                other = letters[place + step]
                asked.append(tuple(a + between + b for a in own for b in other))
    return [each for each in asked if each]


def _key(letter: str) -> str:
    return letter if letter.isascii() else "?"


LETTERS = ALPHABET + "?"
_WIDEST = 64  # pairs further than this from the start of a text are not indexed

# For each letter, a table that turns it into "1" and every other byte into "0".
_IS = {a: b"0" * ord(a) + b"1" + b"0" * (255 - ord(a)) for a in LETTERS}


class ColumnIndex:
    """A text index in memory. A feature's set is worked out when it is first asked for."""

    def __init__(self, texts: Iterable[str]) -> None:
        """Take the distinct texts of `texts`, each in folded letters and not empty."""
        ordered = sorted(dict.fromkeys(texts), key=_length_first)
        self._lay(ordered, *_laid_out(ordered))

    @classmethod
    def kept(cls, texts: Sequence[str], from_start: bytes, from_end: bytes) -> ColumnIndex:
        """The index whose `texts` and `columns` these are, used as they lie."""
        index = cls.__new__(cls)
        index._lay(texts, from_start, from_end)
        return index

    def _lay(self, texts: Sequence[str], from_start: bytes, from_end: bytes) -> None:
        self.texts = texts
        self._from_start, self._from_end = from_start, from_end
        self.width = len(from_start) // len(texts) if texts else 0
        self._known: dict[str, int] = {}

    @property
    def columns(self) -> tuple[bytes, bytes]:
        """The letters of all texts by place, from the start and from the end, to be kept."""
        return self._from_start, self._from_end

    def __len__(self) -> int:
        """How many texts there are."""
        return len(self.texts)

    def text(self, number: int) -> str:
        """The text of that number."""
        return self.texts[number]

    def shorter_than(self, length: int) -> int:
        """How many texts have fewer letters."""
        return bisect_left(self.texts, length, key=len)

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


def _laid_out(texts: Sequence[str]) -> tuple[bytes, bytes]:
    """The letters of all texts, each text in a row of one width, from the start and from the end.

    Last text first, so that the first text is the lowest bit.
    """
    plain = [text.encode("ascii", "replace") for text in reversed(texts)]
    width = min(max(map(len, texts), default=0), _WIDEST)
    ends = min(width, DEEPEST)
    return (
        b"".join(text[:width].ljust(width) for text in plain),
        b"".join(text[: -ends - 1 : -1].ljust(ends) for text in plain),
    )


def _length_first(text: str) -> tuple[int, str]:
    return len(text), text


def _present(asked: Iterable[tuple[str, ColumnIndex]]) -> Iterator[tuple[str, int]]:
    for feature, index in asked:
        marks = index.having(feature)
        if marks:
            yield feature, marks
