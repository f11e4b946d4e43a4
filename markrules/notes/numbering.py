"""Numbers of four figures that are no years, by what stands right beside them: `ref. 1912`.

The words are those of wordings with the roles `number-of` (before the number), `number-after`
(behind it) and `street` (behind it, with a name or two between: `1912 Elm Street`).
"""

from __future__ import annotations

from collections.abc import Sequence

from markrules.late import late
from markrules.notes.tokens import Tokens
from markrules.notes.vocabulary import Vocabulary

MONEY = "$£€¥"
"""Signs of money, before or behind a sum."""
NUMBER_SIGNS = "#№"
"""Signs for `number`."""
MOST_NAMES = 3
"""Words in capitals between a house number and its street: `1912 North Palm Canyon Drive`."""
_JOINED = late(r"[\s.:#№_-]*")
_EXCHANGE = late(r"(?<![0-9])[0-9]{3}[-–]$")
"""The first figures of a telephone number: `555-1912`."""


def is_sum(tokens: Tokens, index: int) -> bool:
    """Whether a sign of money stands right before a number: `£4`."""
    return tokens.text[: tokens.starts[index]].rstrip()[-1:] in tuple(MONEY)


def is_numbered(vocabulary: Vocabulary, tokens: Tokens, first: int, end: int) -> bool:
    """Whether the number at the tokens `first` to `end` (not included) is that of something.

    Nothing but a stop, a colon, a sign for `number` or a dash may part it from its word.
    """
    before = tokens.text[: tokens.starts[first]].rstrip()
    if before[-1:] in (*MONEY, *NUMBER_SIGNS):
        return True
    behind = tokens.text[tokens.ends[end - 1] :].lstrip()
    if behind[:1] and behind[0] in MONEY:
        return True
    return bool(
        _EXCHANGE.search(before)
        or numbering_before(vocabulary, tokens, first)
        or _stands_behind(vocabulary.numbers_after, tokens, end)
        or _street_behind(vocabulary, tokens, end)
    )


def numbering_before(vocabulary: Vocabulary, tokens: Tokens, index: int) -> int:
    """How many words right before this token tell what a number is of: two in `shape no. 1912`."""
    for phrase in vocabulary.numbers_of:
        begin = index - len(phrase)
        if begin < 0 or tuple(tokens.folded[begin:index]) != phrase:
            continue
        gap = tokens.text[tokens.ends[index - 1] : tokens.starts[index]]
        small = len(phrase[-1]) > 1 or tokens.raw(index - 1).islower()  # p. 12, and no initial
        if small and _JOINED.fullmatch(gap):
            return len(phrase)
    return 0


def is_all_numbering(vocabulary: Vocabulary, tokens: Tokens, words: Sequence[int]) -> bool:
    """Whether some tokens are a number with what it is of, and nothing else: `IMG_1912.JPG`."""
    known = {word for phrase in vocabulary.numbers_of for word in phrase}
    known.update(word for phrase in vocabulary.numbers_after for word in phrase)
    numbers = [at for at in words if tokens.numeric[at]]
    others = [at for at in words if not tokens.numeric[at]]
    return bool(numbers and others) and all(tokens.folded[at] in known for at in others)


def _stands_behind(phrases: Sequence[tuple[str, ...]], tokens: Tokens, end: int) -> bool:
    if end >= len(tokens):
        return False
    gap = tokens.text[tokens.ends[end - 1] : tokens.starts[end]]
    return bool(_JOINED.fullmatch(gap)) and any(
        tuple(tokens.folded[end : end + len(phrase)]) == phrase for phrase in phrases
    )


def _street_behind(vocabulary: Vocabulary, tokens: Tokens, end: int) -> bool:
    for at in range(end + 1, min(end + MOST_NAMES + 1, len(tokens))):
        if not tokens.raw(at - 1)[:1].isupper():
            return False
        if (tokens.folded[at],) in vocabulary.streets and tokens.raw(at)[:1].isupper():
            return True
    return False
