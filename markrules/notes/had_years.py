"""Years in words, behind words that say that somebody had the piece then: `new in the sixties`.

By itself a decade in words tells how a piece looks or what somebody takes it for, and a number of
two figures tells nothing; behind `bought`, `worn` or `a gift` both are years.
"""

from __future__ import annotations

from markrules.language.entries.features import WORN
from markrules.notes.dating import features_named
from markrules.notes.items import Item, WrittenYears
from markrules.notes.matching import Matched
from markrules.notes.tokens import Tokens
from markrules.notes.vocabulary import Vocabulary

DECADES = {
    word: 1920 + 10 * place
    for place, word in enumerate(
        ("twenties", "thirties", "forties", "fifties", "sixties", "seventies", "eighties")
    )
} | {"nineties": 1990}
"""The first years of the decades that English has words for; older ones are called by century."""
_CENTURY = 1900
"""The century of two figures by themselves: nobody who tells it bought it in an earlier one."""

_LEAST_FIGURES = 20
"""Two figures from which on they are a year: a lower number counts something, or is an age."""
_BEHIND_A_YEAR = frozenset(("", "for", "from", "at", "and", "by", "when", "to", "with", "on"))
"""What may stand behind such a number: not the word for what it counts."""


def with_years_of_having(vocabulary: Vocabulary, tokens: Tokens, found: Matched) -> Matched:
    """What was matched, with the years that such words are behind words for having the piece."""
    told = [at for at in range(len(tokens)) if _years(tokens, at) is not None]
    if not told or not _is_had(vocabulary, tokens, found.items, told[-1]):
        return found
    items, taken = list(found.items), set[int]()
    for at in told:
        years = _years(tokens, at)
        if years is None or not _is_had(vocabulary, tokens, items, at):
            continue
        items = [each for each in items if not each.first <= at < each.end]
        items = sorted([*items, Item(at, at + 1, years=years)], key=lambda each: each.first)
        taken.add(at)
    unknown = [at for at in found.unknown if at not in taken]
    return Matched(items, unknown, found.slips, found.names)


def _years(tokens: Tokens, at: int) -> WrittenYears | None:
    """The years that a word is where it stands behind `in`, or `in the`."""
    word, before = tokens.raw(at).lower(), tokens.folded[at - 1] if at else ""
    if word in DECADES and before in ("the", "in", "early", "late", "mid"):
        return WrittenYears(at + 1, DECADES[word], DECADES[word] + 9, False)
    if len(word) == 2 and word.isascii() and word.isdigit() and before == "in":
        behind = tokens.folded[at + 1] if at + 1 < len(tokens) else ""
        if int(word) >= _LEAST_FIGURES and behind in _BEHIND_A_YEAR:
            return WrittenYears(at + 1, _CENTURY + int(word), _CENTURY + int(word), True)
    return None


def _is_had(vocabulary: Vocabulary, tokens: Tokens, items: list[Item], at: int) -> bool:
    """Whether of words for years the nearest before this one are of having the piece."""
    features = vocabulary.base.features
    for item in reversed(items):
        if item.first >= at:
            continue
        if item.years is not None:
            return False
        named = features_named(vocabulary, tokens, item, "year")
        if named:
            return features[named[0]].dates == WORN
    return False
