"""Finds the first of many phrases in a text, as one pattern of all of them would."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

from markrules.late import late

_WORD = late(r"\b\w+")
_FIRST = late(r"\w+")

_ALIKE = str.maketrans({"ı": "i", "\u0307": None})
"""Patterns that overlook case take these for `i` too, and `casefold` does not."""


class AnyOf:
    """Many phrases, looked up by their first words.

    One pattern of all of them takes a tenth of a cold reading to compile, and tries each phrase at
    each word of a text. Most words of a text begin none: of the others the few phrases that begin
    so are compiled when the first text has the word.
    """

    def __init__(self, by_first: Mapping[str, Sequence[str]], behind: str = r"\b") -> None:
        """`by_first` is what `by_first_word` gave; the pattern `behind` must follow a phrase, and
        fit at no place but the end of a word.
        """
        self._by_first = by_first
        self._behind = behind
        self._patterns: dict[str, re.Pattern[str]] = {}

    def search(self, text: str, start: int = 0, end: int | None = None) -> re.Match[str] | None:
        """The first place where a phrase stands as whole words, and there the longest of them,
        whatever the case of its letters and however wide its spaces.
        """
        return next(self.finditer(text, start, end), None)

    def finditer(
        self, text: str, start: int = 0, end: int | None = None
    ) -> Iterator[re.Match[str]]:
        """All such places, none of them within another."""
        stop = len(text) if end is None else end
        for word in _WORD.finditer(text, start, stop):
            if word.start() < start:
                continue
            first = _folded(word[0])
            if first not in self._by_first:
                continue
            found = self._pattern(first).match(text, word.start(), stop)
            if found is not None:
                yield found
                start = found.end()

    def _pattern(self, first: str) -> re.Pattern[str]:
        pattern = self._patterns.get(first)
        if pattern is None:
            ways = "|".join(
                re.escape(each).replace(r"\ ", r"\s+") for each in self._by_first[first]
            )
            pattern = re.compile(rf"(?:{ways}){self._behind}", re.IGNORECASE)
            self._patterns[first] = pattern
        return pattern


def by_first_word(texts: Iterable[str]) -> dict[str, list[str]]:
    """Phrases by their first words, the longest first; one that begins with a sign is left out,
    as no whole word begins there.
    """
    found: dict[str, list[str]] = {}
    for text in sorted(texts, key=len, reverse=True):
        first = _FIRST.match(text)
        if first is not None:
            found.setdefault(_folded(first[0]), []).append(text)
    return found


def _folded(word: str) -> str:
    return word.casefold().translate(_ALIKE)
