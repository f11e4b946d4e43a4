"""A segment that begins with a mark, although no word says so: `T with a crown above it`."""

from __future__ import annotations

from markrules.late import FIGURES, late
from markrules.notes.marktext import PLACING
from markrules.notes.tokens import tokens_of
from markrules.notes.vocabulary import MARK_FORM, Vocabulary

_LETTER_WITH = late(
    r"(?:(?:(?:an?|the|capital|big|large|small) ){1,3})?"
    r"(?P<letter>\b[A-Z](?:[ .&]{0,3}[A-Z]){0,3}\.?) "
    r"(?=(?:with|w/|under|underneath|below|beneath|beside|inside|in|on|has|has got|having|wearing|"
    r"bearing|topped (?:by|with)|surmounted by|capped (?:by|with)) (?:an? |the )?(?P<what>\w+))"
)
"""Letters, and what stands with them: `the T has a crown`."""
_NAME_WITH = late(
    r"(?P<name>[A-Z][\w'’-]{2,}(?: [A-Z][\w'’-]{2,}){0,2}) (?P<where>with|\w+) (?:an? |the )?"
    r"(?P<what>\w+)(?: (?P<behind>\w+))?"
)
_FORM_WITHIN = 40
"""Characters behind letters in which words for the form of their mark end."""
_NUMBERED = late(r"(?:N[oOrR]\.?|n[or]\.|N°|№|#) ?[0-9][0-9,.]{2,}", among=FIGURES)
"""A number with a sign that says so: `No. 124 stamped`; `no 150 stones` is a denial."""


def led(vocabulary: Vocabulary, text: str) -> str:
    """The text, led by the word that tells of a mark where it begins with one that nothing names.

    `T with a crown above it` is a mark, although no word says so; so is `No. 1852188 on the clip`.
    """
    if _NUMBERED.match(text.lstrip()):
        return f"{vocabulary.mark_word} {text.lstrip()}"
    found = _LETTER_WITH.match(text.lstrip())
    if found is None:
        named = _is_name_with_device(vocabulary, text.lstrip())
        return f"{vocabulary.mark_word} {text.lstrip()}" if named else text
    framed = found["what"].casefold() in vocabulary.device_words
    if not framed and not _is_form(vocabulary, text.lstrip()[found.end() :]):
        return text
    return f"{vocabulary.mark_word} {text.lstrip()}"


def _is_name_with_device(vocabulary: Vocabulary, text: str) -> bool:
    """Whether a text begins with a name that the rules do not know for a word of theirs, and a
    device stands over or under it: `Novak with a crown above it`, `Novak below a crown`.
    """
    found = _NAME_WITH.match(text)
    if found is None or found["what"].casefold() not in vocabulary.device_words:
        return False
    from markrules.notes.spelling import corrected

    placed = found["where"].casefold() in PLACING or (found["behind"] or "").casefold() in PLACING
    tokens = tokens_of(found["name"], vocabulary.folding)
    listed = vocabulary.texts.longest(tokens.folded, tokens.numeric, 0)
    if listed is not None and listed[0] == len(tokens) and "maker" in listed[1].kinds:
        return placed
    return placed and all(
        vocabulary.words.first(fold) is None and not corrected(vocabulary, fold)
        for fold in tokens.folded
    )


def _is_form(vocabulary: Vocabulary, text: str) -> bool:
    """Whether a text begins with words for the form of a mark: `in dotted oval`."""
    words = tokens_of(text[:_FORM_WITHIN], vocabulary.folding)
    found = vocabulary.words.longest(words.folded, words.numeric, 0) if words else None
    return found is not None and any(
        each.kind == "value" and each.name == MARK_FORM for each in found[1].senses
    )
