"""Phrases found in text, tolerant of case, accents, plurals and spelling, with exact spans."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import TypeAlias

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.language.roles import SPELLINGS

NUMBER, NAME, BETWEEN, ENDS, WRITTEN_LARGE = "#", "*", "+", "=", "^"
"""In a phrase: any number; the name of any maker; up to MOST_BETWEEN words of any kind; the end of
what goes on, so that nothing is said of something else behind it: `French, 1900`; words that are a
name by their form, whoever it is: written large behind one that is not; one alone counts where it
is long enough, and has no meaning of its own in the rules.
"""
MOST_BETWEEN = 3
"""Words that one BETWEEN may stand for: `a Scottish silver and paste brooch` has as many."""

LEAST_ALONE = 4
"""Letters of a name of one word, at least: `by Ed` tells little."""

MOST_OF_A_NAME = 4
"""Words of a name written large, at most: `Maria van der Berg` is cut, and still is one."""

Families: TypeAlias = Mapping[str, Sequence[tuple[str, ...]]]
"""What a place in a phrase may hold: `{shown}` one of several words, `{shown?}` also none."""

GoesOn: TypeAlias = Callable[[str, Sequence["TextToken"], int], bool]
"""Of a text, its tokens and a place among them: whether that token goes on from the one before."""

_TOKEN = re.compile(r"\d+(?:[.,/]\d+)*|[^\W\d_]+")
_GAP = re.compile(r"[^\S\n]*\n?[^\S\n]*[-‐-―'’‘\"“”/_+.$£€¥]?[^\S\n]*")
_NAME_GAP = re.compile(r"[^\w\n]{1,4}\n?[^\w\n]{0,3}|\n")
_LONGEST_ABBREVIATION = 2  # letters before a dot that does not end a sentence: k. ct. c.
_SHORT_WORDS = {
    *("am", "as", "at", "be", "by", "do", "go", "he", "if", "in", "is", "it", "me", "my", "no"),
    *("of", "on", "or", "so", "to", "up", "us", "we"),
}
"""Words of two letters of the English language, which a dot does end."""


@dataclass(frozen=True, slots=True)
class TextToken:
    """A word or number of the text: folded `key`, place, and whether it began large."""

    key: str
    start: int
    end: int
    large: bool


@dataclass(frozen=True, slots=True)
class FoundPhrase:
    """A phrase found at tokens `first` to `after`; the numbers in it, and the maker named."""

    first: int
    after: int
    numbers: tuple[str, ...] = ()
    name: str = ""


class Folder:
    """Folds words so that spellings and plurals meet. `base` holds the pairs of spellings."""

    def __init__(self, base: KnowledgeBase) -> None:
        """Spellings are the texts of `wording` entries of the roles of spellings."""
        self._spellings: dict[str, str] = {}
        for group in base.words_of(*SPELLINGS):
            words = group.casefold().split()
            self._spellings.update((word, words[0]) for word in words)

    def key(self, word: str) -> str:
        """The folded word: one spelling, singular."""
        word = self._spellings.get(word, word)
        single = singular(word)
        return self._spellings.get(single, single)

    def tokens(self, text: str) -> list[TextToken]:
        """The words and numbers of a text; characters without width do not part a word."""
        plain, places = _plain(text)
        return [
            TextToken(
                self.key(match.group()),
                places[match.start()],
                places[match.end() - 1] + 1,
                text[places[match.start()]].isupper(),
            )
            for match in _TOKEN.finditer(plain)
        ]

    def phrase(self, text: str) -> tuple[str, ...]:
        """A phrase of the rules as keys, with `#`, `*`, `+` and `=` kept."""
        parts = re.findall(r"[#*+=^]|\{[^}]*\}|\d+|[^\W\d_]+", _plain(text)[0])
        return tuple(part if part[0] in _SIGNS else self.key(part) for part in parts)


_SIGNS = (NUMBER, NAME, BETWEEN, ENDS, WRITTEN_LARGE, "{")


def is_place(key: str) -> bool:
    """Whether a key of a phrase is a place for one of a family, `{name}` or `{name?}`."""
    return key[0] == "{"


def family_of(key: str) -> str:
    """The name of the family that may stand in a place."""
    return key[1:-1].removesuffix("?")


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


_Phrase: TypeAlias = tuple[int, tuple[str, ...], int, bool, frozenset[str] | None]
"""Its place among all, its keys, the number of its owner, whether words alone are in it, and which
word must stand second, where one must."""


class PhrasesOfOwners:
    """Phrases of several owners, found together. `names` are makers' names, folded."""

    def __init__(
        self,
        phrases: Sequence[tuple[tuple[str, ...], int]],
        names: Mapping[tuple[str, ...], str],
        common: frozenset[str],
        families: Families | None = None,
        goes_on: GoesOn | None = None,
    ) -> None:
        """`phrases` pair keys with an owner's number. Names of one word in `common` need more.

        `goes_on` tells whether a phrase may go on from one token to the next: `joined` if left out.
        """
        self._goes_on = goes_on or joined
        # Most phrases of one first word are told apart by the second, which is looked up with it.
        self._by_two: dict[tuple[str, str], list[_Phrase]] = {}
        self._by_first: dict[str, list[_Phrase]] = {}
        self._families = {
            name: _by_first_key(members) for name, members in (families or {}).items()
        }
        for place, (keys, owner) in enumerate(phrases):
            plain = not any(key[0] in _SIGNS for key in keys)
            if plain and len(keys) > 1:
                two = self._by_two.setdefault((keys[0], keys[1]), [])
                two.append((place, keys, owner, plain, None))
                continue
            for first, seconds in self._beginnings(keys).items():
                one = self._by_first.setdefault(first, [])
                one.append((place, keys, owner, plain, seconds))
        self._common = common
        self._names: dict[str, list[tuple[tuple[str, ...], str]]] = {}
        for keys, name in names.items():
            self._names.setdefault(keys[0], []).append((keys, name))

    def _beginnings(self, keys: tuple[str, ...]) -> dict[str, frozenset[str] | None]:
        """With which words the phrase may begin, and for each by which it must go on, if by one."""
        by_first: dict[str, set[str]] = {}
        for opening in self._openings(keys, 2):
            if opening:
                by_first.setdefault(opening[0], set()).add((*opening, NUMBER)[1])
        return {
            first: None if any(second[0] in _SIGNS for second in seconds) else frozenset(seconds)
            for first, seconds in by_first.items()
        }

    def _openings(self, keys: tuple[str, ...], words: int) -> set[tuple[str, ...]]:
        """The first keys of the phrase, so many or all, with every member in each place."""
        if not keys or not words:
            return {()}
        if not is_place(keys[0]):
            return {(keys[0], *rest) for rest in self._openings(keys[1:], words - 1)}
        alike = self._families[family_of(keys[0])].values()
        heads = {member[:words] for members in alike for member in members}
        rests = {left: self._openings(keys[1:], left) for left in {words - len(h) for h in heads}}
        found = {(*head, *rest) for head in heads for rest in rests[words - len(head)]}
        return found | (self._openings(keys[1:], words) if keys[0][-2] == "?" else set())

    def find(self, text: str, tokens: Sequence[TextToken]) -> Iterator[tuple[int, FoundPhrase]]:
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
                for _, keys, owner, plain, seconds in start:
                    if seconds is not None and following not in seconds:
                        continue
                    if not plain:
                        for found in self._fits(text, tokens, first, keys):
                            yield owner, found
                    elif _stands(text, tokens, first, keys, self._goes_on):
                        yield owner, FoundPhrase(first, first + len(keys))

    def _fits(
        self, text: str, tokens: Sequence[TextToken], first: int, keys: tuple[str, ...]
    ) -> Iterator[FoundPhrase]:
        states: list[FoundPhrase] = [FoundPhrase(first, first)]
        for key in keys:
            states = [
                after
                for state in states
                for after in self._step(text, tokens, state, key, alone=len(keys) == 1)
            ]
            if not states:
                return
        yield from (state for state in states if state.after > first)

    def _step(
        self, text: str, tokens: Sequence[TextToken], state: FoundPhrase, key: str, *, alone: bool
    ) -> Iterator[FoundPhrase]:
        at = state.after
        if key[-2:] == "?}":
            yield state
        if key == ENDS:
            if at >= len(tokens) or not self._goes_on(text, tokens, at):
                yield state
            return
        if key == BETWEEN:
            yield from self._between(text, tokens, state)
            return
        if at >= len(tokens) or not (at == state.first or self._goes_on(text, tokens, at)):
            return
        token = tokens[at]
        if is_place(key):
            yield from self._member(text, tokens, state, key)
        elif key == NAME:
            yield from self._name(text, tokens, state, alone=alone)
        elif key == WRITTEN_LARGE:
            yield from self._written_large(text, tokens, state)
        elif key == NUMBER and token.key[0].isdigit():
            yield FoundPhrase(state.first, at + 1, (*state.numbers, token.key), state.name)
        elif key == token.key:
            yield FoundPhrase(state.first, at + 1, state.numbers, state.name)

    def _written_large(
        self, text: str, tokens: Sequence[TextToken], state: FoundPhrase
    ) -> Iterator[FoundPhrase]:
        at = state.after
        # Where all is written large, it tells nothing; and names are no numbers.
        if at and text[tokens[at - 1].start : tokens[at - 1].end].isupper():
            return
        most = min(len(tokens), at + MOST_OF_A_NAME)
        while at < most and tokens[at].large and (at == state.after or joined(text, tokens, at)):
            at += 1
        if at >= state.after + 2 or (at > state.after and self._may_stand_alone(tokens[at - 1])):
            yield FoundPhrase(state.first, at, state.numbers, state.name)

    def _may_stand_alone(self, token: TextToken) -> bool:
        long_enough = token.end - token.start >= LEAST_ALONE
        return long_enough and token.key.isalpha() and token.key not in self._common

    def _between(
        self, text: str, tokens: Sequence[TextToken], state: FoundPhrase
    ) -> Iterator[FoundPhrase]:
        at = state.after
        yield state
        most = min(len(tokens), at + MOST_BETWEEN)
        while at < most and self._goes_on(text, tokens, at):
            at += 1
            yield FoundPhrase(state.first, at, state.numbers, state.name)

    def _member(
        self, text: str, tokens: Sequence[TextToken], state: FoundPhrase, key: str
    ) -> Iterator[FoundPhrase]:
        at = state.after
        for member in self._families[family_of(key)].get(tokens[at].key, ()):
            if _stands(text, tokens, at, member, self._goes_on):
                yield FoundPhrase(state.first, at + len(member), state.numbers, state.name)

    def _name(
        self, text: str, tokens: Sequence[TextToken], state: FoundPhrase, *, alone: bool
    ) -> Iterator[FoundPhrase]:
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
            yield FoundPhrase(state.first, end, state.numbers, name)


