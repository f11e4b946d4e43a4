"""How the words of a segment are written: in capitals, as a name, as figures, quoted or plain."""

from __future__ import annotations

import re

from markrules.named_tuple import NamedTuple
from markrules.notes.items import Item
from markrules.notes.tokens import Tokens

_CHUNK = re.compile(r"\S+")
_OUTER = '(),;:"“”'


class Chunk(NamedTuple):
    """What stands between two spaces.

    `start` and `end` bound it in the segment without outer brackets, `first` and `after` its
    tokens. `look` is `quoted`, `capitals`, `letter` (one capital), `name` (a capital first),
    `figures`, `mixed` (18c), `signs` or `plain`.
    """

    start: int
    end: int
    first: int
    after: int
    look: str


def chunks_of(tokens: Tokens, items: list[Item | None], shouting: bool) -> list[Chunk]:
    """The chunks of a segment. `items` gives for each token the phrase it belongs to.

    When all is in capitals (`shouting`), a word that the rules know is plain and any other a
    name.
    """
    chunks: list[Chunk] = []
    token, position = 0, 0
    while match := _CHUNK.search(tokens.text, position):
        start, end = match.span()
        first = token
        if first < len(tokens) and tokens.folded[first] == '"' and tokens.starts[first] < end:
            start, end = tokens.starts[first], tokens.ends[first]
            chunks.append(Chunk(start, end, first, first + 1, "quoted"))
            token += 1
        else:
            while token < len(tokens) and tokens.starts[token] < end:
                if tokens.folded[token] == '"':
                    end = tokens.starts[token]
                    break
                token += 1
            start, end = _stripped(tokens.text, start, end)
            look = _look(tokens.text[start:end])
            if shouting and look in ("capitals", "letter", "name"):
                counts = _is_number_word(tokens, first) if token > first else False
                known = counts or (token > first and items[first] is not None)
                look = "plain" if known else "name"
            chunks.append(Chunk(start, end, first, token, look))
        position = max(end, match.start() + 1) if token > first else match.end()
    return chunks


def _is_number_word(tokens: Tokens, index: int) -> bool:
    """Whether a token is a number that is written as a word: `ONE`."""
    return tokens.numeric[index] and tokens.raw(index).isalpha()


def _stripped(text: str, start: int, end: int) -> tuple[int, int]:
    while start < end and text[start] in _OUTER:
        start += 1
    while start < end and text[end - 1] in _OUTER:
        end -= 1
    return start, end


def _look(text: str) -> str:
    if text.isalpha() and text.islower():
        return "plain"
    letters = [char for char in text if char.isalpha()]
    digits = any(char.isdigit() for char in text)
    if not letters:
        return "figures" if digits else "signs"
    capitals = sum(char.isupper() for char in letters)
    if capitals == len(letters):
        if digits and capitals == 1:
            return "mixed"
        return "capitals" if capitals > 1 or "." in text[:-1] else "letter"
    if digits:
        return "mixed"
    if capitals > 1 and capitals * 2 > len(letters):
        return "capitals"
    torn = text[0] in "-–—…*~?[" or text.startswith("..")  # the head of the word is lost
    return "name" if letters[0].isupper() or torn else "plain"
