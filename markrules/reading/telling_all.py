"""What the words of a whole note tell of what misleads: as a remark, and beside other signs."""

from __future__ import annotations

from collections.abc import Mapping

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import PLAIN, Observation
from markrules.language.slots import REMARK

LEAST, LEAST_WORDS = "whole-note-least", "whole-note-words"
"""The settings: from how probable on the words of a note as a whole are taken to tell of something,
and of how many words a note is to be for that. Needed only where a remark `tells`."""


POWER, FULL_WORDS, USUAL_SHARE = (
    "whole-note-power",
    "whole-note-full-words",
    "whole-note-usual-share",
)
"""The settings: by which power the odds of what misleads follow what all words of a note tell, from
how many words on, and the share with which a kind is neither borne out nor not."""

KIND = "whole-note-kind"
"""The setting: how likely by all words the kind is to be for it to be more than a guess."""

EVEN = 0.5
"""A stretch of a note that is likelier than this to be of a sound piece is no tell-tale."""

SURE = 0.995
"""No note is taken for surer than this by all its words."""


def is_long_enough(base: KnowledgeBase, note: str) -> bool:
    """Whether a note has words enough for all of them to tell anything, and the rules hear it."""
    from markrules.notes.whole_note import words_of

    # The words first: to look whether a remark tells makes all of them, which most notes spare.
    if len(words_of(note)) < base.setting(LEAST_WORDS, instead=0.0):
        return False
    return any(each.tells for each in base.remarks.values())


def kinds_in_all(base: KnowledgeBase, note: str) -> Mapping[str, float]:
    """The probability of each kind of what misleads by all words of a note, and of none of them.

    Empty where the rules have nothing that such words tell, or the note is too short for it.
    """
    if not is_long_enough(base, note):
        return {}
    from markrules.notes.whole_note import shipped

    return shipped().chances(note)


def borne_out(base: KnowledgeBase, note: str, kinds: Mapping[str, float]) -> Mapping[str, float]:
    """By how much the odds of each kind rise or fall by all words of a note: factors.

    `kinds` are the probabilities of `kinds_in_all`. A factor is the odds that something misleads,
    times the share that the kind has of it against the usual share, to a power that grows with the
    length of the note up to `whole-note-full-words`: few words tell little beside what was met.
    """
    if not kinds:
        return {}
    from markrules.notes.whole_note import SOUND, words_of

    odd = min(max(1.0 - kinds[SOUND], 1.0 - SURE), SURE)
    least_words, full_words = base.setting(LEAST_WORDS), base.setting(FULL_WORDS)
    length = (len(words_of(note)) - least_words) / (full_words - least_words)
    power, usual = base.setting(POWER) * min(length, 1.0), base.setting(USUAL_SHARE)
    least = (1.0 - SURE) * usual
    return {
        kind: (odd / (1.0 - odd) * max(share / odd, least) / usual) ** power
        for kind, share in kinds.items()
        if kind != SOUND
    }


def told_in_all(
    base: KnowledgeBase, note: str, kinds: Mapping[str, float]
) -> tuple[Observation, ...]:
    """The remark that the words of a note make together, if they make one.

    What misleads is to be as likely as the setting says, of whatever kind; then the likeliest
    kind that the rules have a remark for is told: as a guess where the setting KIND asks for more
    of that kind alone, or where what it is said to rest on sounds sound by itself. The words of
    the observation are those of the stretch of the note that speaks most for it. `kinds` are the
    probabilities of `kinds_in_all`.
    """
    if not kinds:
        return ()
    from markrules.notes.whole_note import SOUND, shipped

    if 1.0 - kinds[SOUND] < base.setting(LEAST):
        return ()
    remarks = {each.tells: name for name, each in base.remarks.items() if each.tells}
    kind = max(remarks, key=lambda each: kinds.get(each, 0.0))
    said = shipped().said(note, kind)
    sure = kinds.get(kind, 0.0) >= base.setting(KIND) and shipped().chances(said)[SOUND] <= EVEN
    certainty = PLAIN if sure else _least_certain(base)
    return (Observation(REMARK, remarks[kind], certainty=certainty, words=said),)


def _least_certain(base: KnowledgeBase) -> str:
    return max(base.certainties.values(), key=lambda each: each.misread).name
