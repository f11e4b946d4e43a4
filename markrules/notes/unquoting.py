"""Quotes around words of the rules taken off: a 'safety' catch, a "C" clasp, a "Pierrot"."""

from __future__ import annotations

import re

from markrules.late import late
from markrules.notes.tokens import QUOTE_SIGNS, QUOTED, Tokens, tokens_of
from markrules.notes.vocabulary import PLACE_FEATURES, Vocabulary

_QUOTED = late(QUOTED, among=QUOTE_SIGNS)
_LAST_WORD = late(r"([^\W\d_]+)[\s:]*\Z")
_ARTICLES = ("a", "an")
"""What stands before a thing that is only called so, and before no text: `features a "Pierrot"`."""
_SHORTEST = 3
"""Letters of a word in quotes that is told from letters of a mark."""
_AHEAD = 40
"""Characters after a quoted text in which the rest of its phrase is looked for."""


def _is_only_so_called(vocabulary: Vocabulary, inner: str, before: str) -> bool:
    """Whether a quoted text is a thing that is called so: a "Pierrot", a stone is "dead".

    A word of ours in small letters, behind another of the note, is no text on the piece unless the
    rules know one of it.
    """
    if before in _ARTICLES:
        return not inner.isupper()
    if not (before and inner.isalpha() and inner.islower()) or len(inner) < _SHORTEST:
        return False
    folds = tokens_of(inner, vocabulary.folding).folded
    known = vocabulary.words.longest(folds, [False] * len(folds), 0)
    return known is not None and vocabulary.texts.longest(folds, [False] * len(folds), 0) is None


def _tells_of_marks(vocabulary: Vocabulary, text: str) -> bool:
    """Whether any word of a text tells of marks, or where they stand."""
    tokens = tokens_of(text, vocabulary.folding)
    if not vocabulary.lead_words.isdisjoint(tokens.folded):
        return True
    found = [
        vocabulary.words.longest(tokens.folded, tokens.numeric, at) for at in range(len(tokens))
    ]
    return any(
        sense.kind == "value" and sense.name in PLACE_FEATURES
        for each in found
        if each is not None
        for sense in each[1].senses
    )


def _is_listed(vocabulary: Vocabulary, tokens: Tokens) -> bool:
    """Whether all words together are a text that the rules know: "H.M. Novak"."""
    found = vocabulary.texts.longest(tokens.folded, tokens.numeric, 0)
    return found is not None and found[0] == len(tokens)


def unquoted(vocabulary: Vocabulary, text: str) -> str:
    """The text with quotes taken off words of the rules: a 'safety' catch, a "C" clasp."""
    if not _QUOTED.search(text):
        return text

    def bare(match: re.Match[str]) -> str:
        inner = match[0][1:-1]
        led = _LAST_WORD.search(text, 0, match.start())
        word = led[1].casefold() if led is not None else ""
        if _is_only_so_called(vocabulary, inner, word) and not _tells_of_marks(vocabulary, text):
            return f" {inner} "
        known = tokens_of(inner, vocabulary.folding)
        if not known:
            return match[0]
        ahead = tokens_of(f"{inner} {text[match.end() : match.end() + _AHEAD]}", vocabulary.folding)
        found = vocabulary.words.longest(ahead.folded, ahead.numeric, 0)
        if found is None or "value" not in found[1].kinds:
            return match[0]
        if word in vocabulary.lead_words:
            # marked 'leaf'; a figure is read out: stamped "14k top"
            read_out = found[0] == len(known) or any(map(str.isdigit, inner))
            read_out = read_out or _is_listed(vocabulary, known)
            return match[0] if read_out else f" {inner} "
        whole = found[0] > len(known) or (found[0] == len(known) and inner.islower())
        return f" {inner} " if whole else match[0]

    return _QUOTED.sub(bare, text)
