"""The ways in which a reading may be divided into a maker's letters and words beside them."""

from __future__ import annotations

from dataclasses import dataclass

from markrules.marks.reading_syntax import Cell, MarkQuery, Token, joined
from markrules.marks.vocabulary import Vocabulary, words_of


@dataclass(frozen=True, slots=True)
class ReadingVariant:
    """One way to take a reading.

    `cells` are the letters to be compared: with `whole`, all that was read, compared with all
    letters of a mark; otherwise the maker's own. `beside` are the phrases that were read beside
    them, `described` the words that say what else is seen. `only` is True where the reading
    cannot be divided, so that it is compared with both forms of a mark. `nobody` holds the
    phrases of a reading without a letter of any maker's own.
    """

    cells: tuple[Cell, ...]
    beside: frozenset[str]
    described: tuple[str, ...]
    lines: int
    whole: bool
    only: bool = False
    nobody: frozenset[str] = frozenset()

    def fits(self, own: bool, words_only: bool, same: bool) -> bool:
        """Whether to compare with a mark's own letters (`own`) or with all of its letters."""
        if self.only or same:
            return not words_only or self.whole or self.only
        return own != self.whole


def variants(query: MarkQuery, words: Vocabulary) -> tuple[ReadingVariant, ...]:
    """The ways to take a reading, each to be tried."""
    tokens = query.tokens
    own, beside = _divided(tokens, words)
    lines = tokens[-1].line + 1 if tokens else 1
    whole = joined(tokens)
    described = query.described
    if not beside and len(own) == len(tokens):
        return (ReadingVariant(whole, frozenset(), described, lines, True, True),)
    everything = ReadingVariant(whole, frozenset(), described, lines, True)
    cells = joined(own)
    if all(cell.kind != "letter" for cell in cells):
        if whole:
            alone = ReadingVariant(whole, frozenset(), described, lines, True, True, beside)
            return (alone,)
        return (ReadingVariant((), beside, described, lines, False, True),)
    return ReadingVariant(cells, beside, described, lines, False), everything


def _divided(
    tokens: tuple[Token, ...], words: Vocabulary
) -> tuple[tuple[Token, ...], frozenset[str]]:
    """The tokens with a maker's letters, and the phrases beside them."""
    read = [_word(token, words) for token in tokens]
    own, beside = words.apart(read)
    return tuple(tokens[place] for place in own), frozenset(beside)


def _word(token: Token, words: Vocabulary) -> str:
    if not token.cells:
        return token.text
    if token.is_plain:
        return token.plain
    return words.guess(token) or words_of(token.text)[0] if words_of(token.text) else "?"
