"""The ways in which a reading may be divided into a maker's letters and words beside them."""

from __future__ import annotations

from dataclasses import field, replace

from markrules.frozen import dataclass
from markrules.marks.divisions import Divisions, divisions_read
from markrules.marks.letters import letter_case
from markrules.marks.reading_syntax import Cell, CellRun, MarkQuery, read_text
from markrules.marks.vocabulary import MarkWords

INITIALS = (2, 3)
"""Letters of a mark that are taken for initials: one may be a mark of anything."""


@dataclass(frozen=True, slots=True)
class ReadingVariant:
    """One way to take a reading.

    `words` are the letters to be compared, word by word, and `cells` those of all words: with
    `whole`, all that was read, compared with all letters of a mark; otherwise the maker's own.
    `beside` are the phrases that were read beside them, `described` the words that say what else is
    seen. `only` is True where the reading cannot be divided, so that it is compared with both forms
    of a mark. `nobody` holds the phrases of a reading without a letter of any maker's own. `case`
    is set where upper and lower case count. `turned` tells that the reading was turned about, as
    from a mould.
    """

    words: tuple[tuple[Cell, ...], ...]
    beside: frozenset[str]
    described: tuple[str, ...]
    lines: int
    whole: bool
    only: bool = False
    nobody: frozenset[str] = frozenset()
    case: str = ""
    turned: bool = False
    cells: tuple[Cell, ...] = field(init=False)
    divided: Divisions = field(init=False)

    def __post_init__(self) -> None:
        """Set `cells`, two gaps side by side made one, and where the words part."""
        cells: list[Cell] = []
        for word in self.words:
            for cell in word:
                if not (cell.kind == "gap" and cells and cells[-1].kind == "gap"):
                    cells.append(cell)
        object.__setattr__(self, "cells", tuple(cells))
        object.__setattr__(self, "divided", divisions_read(self.words))

    @property
    def has_gap(self) -> bool:
        """Whether a run of letters was not read."""
        return any(cell.kind == "gap" for cell in self.cells)

    @property
    def plain(self) -> str:
        """The letters, where all are known; empty otherwise."""
        if any(len(cell.letters) != 1 or cell.letters[0][1] != 1 for cell in self.cells):
            return ""
        return "".join(cell.letters[0][0] for cell in self.cells)

    @property
    def initials(self) -> bool:
        """Whether it is two or three letters, all of them read, as initials are."""
        return len(self.plain) in INITIALS and self.plain.isalpha()

    def fits(self, own: bool, words_only: bool, same: bool) -> bool:
        """Whether to compare with a mark's own letters (`own`) or with all of its letters."""
        if self.only or same:
            return not words_only or self.whole or self.only
        return own != self.whole

    def turned_about(self) -> ReadingVariant:
        """The same reading from right to left."""
        words = tuple(word[::-1] for word in self.words[::-1])
        return replace(self, words=words, turned=True)


def variants(query: MarkQuery, words: MarkWords) -> tuple[ReadingVariant, ...]:
    """The ways to take a reading, each to be tried."""
    tokens = query.tokens
    own, beside = _divided(tokens, words)
    everything = ReadingVariant(
        words=_words(tokens),
        beside=frozenset(),
        described=query.described,
        lines=tokens[-1].line + 1 if tokens else 1,
        whole=True,
        case=letter_case("".join(token.text for token in tokens)) if query.as_written else "",
    )
    if not beside and len(own) == len(tokens):
        return (replace(everything, only=True),)
    if all(cell.kind != "letter" for token in own for cell in token.cells):
        return (replace(everything, only=True, nobody=beside),)
    apart = replace(everything, words=_words(own), beside=beside, whole=False)
    # Words read in full divide a mark in the same way, so the whole need not be tried too.
    if all(token.is_plain for token in tokens):
        return (apart,)
    return apart, everything


def letters_of_a_name(text: str, words: MarkWords) -> int:
    """How many letters were read of a text, less those that may be of words beside marks: 3 of
    `MADE IN JAP...`, none of `JAP?N`. 0 for a text that breaks the reading syntax.
    """
    query = read_text(text)
    found = variants(query, words) if query is not None else ()
    return min(
        (0 if each.nobody else sum(cell.shown.isalpha() for cell in each.cells) for each in found),
        default=0,
    )


def _words(tokens: tuple[CellRun, ...]) -> tuple[tuple[Cell, ...], ...]:
    return tuple(token.cells for token in tokens if token.cells)


def _divided(
    tokens: tuple[CellRun, ...], words: MarkWords
) -> tuple[tuple[CellRun, ...], frozenset[str]]:
    """The tokens with a maker's letters, and the phrases beside them."""
    own, beside = words.apart([_word(token, words) for token in tokens])
    return tuple(tokens[place] for place in own), frozenset(beside)


def _word(token: CellRun, words: MarkWords) -> str:
    if not token.cells:
        return token.text
    if token.is_plain:
        return token.plain
    return words.guess(token) or "?"
