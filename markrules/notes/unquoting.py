"""Quotes around words of the rules taken off: a 'safety' catch, a "C" clasp."""

from __future__ import annotations

import re

from markrules.late import late
from markrules.notes.tokens import QUOTED, tokens_of
from markrules.notes.vocabulary import Vocabulary

_QUOTED = re.compile(QUOTED)
_LAST_WORD = late(r"([^\W\d_]+)[\s:]*\Z")
_AHEAD = 40
"""Characters after a quoted text in which the rest of its phrase is looked for."""


def unquoted(vocabulary: Vocabulary, text: str) -> str:
    """The text with quotes taken off words of the rules: a 'safety' catch, a "C" clasp."""
    if not _QUOTED.search(text):
        return text

    def bare(match: re.Match[str]) -> str:
        inner = match[0][1:-1]
        known = tokens_of(inner, vocabulary.folding)
        if not known:
            return match[0]
        ahead = tokens_of(f"{inner} {text[match.end() : match.end() + _AHEAD]}", vocabulary.folding)
        found = vocabulary.words.longest(ahead.folded, ahead.numeric, 0)
        if found is None or "value" not in found[1].kinds:
            return match[0]
        led = _LAST_WORD.search(text, 0, match.start())
        if led is not None and led[1].casefold() in vocabulary.lead_words:
            return match[0] if found[0] == len(known) else f" {inner} "  # marked 'leaf'
        whole = found[0] > len(known) or (found[0] == len(known) and inner.islower())
        return f" {inner} " if whole else match[0]

    return _QUOTED.sub(bare, text)
