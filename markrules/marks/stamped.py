"""Spellings of stamped text: split what was read into words and numbers, and match patterns.

A spelling is written as in the rules (`"DES PAT #"`, `"{fraction} {karat}K GF"`). Case,
accents, dots and spaces do not matter; the order of words and numbers does. A slot (`#`,
`{karat}` ...) stands for something that a reader given by the caller understands.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from threading import Lock
from typing import Any, Generic, Literal, TypeAlias, TypeVar

from markrules.frozen import dataclass
from markrules.late import late

ANY = ""
"""Stands for the first letter of spellings that begin with a figure or a slot."""

LONGEST_TEXT = 4_000
"""Characters of a text that are looked at: no stamp is longer, and the time stays bounded."""

_TOKEN = re.compile(
    r"(?P<number>\.?[0-9?]+(?:[.,][0-9?]+)*)"
    r"|(?P<slash>/)"
    r"|(?P<word>№|[^\W\d_](?:[^\W\d_]|[\u0300-\u036f])*°?)"
)
_PART = late(r"(?P<slot>#|\{[a-z]+\})|(?P<text>[^#{]+|\{)")
_Owner = TypeVar("_Owner")


@dataclass(frozen=True, slots=True)
class StampedToken:
    """A word (letters only, folded to plain capitals), a number as read, or a slash in a number.

    `short`: two figures behind an apostrophe, the last of a year.
    """

    kind: Literal["word", "number", "slash", "slot"]
    text: str
    start: int
    end: int
    short: bool = False


Slot: TypeAlias = Callable[[Sequence[StampedToken], int], "tuple[int, object] | None"]
"""Reads a slot at a token: (the next token, the value), or None where it does not fit."""


@dataclass(frozen=True, slots=True)
class Spelling(Generic[_Owner]):
    """A pattern to look for, and whose it is. Words that follow each other are joined."""

    owner: _Owner
    parts: tuple[StampedToken, ...]


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


def tokens(text: str) -> tuple[StampedToken, ...]:
    """The words and numbers of a text, in order, with their places in it.

    A slash counts only between two digits. A run of `?` without any digit is no number.
    """
    found: list[StampedToken] = []
    for piece in _TOKEN.finditer(text[:LONGEST_TEXT]):
        kind = piece.lastgroup
        raw = piece.group()
        if kind == "word":
            found.append(StampedToken("word", fold(raw), piece.start(), piece.end()))
        elif kind == "number" and any(sign.isdigit() for sign in raw):
            found.append(
                StampedToken(
                    "number", raw, piece.start(), piece.end(), _is_short(text, piece.start(), raw)
                )
            )
        elif kind == "slash" and _between_digits(text, piece.start()):
            found.append(StampedToken("slash", raw, piece.start(), piece.end()))
    return tuple(found)


def _is_short(text: str, place: int, raw: str) -> bool:
    before = text[max(place - 2, 0) : place]
    return (
        len(raw) == 2 and raw.isdigit() and before[-1:] in set("'’") and not before[:-1].isalnum()
    )


def _between_digits(text: str, place: int) -> bool:
    before, after = text[place - 1 : place], text[place + 1 : place + 2]
    return before in set("0123456789?") and after in set("0123456789?.")


def spelling(owner: _Owner, text: str) -> Spelling[_Owner]:
    """The pattern written in a rule, ready to be looked for."""
    parts: list[StampedToken] = []
    for piece in _PART.finditer(text):
        if piece.lastgroup == "slot":
            parts.append(StampedToken("slot", piece.group().strip("{}"), 0, 0))
            continue
        for token in _pattern_tokens(piece.group()):
            joins = token.kind == "word" and parts and parts[-1].kind == "word"
            before = parts.pop().text if joins else ""
            parts.append(StampedToken(token.kind, before + token.text, 0, 0))
    return Spelling(owner, tuple(parts))


def _pattern_tokens(text: str) -> Iterator[StampedToken]:
    for piece in _TOKEN.finditer(text):
        if piece.lastgroup == "word":
            yield StampedToken("word", fold(piece.group()), 0, 0)
        elif piece.lastgroup == "number":
            yield StampedToken("number", piece.group(), 0, 0)
        elif piece.lastgroup == "slash":
            yield StampedToken("slash", "/", 0, 0)


def packed_spellings(every: Iterable[Spelling[Any]]) -> dict[str, list[Any]]:
    """Spellings as plain data, their owners by name: those that begin with a word by its first
    letter, the others under ANY.
    """
    found: dict[str, list[Any]] = {ANY: []}
    for each in every:
        if each.parts:
            begin = each.parts[0].text[:1] if each.parts[0].kind == "word" else ANY
            told = [each.owner.name, [[part.kind, part.text] for part in each.parts]]
            found.setdefault(begin, []).append(told)
    return found


class Spellings(Generic[_Owner]):
    """Many spellings as one tree, so that what begins alike is looked at once.

    Of hundreds of spellings a text needs a few: those that begin with a word enter the tree when a
    word with the same first letter is met.
    """

    def __init__(self, kept: Mapping[str, Any], find: Callable[[str], _Owner]) -> None:
        """Take spellings as `packed_spellings` gives them; `find` gives the owner of a name."""
        self._find = find
        self._root = _Node()
        self._kept = kept
        self._waiting = set(kept)
        self._lock = Lock()

    def _enter(self, begin: str) -> None:
        """Take the spellings that begin so into the tree, once."""
        with self._lock:
            if begin not in self._waiting:
                return
            for name, parts in self._kept[begin]:
                node = self._root
                for kind, text in parts:
                    node = node.child(kind, text)
                node.owners.append(name)
            self._waiting.discard(begin)

    def at(
        self, read: Sequence[StampedToken], place: int, slots: Mapping[str, Slot]
    ) -> tuple[tuple[Match[_Owner], ...], ...]:
        """The matches that begin at this token, in groups: those that take in the most first."""
        begin = read[place].text[:1] if place < len(read) else ANY
        for each in (ANY, begin):
            if each in self._waiting:
                self._enter(each)
        by_end: dict[int, list[Match[_Owner]]] = {}
        for match in self._walk(self._root, read, Match(None, place, place, {}, 0), slots):
            by_end.setdefault(match.after, []).append(match)
        return tuple(tuple(by_end[end]) for end in sorted(by_end, reverse=True))

    def _walk(
        self,
        node: _Node,
        read: Sequence[StampedToken],
        so_far: Match[None],
        slots: Mapping[str, Slot],
    ) -> Iterator[Match[_Owner]]:
        at = so_far.after
        for owner in node.owners:
            yield Match(self._find(owner), so_far.first, at, so_far.slots, so_far.letters)
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


class _Node:
    """What may come next in a spelling, and the names of those whose spellings end here."""

    def __init__(self) -> None:
        self.words: dict[str, list[tuple[str, _Node]]] = {}
        self.figures: list[tuple[str, _Node]] = []
        self.slots: dict[str, _Node] = {}
        self.owners: list[str] = []

    def child(self, kind: str, text: str) -> _Node:
        """The node after this part, made when it is new."""
        if kind == "slot":
            return self.slots.setdefault(text, _Node())
        near = self.words.setdefault(text[:1], []) if kind == "word" else self.figures
        for known, node in near:
            if known == text:
                return node
        near.append((text, _Node()))
        return near[-1][1]


def _word_at(wanted: str, read: Sequence[StampedToken], at: int) -> int | None:
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
