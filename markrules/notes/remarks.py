"""What people remark on a piece, known by the order of words in the whole of a note.

`markrules.notes.ways_of_saying` tells how the rules write that and how it is matched. Where a slot
is part of a remark, the thing that fills it is told too.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from functools import cached_property
from itertools import accumulate
from typing import Any

from markrules.knowledge.base import KnowledgeBase
from markrules.language.slots import filled_name, slot_of
from markrules.late import late
from markrules.named_tuple import NamedTuple
from markrules.notes.folding import Folding
from markrules.notes.senses import Sense
from markrules.notes.tokens import phrase_of
from markrules.notes.ways_of_saying import (
    OTHER_PIECE,
    Hit,
    KeptPatterns,
    Pattern,
    patterns_of,
)

MOST_WORDS = 250
"""Words of a note in which remarks are looked for: nobody describes one piece in more."""
_YEAR = late(r"(?:1[5-9]|20)[0-9]{2}(?:[./][0-9]{1,2})*")
"""A year, or what begins with one: `1903/4`, `1934.12.7`."""
_YEARS, _ITS_YEAR = "year", "its-year"


class Remarked(NamedTuple):
    """A remark that was made, and the words of the note that make it.

    `years` are those of its words that are a year of the feature `of_year`.
    """

    value: str
    words: tuple[int, ...]
    of_year: str = ""
    years: tuple[int, ...] = ()


def remarks_of(base: KnowledgeBase, folding: Folding) -> dict[str, Any]:
    """The remarks of the rules, and all words that they may be made of, to be kept."""
    return {
        "pieces": _piece_words(base, folding),
        **patterns_of(base, folding, [each for each in base.remarks.values() if not each.damages]),
    }


def _piece_words(base: KnowledgeBase, folding: Folding) -> dict[str, str]:
    """The single words that name a piece type, with the type."""
    return {
        words[0]: piece.name
        for piece in base.pieces.values()
        for text in (piece.name, *piece.also)
        if len(words := phrase_of(text, folding)) == 1
    }


class Remarks:
    """The remarks of a knowledge base, ready to be looked for in notes."""

    def __init__(
        self,
        kept: Mapping[str, Any],
        base: KnowledgeBase,
        folding: Folding,
        little: frozenset[str],
    ) -> None:
        """`kept` is what `remarks_of` gives; `little` words count for nothing."""
        self._base = base
        self._ways = KeptPatterns(kept, folding, little)
        self._pieces: Mapping[str, str] = kept["pieces"]
        self._pieces_alone: dict[str, bool] = {}
        self._part_of: dict[tuple[str, str], frozenset[str]] = {}
        self.shows = dict(_shown(base))
        """For remarks that show a fault, be they filled or not, that fault."""

    def made(
        self,
        segments: Sequence[Sequence[str]],
        chain: Sequence[str],
        parted: AbstractSet[int] = frozenset(),
        phrases: Sequence[tuple[int, int]] = (),
    ) -> tuple[Remarked, ...]:
        """The remarks that a note makes, each once, with the places of the words that make them.

        `phrases` are the stretches of words that name one thing seen: a remark of several places
        is none where all of them lie in one of these, as *steel beads* are a kind of bead.

        `segments` are the folded words of each stretch of the note, `chain` the piece's type and
        the broader ones; empty where it is not known. `parted` are the numbers of stretches that
        their writer did not part from the one before.
        """
        piece = frozenset(chain)
        words = [word for segment in segments for word in segment]
        ends = set(accumulate(map(len, segments)))
        hits = self._hits(words, piece, chain[0] if chain else "", ends)
        if not hits:
            return ()
        note = self._ways.words_of(segments, hits, parted)
        found: dict[str, Remarked] = {}
        denied: set[str] = set()
        for pattern in self._ways.filled(hits):
            if not self._is_on(pattern.remark, piece):
                continue
            for matched in note.matches(pattern):
                if pattern.denies:
                    denied.add(pattern.remark)
                    break
                if len(matched) > 1 and _in_one(phrases, matched):
                    continue
                made = self._remarked(pattern, matched)
                before = found.get(made.value, made)
                found[made.value] = made._replace(
                    words=tuple(sorted({*before.words, *made.words})),
                    years=tuple(sorted({*before.years, *made.years})),
                )
        return tuple(
            each
            for value, each in found.items()
            if not any(value == name or value.startswith(f"{name}-") for name in denied)
        )

    def things_in(self, words: Sequence[str], chain: Sequence[str]) -> dict[str, set[str]]:
        """The fills of each slot that folded words name, on a piece of this type and its broader
        ones.
        """
        hits = self._hits(words, frozenset(chain), chain[0] if chain else "", {len(words)})
        return {slot: {hit.what for hit in hits[slot]} for slot in self._slots & hits.keys()}

    def _is_on(self, remark: str, piece: frozenset[str]) -> bool:
        on = self._base.remarks[remark].on
        return not on or not piece or any(each.name in piece for each in on)

    def _remarked(self, pattern: Pattern, matched: Sequence[Hit]) -> Remarked:
        year = self._base.remarks[pattern.remark].year
        places = zip(pattern.elements, matched, strict=True)
        return Remarked(
            self._value(pattern, matched),
            tuple(at for hit in matched for at in range(hit.start, hit.end)),
            year.name if year is not None else "",
            tuple(hit.start for (name, _), hit in places if name == _ITS_YEAR),
        )

    def _value(self, pattern: Pattern, matched: Sequence[Hit]) -> str:
        if not pattern.slot:
            return pattern.remark
        for (name, _), hit in zip(pattern.elements, matched, strict=True):
            if name == pattern.slot:
                fills = self._base.slots[name].fills
                fill = next(each for each in fills if each.name == hit.what)
                return filled_name(pattern.remark, fill)
        return pattern.remark

    def _hits(
        self, words: Sequence[str], piece: frozenset[str], type_name: str, ends: AbstractSet[int]
    ) -> dict[str, list[Hit]]:
        """All words that may fill some place, by the place.

        `ends` tells where stretches of the note end. A word right before the piece is no part
        of it (`new charm bracelet`), nor is the first one that names it (`modern beads`); of words
        that name it, one that is no part of anything goes before (`the pin is newer, brooch`).
        """
        hits: dict[str, list[Hit]] = {}
        naming = [at for at, word in enumerate(words) if self._pieces.get(word) in piece]
        exactly = (at for at in naming if self._pieces[words[at]] == type_name)
        own = next((at for at in naming if self._is_piece(words[at])), next(exactly, -1))
        for start, word in enumerate(words):
            if word[:1].isdigit() and _YEAR.fullmatch(word):
                for name in (_YEARS, _ITS_YEAR):
                    hits.setdefault(name, []).append(Hit(start, start + 1))
            if self._ways.phrases.first(word) is None:
                continue
            for end, sense in self._ways.phrases.every(words, start, self._ways.little):
                if sense.name == OTHER_PIECE and self._is_same(sense.value, piece):
                    continue
                if sense.value and sense.name in self._slots:
                    if not self._fits(sense, piece) or start == own:
                        continue
                    if end not in ends and (end == own or self._is_piece(words[end])):
                        continue
                    if start < own < end:  # clip earrings
                        continue
                hits.setdefault(sense.name, []).append(Hit(start, end, sense.value))
        return hits

    def _is_piece(self, word: str) -> bool:
        """Whether a word names a piece type and no part of any: a necklace, but no clip."""
        if word not in self._pieces:
            return False
        known = self._pieces_alone.get(word)
        if known is None:
            senses = (sense for _, sense in self._ways.phrases.every([word], 0))
            known = all(sense.name not in self._slots for sense in senses)
            self._pieces_alone[word] = known
        return known

    @cached_property
    def _slots(self) -> frozenset[str]:
        return frozenset(self._base.slots)

    def _is_same(self, name: str, piece: frozenset[str]) -> bool:
        """Whether a piece type is this one, or only a broader or narrower word for it."""
        if not piece:
            return True
        return name in piece or not piece.isdisjoint(self._base.broader(name)[:2])

    def _fits(self, sense: Sense, piece: frozenset[str]) -> bool:
        """Whether a thing can be part of this piece."""
        on = self._part_of.get(sense[1:])
        if on is None:
            fills = self._base.slots[sense.name].fills
            found = next(each.on for each in fills if each.name == sense.value)
            on = self._part_of[sense.name, sense.value] = frozenset(each.name for each in found)
        return not on or not piece or not on.isdisjoint(piece)


def _in_one(phrases: Sequence[tuple[int, int]], matched: Sequence[Hit]) -> bool:
    """Whether all places of a remark lie in one phrase."""
    first, end = min(hit.start for hit in matched), max(hit.end for hit in matched)
    return any(start <= first and end <= until for start, until in phrases)


def _shown(base: KnowledgeBase) -> Iterator[tuple[str, str]]:
    for remark in base.remarks.values():
        if remark.shows is not None:
            slot = slot_of(remark, base.slots)
            yield remark.name, remark.shows.name
            for fill in slot.fills if slot is not None else ():
                yield filled_name(remark.name, fill), remark.shows.name