def _by_first_key(members: Sequence[tuple[str, ...]]) -> dict[str, list[tuple[str, ...]]]:
    by_first: dict[str, list[tuple[str, ...]]] = {}
    for member in dict.fromkeys(map(tuple, members)):
        by_first.setdefault(member[0], []).append(member)
    return by_first


def _stands(
    text: str,
    tokens: Sequence[TextToken],
    first: int,
    keys: Sequence[str],
    goes_on: GoesOn,
) -> bool:
    """Whether a phrase of words alone stands there; its first word is known to."""
    if first + len(keys) > len(tokens):
        return False
    following = range(first + 1, first + len(keys))
    return all(tokens[at].key == keys[at - first] for at in following) and all(
        goes_on(text, tokens, at) for at in following
    )


def _may_be_short_for(token: TextToken) -> bool:
    """Whether a dot after the token may be that of an abbreviation: `14 ct. gold`, not `on it.`"""
    return token.end - token.start <= _LONGEST_ABBREVIATION and token.key not in _SHORT_WORDS


def joined(text: str, tokens: Sequence[TextToken], at: int) -> bool:
    """Whether a token goes on from the one before it, within one sentence."""
    before = tokens[at - 1]
    gap = text[before.end : tokens[at].start]
    if gap == " ":
        return True
    if "." in gap and not _may_be_short_for(before):
        return False
    visible = "".join(sign for sign in gap if unicodedata.category(sign) not in ("Cf", "Mn"))
    return _GAP.fullmatch(visible) is not None


def answered(text: str, tokens: Sequence[TextToken], at: int) -> bool:
    """Whether a colon alone parts a token from the one before it: `Hallmarks: none`."""
    return text[tokens[at - 1].end : tokens[at].start].strip(" \t") == ":"


def joined_or_answered(text: str, tokens: Sequence[TextToken], at: int) -> bool:
    """Whether a token goes on from the one before it, or tells what stood before its colon."""
    return joined(text, tokens, at) or answered(text, tokens, at)


def joined_or_parted_by_comma(text: str, tokens: Sequence[TextToken], at: int) -> bool:
    """Whether a token goes on from the one before it, or behind a comma: `In 1876, the firm`."""
    gap = text[tokens[at - 1].end : tokens[at].start]
    return gap.strip(" \t") == "," or joined(text, tokens, at)
