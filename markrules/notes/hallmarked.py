"""What a hallmark is said to show, named as the rules name it: `hallmarked with a squirrel`."""

from __future__ import annotations

import re

from markrules.late import late
from markrules.notes.tokens import tokens_of
from markrules.notes.vocabulary import Vocabulary

HALLMARK, HALLMARK_MARK = "hallmark", "hallmark-mark"
"""The word behind the name of what hallmarks show, and the feature of which that is a value."""
_PUT_IN = f" \u2060{HALLMARK}"
"""A word joiner of Unicode, which is no letter and parts nothing."""
_MOST_WORDS = 4
_AHEAD = late(rf"\w[\w'’.-]*(?: \w[\w'’.-]*){{0,{_MOST_WORDS - 1}}}")


def with_hallmarks_named(vocabulary: Vocabulary, note: str) -> str:
    """The note with the word `hallmark` put behind what one is said to show, where the rules know
    it by that name and not without: `squirrel hallmark` for the squirrel of `hallmark: squirrel`.

    A sign that nobody types stands before the word, by which `as_written` knows it again.
    """
    leads = vocabulary.hallmark_leads
    if leads is None:
        return note

    def named(found: re.Match[str]) -> str:
        ahead = _AHEAD.match(note, found.end())
        if ahead is None or _length(vocabulary, ahead[0]):
            return found[0]
        words = ahead[0].split(" ")
        for count in range(len(words), 0, -1):
            shown = " ".join(words[:count])
            whole = f"{shown} {HALLMARK}"
            if _length(vocabulary, whole) == len(tokens_of(whole, vocabulary.folding)):
                after[found.end() + len(shown)] = _PUT_IN
                break
        return found[0]

    after: dict[int, str] = {}
    leads.sub(named, note)
    for place in sorted(after, reverse=True):
        note = f"{note[:place]}{after[place]}{note[place:]}"
    return note


def as_written(words: str) -> str:
    """Words of an account without what was put in."""
    return words.replace(_PUT_IN, "")


def _length(vocabulary: Vocabulary, text: str) -> int:
    """How many of the first words of a text name what hallmarks show; 0 where they do not."""
    tokens = tokens_of(text, vocabulary.folding)
    found = vocabulary.words.longest(tokens.folded, tokens.numeric, 0) if tokens else None
    told = found is not None and any(
        each.kind == "value" and each.name == HALLMARK_MARK for each in found[1].senses
    )
    return found[0] if found is not None and told else 0
