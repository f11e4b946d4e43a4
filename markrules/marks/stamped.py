"""Spellings of stamped text: split what was read into words and numbers, and match patterns.

A spelling is written as in the rules (`"DES PAT #"`, `"{fraction} {karat}K GF"`). Case,
accents, dots and spaces do not matter; the order of words and numbers does. A slot (`#`,
`{karat}` ...) stands for something that a reader given by the caller understands.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, Literal, TypeAlias, TypeVar

LONGEST_TEXT = 4_000
"""Characters of a text that are looked at: no stamp is longer, and the time stays bounded."""

_TOKEN = re.compile(
    r"(?P<number>\.?[0-9?]+(?:[.,][0-9?]+)*)"
    r"|(?P<slash>/)"
    r"|(?P<word>№|[^\W\d_](?:[^\W\d_]|[\u0300-\u036f])*°?)"
)
_PART = re.compile(r"(?P<slot>#|\{[a-z]+\})|(?P<text>[^#{]+|\{)")
_Owner = TypeVar("_Owner")


@dataclass(frozen=True, slots=True)
class Token:
    """A word (letters only, folded to plain capitals), a number as read, or a slash in a number."""

    kind: Literal["word", "number", "slash", "slot"]
    text: str
    start: int
    end: int


Slot: TypeAlias = Callable[[Sequence[Token], int], "tuple[int, object] | None"]
"""Reads a slot at a token: (the next token, the value), or None where it does not fit."""


@dataclass(frozen=True, slots=True)
class Spelling(Generic[_Owner]):
    """A pattern to look for, and whose it is. Words that follow each other are joined."""

    owner: _Owner
    parts: tuple[Token, ...]


@dataclass(frozen=True, slots=True)
class Match(Generic[_Owner]):
    """Where a spelling was found: tokens `first` up to but not including `after`."""

    owner: _Owner
    first: int
    after: int
    slots: Mapping[str, object]
    letters: int


def fold(text: str) -> str:
    """The text in plain capitals: accents off, signs like º and № spelled out."""
    spread = unicodedata.normalize("NFKD", text.replace("°", "º"))
    return "".join(sign for sign in spread if not unicodedata.combining(sign)).upper()


def tokens(text: str) -> tuple[Token, ...]:
    """The words and numbers of a text, in order, with their places in it.

    A slash counts only between two digits. A run of `?` without any digit is no number.
    """
    found: list[Token] = []
    for piece in _TOKEN.finditer(text[:LONGEST_TEXT]):
        kind = piece.lastgroup
        raw = piece.group()
        if kind == "word":
            found.append(Token("word", fold(raw), piece.start(), piece.end()))
        elif kind == "number" and any(sign.isdigit() for sign in raw):
            found.append(Token("number", raw, piece.start(), piece.end()))
        elif kind == "slash" and _between_digits(text, piece.start()):
            found.append(Token("slash", raw, piece.start(), piece.end()))
    return tuple(found)


def _between_digits(text: str, place: int) -> bool:
    before, after = text[place - 1 : place], text[place + 1 : place + 2]
    return before in set("0123456789?") and after in set("0123456789?.")


def spelling(owner: _Owner, text: str) -> Spelling[_Owner]:
    """The pattern written in a rule, ready to be looked for."""
    parts: list[Token] = []
    for piece in _PART.finditer(text):
        if piece.lastgroup == "slot":
            parts.append(Token("slot", piece.group().strip("{}"), 0, 0))
            continue
        for token in _pattern_tokens(piece.group()):
            joins = token.kind == "word" and parts and parts[-1].kind == "word"
            before = parts.pop().text if joins else ""
            parts.append(Token(token.kind, before + token.text, 0, 0))
    return Spelling(owner, tuple(parts))


def _pattern_tokens(text: str) -> Iterator[Token]:
    for piece in _TOKEN.finditer(text):
        if piece.lastgroup == "word":
            yield Token("word", fold(piece.group()), 0, 0)
        elif piece.lastgroup == "number":
            yield Token("number", piece.group(), 0, 0)
        elif piece.lastgroup == "slash":
            yield Token("slash", "/", 0, 0)


class Spellings(Generic[_Owner]):
    """Many spellings, indexed by how they begin."""

    def __init__(self, spellings: Iterable[Spelling[_Owner]]) -> None:
        """Index the spellings by the first letter of a word, or by number or slot."""
        self._index: dict[str, list[Spelling[_Owner]]] = {}
        for each in spellings:
            if each.parts:
                self._index.setdefault(_key(each.parts[0]), []).append(each)

    def longest_at(
        self, read: Sequence[Token], place: int, slots: Mapping[str, Slot]
    ) -> tuple[Match[_Owner], ...]:
        """The matches at this token that take in the most tokens, in the order of the rules."""
        found: list[Match[_Owner]] = []
        for key in (_key(read[place]), "slot"):
            for each in self._index.get(key, ()):
                match = _match(each, read, place, slots)
                if match is not None:
                    found.append(match)
        longest = max((match.after for match in found), default=0)
        return tuple(match for match in found if match.after == longest)


def _key(token: Token) -> str:
    return token.text[:1] if token.kind == "word" else token.kind


def _match(
    pattern: Spelling[_Owner], read: Sequence[Token], place: int, slots: Mapping[str, Slot]
) -> Match[_Owner] | None:
    values: dict[str, object] = {}
    letters = 0
    at = place
    for part in pattern.parts:
        if part.kind == "slot":
            taken = slots[part.text](read, at) if part.text in slots else None
            if taken is None:
                return None
            at, values[part.text] = taken
            continue
        after = _word_at(part.text, read, at) if part.kind == "word" else _same_at(part, read, at)
        if after is None:
            return None
        at, letters = after, letters + len(part.text) * (part.kind == "word")
    return Match(pattern.owner, place, at, values, letters)


def _word_at(wanted: str, read: Sequence[Token], at: int) -> int | None:
    """The token after the words that together spell `wanted` (G F for GF), or None."""
    left = wanted
    while left and at < len(read) and read[at].kind == "word" and left.startswith(read[at].text):
        left = left[len(read[at].text) :]
        at += 1
    return at if not left else None


def _same_at(part: Token, read: Sequence[Token], at: int) -> int | None:
    if at < len(read) and read[at].kind == part.kind and same_number(part.text, read[at].text):
        return at + 1
    return None


def same_number(one: str, other: str) -> bool:
    """Whether two stamped numbers are the same figures: `.800`, `0.800` and `800` are."""
    return _figures(one) == _figures(other)


def _figures(text: str) -> str:
    if "." in text and "," not in text:
        whole, _, part = text.partition(".")
        return part if whole in {"", "0"} else text
    if "," in text and text.partition(",")[0] in {"", "0"}:
        return text.partition(",")[2]
    return text
