"""The ways in which a reading may be divided into a maker's letters and words beside them."""

from __future__ import annotations

from dataclasses import dataclass, replace

from markrules.marks.letters import letter_case
from markrules.marks.reading_syntax import Cell, MarkQuery, Token, joined
from markrules.marks.vocabulary import Vocabulary


@dataclass(frozen=True, slots=True)
class ReadingVariant:
    """One way to take a reading.

    `cells` are the letters to be compared: with `whole`, all that was read, compared with all
    letters of a mark; otherwise the maker's own. `beside` are the phrases that were read beside
    them, `described` the words that say what else is seen. `only` is True where the reading
    cannot be divided, so that it is compared with both forms of a mark. `nobody` holds the
    phrases of a reading without a letter of any maker's own. `case` is set where upper and
    lower case count. `turned` tells that the reading was turned about, as from a mould.
    """

    cells: tuple[Cell, ...]
    beside: frozenset[str]
    described: tuple[str, ...]
    lines: int
    whole: bool
    only: bool = False
    nobody: frozenset[str] = frozenset()
    case: str = ""
    turned: bool = False

    def fits(self, own: bool, words_only: bool, same: bool) -> bool:
        """Whether to compare with a mark's own letters (`own`) or with all of its letters."""
        if self.only or same:
            return not words_only or self.whole or self.only
        return own != self.whole

    def turned_about(self) -> ReadingVariant:
        """The same reading from right to left."""
        return replace(self, cells=self.cells[::-1], turned=True)


def variants(query: MarkQuery, words: Vocabulary) -> tuple[ReadingVariant, ...]:
    """The ways to take a reading, each to be tried."""
    tokens = query.tokens
    own, beside = _divided(tokens, words)
    all_cells = joined(tokens)
    everything = ReadingVariant(
        cells=all_cells,
        beside=frozenset(),
        described=query.described,
        lines=tokens[-1].line + 1 if tokens else 1,
        whole=True,
        case=letter_case("".join(token.text for token in tokens)) if query.as_written else "",
    )
    if not beside and len(own) == len(tokens):
        return (replace(everything, only=True),)
    cells = joined(own)
    if all(cell.kind != "letter" for cell in cells):
        return (replace(everything, only=True, nobody=beside),)
    apart = replace(everything, cells=cells, beside=beside, whole=False)
    # Words read in full divide a mark in the same way, so the whole need not be tried too.
    if all(token.is_plain for token in tokens):
        return (apart,)
    return apart, everything


def _divided(
    tokens: tuple[Token, ...], words: Vocabulary
) -> tuple[tuple[Token, ...], frozenset[str]]:
    """The tokens with a maker's letters, and the phrases beside them."""
    own, beside = words.apart([_word(token, words) for token in tokens])
    return tuple(tokens[place] for place in own), frozenset(beside)


def _word(token: Token, words: Vocabulary) -> str:
    if not token.cells:
        return token.text
    if token.is_plain:
        return token.plain
    return words.guess(token) or "?"
