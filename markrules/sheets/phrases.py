"""Phrases found in text, tolerant of case, accents, plurals and spelling, with exact spans."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import TypeAlias

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase

NUMBER, NAME = "#", "*"
"""In a phrase: any number; the name of any maker."""

_TOKEN = re.compile(r"\d+(?:[.,/]\d+)*|[^\W\d_]+")
_GAP = re.compile(r"[^\S\n]*\n?[^\S\n]*[-‐-―'’‘\"“”/_+.$£€¥]?[^\S\n]*")
_NAME_GAP = re.compile(r"[^\w\n]{1,4}\n?[^\w\n]{0,3}|\n")
_LONGEST_ABBREVIATION = 2  # letters before a dot that does not end a sentence: k. ct. c.


@dataclass(frozen=True, slots=True)
class Token:
    """A word or number of the text: folded `key`, place, and whether it began large."""

    key: str
    start: int
    end: int
    large: bool


@dataclass(frozen=True, slots=True)
class Found:
    """A phrase found at tokens `first` to `after`; the numbers in it, and the maker named."""

    first: int
    after: int
    numbers: tuple[str, ...] = ()
    name: str = ""


class Folder:
    """Folds words so that spellings and plurals meet. `base` holds the pairs of spellings."""

    def __init__(self, base: KnowledgeBase) -> None:
        """Spellings are the texts of `wording` entries with the role `spelling`."""
        self._spellings: dict[str, str] = {}
        for wording in base.wordings.values():
            if wording.role == "spelling":
                for group in wording.words:
                    words = group.casefold().split()
                    self._spellings.update((word, words[0]) for word in words)

    def key(self, word: str) -> str:
        """The folded word: one spelling, singular."""
        word = self._spellings.get(word, word)
        single = singular(word)
        return self._spellings.get(single, single)

    def tokens(self, text: str) -> list[Token]:
        """The words and numbers of a text; characters without width do not part a word."""
        plain, places = _plain(text)
        return [
            Token(
                self.key(match.group()),
                places[match.start()],
                places[match.end() - 1] + 1,
                text[places[match.start()]].isupper(),
            )
            for match in _TOKEN.finditer(plain)
        ]

    def phrase(self, text: str) -> tuple[str, ...]:
        """A phrase of the rules as keys, `#` and `*` kept."""
        parts = re.findall(r"[#*]|\d+|[^\W\d_]+", _plain(text)[0])
        return tuple(part if part in (NUMBER, NAME) else self.key(part) for part in parts)


def singular(word: str) -> str:
    """The word without the ending of a plural: `rubies` to `ruby`, `stones` to `stone`."""
    if len(word) < 4 or word.endswith(("ss", "us", "is")) or not word.endswith("s"):
        return word
    return f"{word[:-3]}y" if word.endswith("ies") else word[:-1]


def _plain(text: str) -> tuple[str, Sequence[int]]:
    """The text folded sign by sign, without accents and signs of no width, and where each was."""
    if text.isascii():
        return text.lower(), range(len(text))
    signs: list[str] = []
    places: list[int] = []
    for place, character in enumerate(text):
        if unicodedata.category(character) in ("Cf", "Mn"):
            continue
        for sign in unicodedata.normalize("NFKD", character).casefold():
            if unicodedata.category(sign) != "Mn":
                signs.append(sign)
                places.append(place)
    return "".join(signs), places


_Phrase: TypeAlias = tuple[int, tuple[str, ...], int]
"""Its place among all, its keys, and the number of its owner."""


class Phrases:
    """Phrases of several owners, found together. `names` are makers' names, folded."""

    def __init__(
        self,
        phrases: Sequence[tuple[tuple[str, ...], int]],
        names: Mapping[tuple[str, ...], str],
        common: frozenset[str],
    ) -> None:
        """`phrases` pair keys with an owner's number. Names of one word in `common` need more."""
        # Most phrases of one first word are told apart by the second, which is looked up with it.
        self._by_two: dict[tuple[str, str], list[_Phrase]] = {}
        self._by_first: dict[str, list[_Phrase]] = {}
        for place, (keys, owner) in enumerate(phrases):
            if len(keys) > 1 and not {NUMBER, NAME} & set(keys[:2]):
                self._by_two.setdefault((keys[0], keys[1]), []).append((place, keys, owner))
            elif keys:
                self._by_first.setdefault(keys[0], []).append((place, keys, owner))
        self._common = common
        self._names: dict[str, list[tuple[tuple[str, ...], str]]] = {}
        for keys, name in names.items():
            self._names.setdefault(keys[0], []).append((keys, name))

    def find(self, text: str, tokens: Sequence[Token]) -> Iterator[tuple[int, Found]]:
        """Every phrase at every place, as owner's number and find."""
        for first, token in enumerate(tokens):
            following = tokens[first + 1].key if first + 1 < len(tokens) else ""
            two = self._by_two.get((token.key, following), ())
            one = self._by_first.get(token.key, ())
            starts = [sorted((*two, *one)) if two and one else two or one]
            if token.key in self._names:
                starts.append(self._by_first.get(NAME, ()))
            if token.key[0].isdigit():
                starts.append(self._by_first.get(NUMBER, ()))
            for start in starts:
                for _, keys, owner in start:
                    if NUMBER in keys or NAME in keys:
                        for found in self._fits(text, tokens, first, keys):
                            yield owner, found
                    elif _stands(text, tokens, first, keys):
                        yield owner, Found(first, first + len(keys))

    def _fits(
        self, text: str, tokens: Sequence[Token], first: int, keys: tuple[str, ...]
    ) -> Iterator[Found]:
        states: list[Found] = [Found(first, first)]
        for key in keys:
            states = [
                after
                for state in states
                for after in self._step(text, tokens, state, key, alone=len(keys) == 1)
            ]
            if not states:
                return
        yield from states

    def _step(
        self, text: str, tokens: Sequence[Token], state: Found, key: str, *, alone: bool
    ) -> Iterator[Found]:
        at = state.after
        if at >= len(tokens) or not (at == state.first or joined(text, tokens, at)):
            return
        token = tokens[at]
        if key == NAME:
            yield from self._name(text, tokens, state, alone=alone)
        elif key == NUMBER and token.key[0].isdigit():
            yield Found(state.first, at + 1, (*state.numbers, token.key), state.name)
        elif key == token.key:
            yield Found(state.first, at + 1, state.numbers, state.name)

    def _name(
        self, text: str, tokens: Sequence[Token], state: Found, *, alone: bool
    ) -> Iterator[Found]:
        at = state.after
        for keys, name in self._names.get(tokens[at].key, ()):
            end = at + len(keys)
            part = tokens[at:end]
            if tuple(token.key for token in part) != keys:
                continue
            gaps = [text[one.end : next_.start] for one, next_ in pairwise(part)]
            if not all(map(_NAME_GAP.fullmatch, gaps)):
                continue
            # `grey metal, Art Nouveau` parts two things: a name with a comma has capitals.
            if any("," in gap for gap in gaps) and not all(token.large for token in part):
                continue
            if len(keys) == 1 and (not part[0].large or (alone and keys[0] in self._common)):
                continue
            yield Found(state.first, end, state.numbers, name)


def _stands(text: str, tokens: Sequence[Token], first: int, keys: Sequence[str]) -> bool:
    """Whether a phrase of words alone stands there; its first word is known to."""
    if first + len(keys) > len(tokens):
        return False
    following = range(first + 1, first + len(keys))
    return all(tokens[at].key == keys[at - first] for at in following) and all(
        joined(text, tokens, at) for at in following
    )


def joined(text: str, tokens: Sequence[Token], at: int) -> bool:
    """Whether a token goes on from the one before it, within one sentence."""
    before = tokens[at - 1]
    gap = text[before.end : tokens[at].start]
    if gap == " ":
        return True
    if "." in gap and before.end - before.start > _LONGEST_ABBREVIATION:
        return False
    visible = "".join(sign for sign in gap if unicodedata.category(sign) not in ("Cf", "Mn"))
    return _GAP.fullmatch(visible) is not None
