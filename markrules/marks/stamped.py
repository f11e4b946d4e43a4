"""Spellings of stamped text: split what was read into words and numbers, and match patterns.

A spelling is written as in the rules (`"DES PAT #"`, `"{fraction} {karat}K GF"`). Case,
accents, dots and spaces do not matter; the order of words and numbers does. A slot (`#`,
`{karat}` ...) stands for something that a reader given by the caller understands.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any, Generic, Literal, TypeAlias, TypeVar

from markrules.frozen import dataclass

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


def packed_spelling(each: Spelling[Any]) -> tuple[str, list[list[str]]]:
    """A spelling as plain data, its owner by name."""
    return each.owner.name, [[part.kind, part.text] for part in each.parts]


def unpacked_spelling(said: Sequence[Any]) -> Spelling[str]:
    """The spelling that was packed, owned by a name."""
    name, parts = said
    return Spelling(name, tuple(Token(kind, text, 0, 0) for kind, text in parts))


class Spellings(Generic[_Owner]):
    """Many spellings as one tree, so that what begins alike is looked at once."""

    def __init__(
        self, spellings: Iterable[Spelling[Any]], find: Callable[[Any], _Owner] | None = None
    ) -> None:
        """Put each spelling into the tree, part by part; `find` gives the owner met for what
        stands as the owner in a spelling, where that is not the owner itself.
        """
        self._find = find
        self._root: _Node[Any] = _Node()
        for each in spellings:
            node = self._root
            for part in each.parts:
                node = node.child(part)
            if each.parts:
                node.owners.append(each.owner)

    def at(
        self, read: Sequence[Token], place: int, slots: Mapping[str, Slot]
    ) -> tuple[tuple[Match[_Owner], ...], ...]:
        """The matches that begin at this token, in groups: those that take in the most first."""
        by_end: dict[int, list[Match[_Owner]]] = {}
        for match in self._walk(self._root, read, Match(None, place, place, {}, 0), slots):
            by_end.setdefault(match.after, []).append(match)
        return tuple(tuple(by_end[end]) for end in sorted(by_end, reverse=True))

    def _walk(
        self,
        node: _Node[Any],
        read: Sequence[Token],
        so_far: Match[None],
        slots: Mapping[str, Slot],
    ) -> Iterator[Match[_Owner]]:
        at = so_far.after
        for owner in node.owners:
            found = owner if self._find is None else self._find(owner)
            yield Match(found, so_far.first, at, so_far.slots, so_far.letters)
        if at >= len(read):
            return
        for text, child in node.words.get(read[at].text[:1], ()):
            after = _word_at(text, read, at)
            if after is not None:
                letters = so_far.letters + len(text)
                step = Match(None, so_far.first, after, so_far.slots, letters)
                yield from self._walk(child, read, step, slots)
        for text, child in node.figures:
            if read[at].kind != "word" and same_number(text, read[at].text):
                step = Match(None, so_far.first, at + 1, so_far.slots, so_far.letters)
                yield from self._walk(child, read, step, slots)
        for name, child in node.slots.items():
            taken = slots[name](read, at) if name in slots else None
            if taken is not None:
                told = {**so_far.slots, name: taken[1]}
                step = Match(None, so_far.first, taken[0], told, so_far.letters)
                yield from self._walk(child, read, step, slots)


class _Node(Generic[_Owner]):
    """What may come next in a spelling, and whose spellings end here."""

    def __init__(self) -> None:
        self.words: dict[str, list[tuple[str, _Node[_Owner]]]] = {}
        self.figures: list[tuple[str, _Node[_Owner]]] = []
        self.slots: dict[str, _Node[_Owner]] = {}
        self.owners: list[_Owner] = []

    def child(self, part: Token) -> _Node[_Owner]:
        """The node after this part, made when it is new."""
        if part.kind == "slot":
            return self.slots.setdefault(part.text, _Node())
        is_word = part.kind == "word"
        near = self.words.setdefault(part.text[:1], []) if is_word else self.figures
        for text, node in near:
            if text == part.text:
                return node
        near.append((part.text, _Node()))
        return near[-1][1]


def _word_at(wanted: str, read: Sequence[Token], at: int) -> int | None:
    """The token after the words that together spell `wanted` (G F for GF), or None."""
    left = wanted
    while left and at < len(read) and read[at].kind == "word" and left.startswith(read[at].text):
        left = left[len(read[at].text) :]
        at += 1
    return at if not left else None


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
