"""A maker who was told of, held against the names and initials that stand on the piece."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Protocol

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import MARK, TOLD_MAKER, Observation

if TYPE_CHECKING:
    from markrules.marks.search import MarkSearch

MAKER_TOLD, NOT_AS_SIGNED, INITIALS_ALONE = "maker-told", "not-as-signed", "initials-alone"
"""The feature for how a told maker agrees with the marks, and its values."""

LEAST_OF_A_NAME, LEAST_TO_SIGN = 4, 3
"""Fewer letters may be initials of anybody: of a name in no list, and of a listed mark."""


class ReadsMarks(Protocol):
    """What judges the texts on a piece."""

    @property
    def base(self) -> KnowledgeBase:
        """The rules."""
        ...

    @property
    def marks(self) -> MarkSearch:
        """The search over all listed marks."""
        ...

    def may_sign(self, text: str) -> bool:
        """Whether a text may be a maker's."""
        ...

    def legible(self, text: str) -> bool:
        """Whether every letter of a text was read."""
        ...


def told_against_marks(reader: ReadsMarks, seen: Sequence[Observation]) -> tuple[Observation, ...]:
    """That a maker was told of who is not the one whose mark the piece bears, if so."""
    told = [each for each in seen if each.heard and each.feature in (MARK, TOLD_MAKER)]
    signed = [
        each
        for each in seen
        if each.feature == MARK
        and each.state == "seen"
        and not each.heard
        and not each.is_unread_mark
    ]
    if not told or not signed or MAKER_TOLD not in reader.base.features:
        return ()
    signs = [each.value for each in signed if reader.may_sign(each.value)]
    if signs and all(_letters(text) < LEAST_OF_A_NAME for text in signs):
        theirs = _houses(reader, signs)
        if all(not _houses(reader, [each.value]) & theirs for each in told):
            return (Observation(MAKER_TOLD, INITIALS_ALONE, words=signed[0].words),)
    texts = [text for text in signs if _letters(text) >= LEAST_TO_SIGN]
    houses = _houses(reader, texts)
    unlisted = any(
        reader.legible(text) and _letters(text) >= LEAST_OF_A_NAME
        for text in texts
        if not reader.marks.is_listed(text)
    )
    against = all(_is_against(reader, each.value, houses, texts) for each in told)
    if not (houses or unlisted) or not against:
        return ()
    return (Observation(MAKER_TOLD, NOT_AS_SIGNED, words=told[0].words),)


def _is_against(
    reader: ReadsMarks, told: str, houses: frozenset[str], texts: Sequence[str]
) -> bool:
    """Whether a listed maker was told of whose name is none of those on the piece."""
    named = _houses(reader, [told])
    words = {word for word in re.findall(r"\w+", told.casefold()) if len(word) >= LEAST_OF_A_NAME}
    shared = any(words & set(re.findall(r"\w+", text.casefold())) for text in texts)
    return bool(named) and not named & houses and not shared


def _houses(reader: ReadsMarks, texts: Iterable[str]) -> frozenset[str]:
    """The makers, or the groups they belong to, of all texts that are listed as theirs."""
    near = (reader.marks.nearest(each) for each in texts if each and reader.marks.is_listed(each))
    makers = [each[0].maker for each in near if each is not None]
    known = ((name, reader.base.makers.get(name)) for name in makers)
    return frozenset(maker.group or name if maker else name for name, maker in known)


def _letters(text: str) -> int:
    return sum(map(str.isalpha, text))
