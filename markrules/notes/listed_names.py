"""Listed makers' names among the words of a note, before these are taken for what they mean."""

from __future__ import annotations

from markrules.notes.senses import Meaning
from markrules.notes.tokens import Tokens
from markrules.notes.vocabulary import Vocabulary


def listed_names(vocabulary: Vocabulary, tokens: Tokens) -> dict[int, int]:
    """Where listed makers' names of several words in capitals begin and end: a Running Bear pin.

    A phrase of the rules that holds the whole name goes before it.
    """
    names: dict[int, int] = {}
    index = 0
    while index + 1 < len(tokens):
        end = _listed_name(vocabulary, tokens, index) if tokens.raw(index)[0].isupper() else 0
        if end:
            names[index] = end
        index = max(index + 1, end)
    return names


def _listed_name(vocabulary: Vocabulary, tokens: Tokens, index: int) -> int:
    """The end of a name of several words in capitals that begins here; 0 where none does."""
    found = vocabulary.texts.longest(tokens.folded, tokens.numeric, index)
    if found is None or found[0] < index + 2 or "maker" not in found[1].kinds:
        return 0
    end = found[0]
    words = [tokens.raw(at) for at in range(index, end)]
    small = vocabulary.little
    if any(
        word[0].islower() and tokens.folded[at] not in small for at, word in enumerate(words, index)
    ):
        return 0
    if sum(len(word) > 1 and word[0].isupper() for word in words) < 2:
        return 0
    known = vocabulary.words.longest(tokens.folded, tokens.numeric, index)
    return 0 if known is not None and known[0] >= end else end


def names_a_maker(
    vocabulary: Vocabulary, tokens: Tokens, index: int, meant: str, shouting: bool
) -> bool:
    """Whether a word is a listed maker's name as it stands, and no slip for what was meant.

    A text that the maker only struck is none, as it may be a place: Brighton. In small letters it
    is one only where the word it could stand for says nothing.
    """
    found = vocabulary.texts.longest(tokens.folded, tokens.numeric, index)
    if found is None or not _in_a_name(vocabulary, found[1], tokens.folded[index]):
        return False
    if not shouting and tokens.raw(index)[:1].isupper():
        return True
    node = vocabulary.words.first(meant)
    return node is None or node.meaning.kinds <= {"role"}


def _in_a_name(vocabulary: Vocabulary, meaning: Meaning, fold: str) -> bool:
    """Whether one of the makers of a text is called by it."""
    makers = (vocabulary.base.makers[each.name] for each in meaning.senses if each.kind == "maker")
    names = (text for maker in makers for text in (maker.title.partition(" (")[0], *maker.also))
    return any(vocabulary.folding[name] == fold for name in names)
