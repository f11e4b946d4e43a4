"""Makers' names in the plural and the possessive: two Castlemarks, Castlemark's brooches."""

from __future__ import annotations

from collections.abc import Iterator

from markrules.late import late
from markrules.notes.folding import letters_alone, plain
from markrules.notes.items import Item
from markrules.notes.senses import Meaning
from markrules.notes.tokens import Tokens
from markrules.notes.vocabulary import Vocabulary, texts_of

_POSSESSIVE = late(r"['’]s$|(?<=s)['’]$", 2)
"""Its ending, of a name in small or capital letters."""

MOST_WORDS = 5
"""Words of a listed name that is looked for in the plural."""


def inflected_name(
    vocabulary: Vocabulary, tokens: Tokens, index: int, before: Item | None
) -> tuple[int, Meaning, str, bool] | None:
    """A listed maker's name in the plural or the possessive that begins at a token: where it ends,
    what it means, the name without the ending, and whether its one word is the owner's as well:
    `Novak's brooch`. None where none begins.

    A plural is one behind a word that counts, the item `before`, or tells whose: `two Novaks`. Else
    a name in `s` is another name than the one without it: Martins, Martin.
    """
    counted = index > 0 and (
        tokens.numeric[index - 1]
        or (before is not None and before.role("count"))
        or tokens.folded[index - 1] == "of"
        or bool(_POSSESSIVE.search(tokens.raw(index - 1)))
    )
    for end in range(min(index + MOST_WORDS, len(tokens)), index, -1):
        last = tokens.raw(end - 1)
        owned = bool(_POSSESSIVE.search(last)) or tokens.text[tokens.ends[end - 1] :][:2] in (
            "' ",
            "’ ",
        )
        if not owned and not (counted and last[-1] in "sS"):
            continue
        for stem in _stems(last, owned):
            words = [*tokens.folded[index : end - 1], vocabulary.folding[stem]]
            found = vocabulary.texts.longest(words, [False] * len(words), 0)
            name = tokens.slice(index, end)[: len(stem) - len(last) or None]
            if found is None or found[0] != len(words) or not _called(vocabulary, found[1], name):
                continue
            return end, found[1], name, owned and end == index + 1
    return None


def _stems(word: str, owned: bool) -> Iterator[str]:
    """What a word may be without the ending of the plural or possessive, the longest first."""
    if owned:
        yield _POSSESSIVE.sub("", word)
        return
    yield word[:-1]
    if plain(word).endswith("es"):
        yield word[:-2]


def _called(vocabulary: Vocabulary, meaning: Meaning, name: str) -> bool:
    """Whether one of the makers of a text is spelt as a name is."""
    letters = letters_alone(plain(name))
    makers = (vocabulary.base.makers[each.name] for each in meaning.senses if each.kind == "maker")
    return any(letters == letters_alone(plain(text)) for one in makers for text in texts_of(one))
