"""What words of a note name: a piece, one that was named before, a part, something seen."""

from __future__ import annotations

from collections.abc import Sequence

from markrules.notes.subject_words import SubjectWord
from markrules.notes.vocabulary import Vocabulary


class ThingsNamed:
    """What words name, and the pieces that a note has named so far; used for one note."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        """Nothing is named yet."""
        self.vocabulary = vocabulary
        self.named: set[str] = set()
        self.said: set[str] = set()

    def note(self, words: Sequence[SubjectWord]) -> None:
        """Remember the pieces that words name, and the words."""
        for word in words:
            self.named |= self._pieces(word.plain)
            self.said.add(word.plain)

    def _pieces(self, word: str) -> set[str]:
        node = self.vocabulary.words.first(self.vocabulary.folding[word])
        senses = node.meaning.senses if node is not None else ()
        return {each.name for each in senses if each.kind == "piece"}

    def is_piece(self, word: str) -> bool:
        """Whether a word names a piece of any type."""
        return bool(self._pieces(word))

    def is_named(self, word: str) -> bool:
        """Whether a word names a piece that was named before."""
        return not self._pieces(word).isdisjoint(self.named)

    def is_other(self, word: str) -> bool:
        """Whether a word names a piece, and none that was named before."""
        return self.is_piece(word) and not self.is_named(word)

    def is_part(self, word: str) -> bool:
        """Whether a word names a part of pieces."""
        node = self.vocabulary.words.first(self.vocabulary.folding[word])
        if node is None:
            return False
        return "feature" in node.meaning.kinds or "thing" in node.meaning.roles

    def is_known(self, word: str) -> bool:
        """Whether a word names a piece, a part of one or what may be said of one."""
        return self.is_piece(word) or self.is_part(word) or self.says_something(word)

    def is_part_together(self, words: Sequence[SubjectWord]) -> bool:
        """Whether the last of some words name a part of pieces together: `a new spring ring`."""
        folded = [self.vocabulary.folding[word.plain] for word in words]
        for start in range(len(folded) - 1):
            found = self.vocabulary.words.longest(folded, [False] * len(folded), start)
            if found is not None and found[0] == len(folded) and "thing" in found[1].roles:
                return True
        return False

    def is_part_of_several_words(self, words: Sequence[str], most: int) -> bool:
        """Whether words name a part that begins within the first `most` and ends behind them:
        `lid of the box`.
        """
        folded = [self.vocabulary.folding[word] for word in words]
        numeric = [False] * len(folded)
        for start in range(min(most, len(folded))):
            found = self.vocabulary.words.longest(folded, numeric, start)
            if found is not None and found[0] > most and "thing" in found[1].roles:
                return True
        return False

    def says_something(self, word: str) -> bool:
        """Whether a word is a value of some feature, as of what a piece pictures."""
        node = self.vocabulary.words.first(self.vocabulary.folding[word])
        return node is not None and "value" in node.meaning.kinds
