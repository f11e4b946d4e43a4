"""Where a piece comes from, as its note tells in passing: `bought at a flea market`."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from functools import cached_property

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Accounted
from markrules.language.tree import Origin
from markrules.late import late

TELLING = ("story", "link")
"""Roles of wordings that stand before the place: `bought`, `from`, `at`."""
DENYING = "negation"
_WORD = late(r"[^\W_]+(?:['’][^\W_]+)*")
_STRETCH = late(r"[^,.;:!?\n()]+")


@dataclass(frozen=True, eq=False)
class OriginWords:
    """The words by which notes tell of origins.

    `names` gives the origin of each of its words, in small letters. The rest is gathered when a
    note first holds one of these: few do, and there are hundreds of wordings to go through.
    """

    base: KnowledgeBase
    names: Mapping[str, str]

    def may_stand_in(self, text: str) -> bool:
        """Whether any of the words of origins stands in a text of small letters."""
        return any(each in text for each in self.names)

    @cached_property
    def places(self) -> re.Pattern[str]:
        """Finds the words of an origin, the longest first."""
        longest = sorted(self.names, key=len, reverse=True)
        return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, longest))})(?!\w)")

    @cached_property
    def before(self) -> frozenset[str]:
        """Words one of which must stand before the place in the same stretch."""
        return self._single(*TELLING)

    @cached_property
    def denials(self) -> frozenset[str]:
        """Words that undo what stands behind them."""
        return self._single(DENYING)

    def _single(self, *roles: str) -> frozenset[str]:
        return frozenset(text.casefold() for text in self.base.words_of(*roles) if " " not in text)


def origin_words(base: KnowledgeBase) -> OriginWords:
    """The words of the rules for it: those of origins that hold a share of all pieces.

    An origin without a share (what one family kept for generations) is never taken from a note
    alone: who inherits a piece seldom knows for how long it was kept.
    """
    names = {
        text.casefold(): origin.name
        for origin in base.origins.values()
        if origin.share
        for text in origin.also
    }
    return OriginWords(base, names)


def origin_heard(words: OriginWords, note: str) -> str:
    """The origin that a note tells of; empty where it tells of none, or of several."""
    text = note.casefold().replace("-", " ")
    if not words.may_stand_in(text) or words.places.search(text) is None:
        return ""
    found = set()
    for stretch in _STRETCH.findall(text):
        for place in words.places.finditer(stretch):
            before = set(_WORD.findall(stretch[: place.start()]))
            if before & words.before and not before & words.denials:
                found.add(words.names[place[0]])
    return found.pop() if len(found) == 1 else ""


def with_origin_told(
    words: OriginWords, account: tuple[Accounted, ...], origin: Origin
) -> tuple[Accounted, ...]:
    """The account of a note, in which the words that told the origin are understood so."""
    told = (f"taken as from {origin.say}",)

    def tells(each: Accounted) -> bool:
        text = each.words.casefold().replace("-", " ")
        place = words.places.search(text) if words.may_stand_in(text) else None
        return place is not None and words.names[place[0]] == origin.name

    return tuple(
        replace(each, fate="understood", little=False, remarks=told)
        if not each.observations and not each.piece and tells(each)
        else each
        for each in account
    )
