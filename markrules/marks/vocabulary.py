"""Which words on a piece are not a maker's letters: taken from the knowledge base alone.

Such words are what stands beside marks (STERLING, PAT. PEND., a country), the spellings of
registers and of metal content, and the texts that conditions look for. Numbers count as words
beside the mark too.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import field
from functools import lru_cache

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.language.conditions import And, AtLeast, Condition, Not, Or, Says
from markrules.language.tree import Maker
from markrules.late import late
from markrules.marks.letters import folded
from markrules.marks.mark_shares import mark_shares
from markrules.marks.reading_syntax import Cell, CellRun

_SPLIT = late(r"[\s/]+")
_SIGNS = "©®™℠"
_SIGN = late(f"([{_SIGNS}])")
_PLACE_OF_NUMBER = late(r"\{[^}]*\}\w*|#\S*")
_NUMBER = late(r"\d+")
_BETWEEN_PLACES = late(r"[,;()/]| and ")
NUMBER = "#"
"""Stands for any number beside a mark. """


_STYLE_NUMBER = late(r"\d{2,}[A-Z]{1,2}|[A-Z]\d{2,}")
"""A style or mould number with a letter before or behind it (7845P, N12), counted as a number only
beside a name: by itself it may be a registration, which is a maker's own."""

_SHORTEST_NAME = 4
"""A word of so many letters is a name that such a number may stand beside."""

CODE = late(r"[A-Z]{1,3}\d{1,4}|\d{2,5}[A-Z]{1,2}")
"""A code of up to three letters and a number (TM-101), as registers of makers give out, or a style
number with a letter (7462P)."""

_SHORTEST_GUESS = 4
"""A word with unread letters is taken for a word beside the mark from this many letters on."""


@dataclass(frozen=True, eq=False)
class MarkWords:
    """Phrases (runs of folded words) that stand beside marks, and how common each is.

    `phrases` maps the first word to the phrases that begin with it, longest first. `shares` is
    the share of makers on whose marks the phrase stands, `number_share` that of marks with a number
    beside them. `number` fits a number, also one with
    the letters that spellings of metal content write right after it (12K). `numbers_of_makers`
    are numbers that are some maker's whole mark and codes (H73) that stand in one, `in_many_names`
    folded words that many names hold.
    """

    phrases: Mapping[str, Sequence[Sequence[str]]]
    shares: Mapping[str, float]
    least_share: float
    number_share: float
    number: re.Pattern[str]
    numbers_of_makers: frozenset[str] = frozenset()
    in_many_names: frozenset[str] = frozenset()
    further: Mapping[str, Mapping[str, float]] = field(default_factory=dict)

    def share(self, phrase: str) -> float:
        """How often the phrase stands on a piece whose maker is not known."""
        if phrase == NUMBER:
            return self.number_share
        return self.shares.get(phrase, self.least_share)

    def apart(self, words: Sequence[str]) -> tuple[list[int], list[str]]:
        """Which words (by place) are a maker's letters, and the phrases beside them."""
        own: list[int] = []
        beside: list[str] = []
        place = 0
        while place < len(words):
            length, phrase = self._phrase_at(words, place)
            if length:
                beside.append(phrase)
                place += length
            else:
                own.append(place)
                place += 1
        if any(words[place].isalpha() and len(words[place]) >= _SHORTEST_NAME for place in own):
            numbers = [
                place
                for place in own
                if _STYLE_NUMBER.fullmatch(words[place])
                and words[place] not in self.numbers_of_makers
            ]
            own = [place for place in own if place not in numbers]
            beside.extend(NUMBER for _ in numbers)
        return own, beside

    def _phrase_at(self, words: Sequence[str], place: int) -> tuple[int, str]:
        word = words[place]
        for phrase in self.phrases.get(word, ()):
            if tuple(words[place : place + len(phrase)]) == tuple(phrase):
                return len(phrase), "".join(phrase)
        if self.number.fullmatch(word) and word not in self.numbers_of_makers:
            return 1, NUMBER
        return 0, ""

    def guess(self, token: CellRun) -> str:
        """The word that a token with unread letters stands for; empty where none fits."""
        known = sum(cell.kind == "letter" for cell in token.cells)
        if known < _SHORTEST_GUESS or token.is_plain:
            return ""
        pattern = re.compile("".join(map(_cell_pattern, token.cells)))
        fitting = (p[0] for each in self.phrases.values() for p in each if len(p) == 1)
        return next(filter(pattern.fullmatch, fitting), "")


def _cell_pattern(cell: Cell) -> str:
    if cell.kind == "gap":
        return ".*"
    return "." if cell.kind == "unread" else f"[{''.join(a for a, _ in cell.letters)}]"


@lru_cache(maxsize=8192)
def words_of(text: str) -> tuple[str, ...]:
    """The folded words of a text; signs such as © are words of their own.

    >>> words_of("© B.S.K. / STERLING")
    ('©', 'BSK', 'STERLING')
    """
    return tuple(word for _, word in _words(text))


