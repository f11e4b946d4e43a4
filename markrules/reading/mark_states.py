"""How a mark was read: in full, in part, not at all, or only heard of."""

from __future__ import annotations

from markrules.inference.reading import IN_PART, NOT_READ
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import PLAIN, Observation
from markrules.marks.reading_syntax import MarkSyntaxError, parse

IN_FULL, HEARD = "in full", "heard"


def how_read(base: KnowledgeBase, mark: Observation) -> str:
    """Whether the text was read in full, in part, not at all, or heard of.

    In full: without `?`, a run unread, a bracket, `~`, or a word of doubt. Not at all: it is there,
    and every letter of it is unread.
    """
    if mark.heard:
        return HEARD
    if mark.is_unread_mark:
        return NOT_READ
    if _misread(base, mark.certainty) > _misread(base, PLAIN):
        return IN_PART
    try:
        return IN_FULL if parse(mark.value).in_full else IN_PART
    except MarkSyntaxError:
        return IN_PART


def doubt_of(base: KnowledgeBase, certainty: str, plain: float) -> float:
    """The chance that letters written down in full were guessed from a worn mark.

    `plain` is that chance without a word of doubt. A hedge brings its own chance of being wrong;
    a word such as `clearly` lowers the plain chance as much as it lowers that of any look.
    """
    own, usual = _misread(base, certainty), _misread(base, PLAIN)
    if by_ear(base, certainty):  # every letter is known, only not how the name is spelt
        return plain
    if own > usual:
        return own
    return plain * own / usual if usual > 0 else plain


def by_ear(base: KnowledgeBase, certainty: str) -> float:
    """The chance that a name told so is written as it was heard."""
    entry = base.certainties.get(certainty)
    return entry.by_ear if entry is not None else 0.0


def _misread(base: KnowledgeBase, certainty: str) -> float:
    entry = base.certainties.get(certainty)
    return entry.misread if entry is not None else 0.0
