"""Words beside a mark of solid metal: whether they may take back what the mark says."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from markrules.knowledge.base import KnowledgeBase
from markrules.marks.stamped import Token, tokens
from markrules.marks.vocabulary import said_texts

_LINE_ENDS = re.compile(r"[/,;|]")


class Beside(NamedTuple):
    """The words beside a mark that leave it unsure how much of the piece is of the metal.

    `qualifies` tells that the rules know them to; otherwise they are words that no rule knows.
    `line` is the whole line that the mark stands on.
    """

    words: str
    qualifies: bool
    line: str


def words_beside(
    base: KnowledgeBase,
    text: str,
    read: Sequence[Token],
    taken: Sequence[tuple[int, int]],
    mark: tuple[int, int],
) -> Beside | None:
    """What stands on the line of a mark (start and end in the text) and may qualify it.

    `taken` are the places of all marks of metal in the text. Names of listed makers and words that
    stand with their marks qualify nothing, and a single letter is an initial.
    """
    free = [
        token
        for token in read
        if token.kind == "word" and not any(start <= token.start < end for start, end in taken)
    ]
    beside = [token for token in free if _on_the_line(text, mark, token)]
    if not beside:
        return None
    qualifiers, known = _words_of_marks(base)
    telling = [token for token in beside if token.text in qualifiers]
    unknown = [each for each in beside if len(each.text) > 1 and each.text not in known]
    if not telling and not unknown:
        return None
    words = " ".join(text[token.start : token.end] for token in telling or unknown)
    return Beside(words, bool(telling), _line(text, mark))


def _on_the_line(text: str, mark: tuple[int, int], token: Token) -> bool:
    first, second = sorted(((token.start, token.end), mark))
    return _LINE_ENDS.search(text[first[1] : second[0]]) is None


def _line(text: str, mark: tuple[int, int]) -> str:
    ends = [(each.start(), each.end()) for each in _LINE_ENDS.finditer(text)]
    first = max((end for _, end in ends if end <= mark[0]), default=0)
    last = min((start for start, _ in ends if start >= mark[1]), default=len(text))
    return text[first:last].strip()


@lru_cache(maxsize=8)
def _words_of_marks(base: KnowledgeBase) -> tuple[frozenset[str], frozenset[str]]:
    """The words that qualify a mark of metal, and those that may stand beside one and do not."""
    by_role: dict[str, set[str]] = {"qualifier": set(), "not-a-maker": set()}
    for wording in base.wordings.values():
        if wording.role in by_role:
            by_role[wording.role].update(_words(wording.words))
    texts: list[str] = []
    for maker in base.makers.values():
        texts += (maker.title, *maker.also)
        for mark in maker.marks:
            texts += (mark.text, *mark.beside)
    for register in base.registers.values():
        texts += register.reads
    for metal_mark in base.metal_marks.values():
        texts += metal_mark.reads
    for clue in base.clues.values():
        texts += said_texts(clue.when) if clue.when is not None else ()
    qualifiers = by_role["qualifier"]
    return frozenset(qualifiers), frozenset((_words(texts) | by_role["not-a-maker"]) - qualifiers)


def _words(texts: Sequence[str]) -> set[str]:
    return {part.text for text in texts for part in tokens(text) if part.kind == "word"}