def written_words(text: str) -> tuple[str, ...]:
    """The words of `words_of` as they are written: `B.S.K.`."""
    return tuple(written for written, _ in _words(text))


def _words(text: str) -> Iterator[tuple[str, str]]:
    spaced = text if text.isascii() else _SIGN.sub(r" \1 ", text)
    for written in _SPLIT.split(spaced):
        word = written if written in _SIGNS else folded(written)
        if word:
            yield written, word


def vocabulary(base: KnowledgeBase) -> MarkWords:
    """The words beside marks that the knowledge base speaks of."""
    found: dict[str, set[str]] = {}
    phrases: set[tuple[str, ...]] = set()
    for maker in base.makers.values():
        for phrase in _beside(maker):
            phrases.add(phrase)
            found.setdefault("".join(phrase), set()).add(maker.name)
    phrases |= {words for text in base.words_of("not-a-maker") if (words := words_of(text))}
    names = set(_names(base, phrases))
    phrases = {each for each in phrases if "".join(each) in found or "".join(each) not in names}
    looked_for = (words_of(text) for text in texts_asked_for(base))
    phrases |= {words for words in looked_for if _is_phrase(words, names)}
    # What people write without the space is the same word: W.Germany.
    closed_up = ("".join(words) for words in phrases if len(words) > 1)
    phrases |= {(word,) for word in closed_up if word not in names}
    makers = len(base.makers) + 1
    starts: dict[str, list[tuple[str, ...]]] = {}
    for phrase in sorted(phrases, key=len, reverse=True):
        starts.setdefault(phrase[0], []).append(phrase)
    return MarkWords(
        {word: tuple(each) for word, each in starts.items()},
        {phrase: (len(names) + 0.5) / makers for phrase, names in found.items()},
        0.5 / makers,
        mark_shares(base).number_beside,
        _numbers(base),
        frozenset(
            letters
            for maker in base.makers.values()
            for mark in maker.marks
            for letters in (folded(mark.text), *words_of(mark.text))
            if _STYLE_NUMBER.fullmatch(letters)
            or (letters.isdigit() and letters == folded(mark.text))
        ),
        frozenset(map(folded, base.words_of("in-many-names"))),
    )


def _is_phrase(words: tuple[str, ...], names: Container[str]) -> bool:
    together = "".join(words)
    return together not in names and (len(together) > 1 or together in _SIGNS)


def _numbers(base: KnowledgeBase) -> re.Pattern[str]:
    spellings = [text for each in base.metal_marks.values() for text in each.reads]
    ends = {folded(end) for text in spellings for end in re.findall(r"\}([^\W\d_]+)", text)}
    return re.compile(rf"\d+(?:{'|'.join(sorted(ends, key=len, reverse=True))})?")


def _beside(maker: Maker) -> Iterator[tuple[str, ...]]:
    """What stands beside a maker's marks, and lines of them that are its own town or country."""
    places = {folded(place) for place in _BETWEEN_PLACES.split(f"{maker.city}, {maker.country}")}
    for mark in maker.marks:
        lines = mark.text.split(" / ")
        for text in (*mark.beside, *(line for line in lines if folded(line) in places)):
            words = words_of(text)
            if words and words != words_of(mark.text) and not all(map(_NUMBER.fullmatch, words)):
                yield words


def _names(base: KnowledgeBase, beside: Container[tuple[str, ...]]) -> Iterator[str]:
    """Whole mark texts and names of makers: a condition on one of them is not a word beside.

    So is each line of a mark, but for a line that is a word beside marks itself: a country; and for
    one with a number in it, whose words are those of the number (`PAT. #`).
    """
    for maker in base.makers.values():
        yield from map(folded, (maker.title, *maker.also))
        for mark in maker.marks:
            yield folded(mark.text)
            lines = mark.text.split(" / ")
            named = (line for line in lines if "#" not in line)
            yield from (folded(line) for line in named if words_of(line) not in beside)


def texts_asked_for(base: KnowledgeBase) -> Iterator[str]:
    """The texts that the rules ask marks for, and the spellings of numbers and metals."""
    for entries in (base.clues, base.findings, base.signs, base.cautions, base.faults):
        for entry in entries.values():
            if entry.when is not None:
                yield from said_texts(entry.when)
    for register in base.registers.values():
        yield from _spellings(register.reads)
    for metal_mark in base.metal_marks.values():
        yield from _spellings(metal_mark.reads)


def said_texts(condition: Condition) -> Iterator[str]:
    """The texts that a condition asks the marks for."""
    if isinstance(condition, Says):
        yield from condition.texts
    elif isinstance(condition, Not):
        yield from said_texts(condition.part)
    elif isinstance(condition, And | Or | AtLeast):
        for part in condition.parts:
            yield from said_texts(part)


def _spellings(reads: Iterable[str]) -> Iterator[str]:
    """Spellings without the place of the number; the number is a word of its own.

    What only goes on from the number says nothing without it: `& S` of `9CT & S` is half a name.
    """
    for text in reads:
        left = _PLACE_OF_NUMBER.sub(" ", text).strip()
        if not left.startswith("&"):
            yield left
