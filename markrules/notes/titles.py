"""A note written as a title: each word begins with a capital, which then shows no name."""

from __future__ import annotations

from markrules.late import late
from markrules.notes.senses import Meaning
from markrules.notes.tokens import QUOTE_SIGNS, QUOTED, Tokens, tokens_of
from markrules.notes.vocabulary import Vocabulary

FEWEST_WORDS = 3
"""Longer words with a capital from which on a note can be a title."""
SHARE = 0.8
"""Of the longer words of a title so many begin with a capital: `with` and `from` may not."""
_LONGER = late(r"(?<![^\W_])[^\W\d_]{4,}(?![^\W_])")
_QUOTE = late(QUOTED, among=QUOTE_SIGNS)


def without_capitals(vocabulary: Vocabulary, note: str) -> str:
    """The note, where it is written as a title with the words that the rules know in small letters.

    `Signed Gold Tone Brooch` bears no text that begins with Gold; `Signed Novak Brooch` still
    bears one. What is quoted, and words all in capitals, stay. The length stays the same.
    """
    bare = _QUOTE.sub(lambda quoted: " " * len(quoted[0]), note)
    words = [each for each in _LONGER.findall(bare) if not each.isupper()]
    capitals = sum(each[0].isupper() for each in words)
    if capitals < FEWEST_WORDS or capitals < SHARE * len(words):
        return note
    tokens = tokens_of(bare, vocabulary.folding)
    letters = list(note)
    at, of_person = 0, False
    while at < len(tokens):
        found = vocabulary.words.longest(tokens.folded, tokens.numeric, at)
        text = vocabulary.texts.longest(tokens.folded, tokens.numeric, at)
        end = max(at + 1, found[0] if found else 0, text[0] if text else 0)
        following = None
        if end < len(tokens):
            following = vocabulary.words.longest(tokens.folded, tokens.numeric, end)
        of_place = following is not None and _has_role(following[1], "place-noun")
        if not of_person and not of_place and _is_plain(vocabulary, tokens, at, found, text):
            for known in range(at, end):
                first, last = tokens.starts[known], tokens.ends[known]
                word = note[first:last]
                small = word.lower()
                if word[0].isupper() and word[1:] == small[1:] and len(word) == len(small):
                    letters[first:last] = small
        of_person = found is not None and _has_role(found[1], "person")
        at = end
    return "".join(letters)


def _is_plain(
    vocabulary: Vocabulary,
    tokens: Tokens,
    at: int,
    found: tuple[int, Meaning] | None,
    text: tuple[int, Meaning] | None,
) -> bool:
    """Whether a word or phrase of a title is one of the rules, or a number, and no text."""
    if found is None:
        return tokens.numeric[at] or tokens.folded[at] in vocabulary.little
    if _has_role(found[1], "place-noun"):  # Opal Street
        return False
    if text is None or (text[1].kinds <= {"number"} and found[0] >= text[0]):
        return True
    return (
        text[0] > at + 1
        and text[1].kinds == {"maker"}
        and _is_told(vocabulary, tokens, at, text[0])
    )


def _is_told(vocabulary: Vocabulary, tokens: Tokens, at: int, end: int) -> bool:
    """Whether each word of a name tells of pieces too: a Silver Arrow Brooch, in a title."""
    nodes = [vocabulary.words.first(tokens.folded[index]) for index in range(at, end)]
    return all(node is not None and "value" in node.meaning.kinds for node in nodes)


def _has_role(meaning: Meaning, role: str) -> bool:
    return any(sense.kind == "role" and sense.name == role for sense in meaning.senses)
