"""Where a piece comes from, as its note tells in passing: `bought at a flea market`."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Accounted
from markrules.language.tree import Origin

TELLING = ("story", "link")
"""Roles of wordings that stand before the place: `bought`, `from`, `at`."""
DENYING = "negation"
_WORD = re.compile(r"[^\W_]+(?:['’][^\W_]+)*")
_STRETCH = re.compile(r"[^,.;:!?\n()]+")


@dataclass(frozen=True, slots=True)
class OriginWords:
    """The words by which notes tell of origins.

    `places` finds the words of an origin, `names` gives the origin of each; `before` are words one
    of which must stand before them in the same stretch, and `denials` such as undo it.
    """

    places: re.Pattern[str] | None
    names: Mapping[str, str]
    before: frozenset[str]
    denials: frozenset[str]


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
    longest = sorted(names, key=len, reverse=True)
    places = (
        re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, longest))})(?!\w)") if longest else None
    )

    def single(*roles: str) -> frozenset[str]:
        return frozenset(
            text.casefold()
            for wording in base.wordings.values()
            if wording.role in roles
            for text in wording.words
            if " " not in text
        )

    return OriginWords(places, names, single(*TELLING), single(DENYING))


def origin_heard(words: OriginWords, note: str) -> str:
    """The origin that a note tells of; empty where it tells of none, or of several."""
    if words.places is None:
        return ""
    text = note.casefold().replace("-", " ")
    if words.places.search(text) is None:
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
        place = words.places.search(text) if words.places is not None else None
        return place is not None and words.names[place[0]] == origin.name

    return tuple(
        replace(each, fate="understood", little=False, remarks=told)
        if not each.observations and not each.piece and tells(each)
        else each
        for each in account
    )
