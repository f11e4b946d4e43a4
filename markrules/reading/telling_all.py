"""What the words of a whole note tell of what misleads, as a remark."""

from __future__ import annotations

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.language.slots import REMARK

LEAST, LEAST_WORDS = "whole-note-least", "whole-note-words"
"""The settings: from how probable on the words of a note as a whole are taken to tell of something,
and of how many words a note is to be for that. Needed only where a remark `tells`."""


def told_in_all(base: KnowledgeBase, note: str) -> tuple[Observation, ...]:
    """The remark that the words of a note make together, if they make one.

    What misleads is to be as likely as the setting says, of whatever kind; then the likeliest
    kind that the rules have a remark for is told. The words of the observation are those of the
    stretch of the note that speaks most for it.
    """
    remarks = {each.tells: name for name, each in base.remarks.items() if each.tells}
    if not remarks:
        return ()
    from markrules.notes.whole_note import SOUND, shipped, words_of

    if len(words_of(note)) < base.setting(LEAST_WORDS):
        return ()
    model = shipped()
    chances = model.chances(note)
    if 1.0 - chances[SOUND] < base.setting(LEAST):
        return ()
    kind = max(remarks, key=lambda each: chances.get(each, 0.0))
    return (Observation(REMARK, remarks[kind], words=model.said(note, kind)),)
