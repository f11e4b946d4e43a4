"""Piece types and makers that a segment names."""

from __future__ import annotations

from markrules.knowledge.observation import Observation
from markrules.notes.matching import Item, Matched, matched
from markrules.notes.negation import negated_tokens
from markrules.notes.tokens import Tokens, tokens_of
from markrules.notes.vocabulary import TOLD_MAKER, Vocabulary


def pieces_of(
    vocabulary: Vocabulary, tokens: Tokens, items: list[Item], negated: list[bool]
) -> tuple[tuple[str, bool], ...]:
    """Piece types in order, each with whether it follows the one before without a break."""
    pieces: list[tuple[str, bool]] = []
    last_end = -1
    for item in items:
        name = "" if negated[item.first] else _piece_of(vocabulary, tokens, item)
        if name:
            pieces.append((name, item.first == last_end))
            last_end = item.end
    return tuple(pieces)


def inner_piece(vocabulary: Vocabulary, segment: str) -> str:
    """The piece type that the last word of any phrase names (`steel pin`), for want of a better."""
    tokens = tokens_of(segment, vocabulary.folding)
    items = list(matched(vocabulary, tokens).items)
    negated = negated_tokens(items, tokens)
    names = (_last_word(vocabulary, tokens, item) for item in items if not negated[item.end - 1])
    return next((name for name in names if name), "")


def told_makers(
    vocabulary: Vocabulary, tokens: Tokens, matched: Matched, certainty: str
) -> list[Observation]:
    """Makers named without being read off the piece: kept as told, and then understood."""
    if TOLD_MAKER not in vocabulary.base.features:
        return []
    told: list[Observation] = []
    for index in tuple(matched.unknown):
        if index not in matched.unknown or not tokens.raw(index)[0].isupper():
            continue
        found = vocabulary.texts.longest(tokens.folded, tokens.numeric, index)
        makers = [each.name for each in found[1].senses if each.kind == "maker"] if found else []
        if found is None or not makers:
            continue
        end = found[0]
        matched.unknown[:] = [other for other in matched.unknown if not index <= other < end]
        matched.items.append(Item(index, end))
        title = vocabulary.base.makers[makers[0]].title
        words = tokens.slice(index, end)
        told.append(Observation(TOLD_MAKER, title, heard=True, certainty=certainty, words=words))
    return told


def _piece_of(vocabulary: Vocabulary, tokens: Tokens, item: Item) -> str:
    """The piece type that a phrase names, or that its last word names (`hinged bangle`).

    The last word counts only where what is said of it can be said of that piece type; a
    little word (`set`) counts only where nothing else names one.
    """
    if item.role("filler"):
        return ""
    for sense in item.senses:
        if sense.kind == "piece":
            return sense.name
    if not item.means("value") or item.end == item.first + 1:
        return ""
    name = _last_word(vocabulary, tokens, item)
    chain = set(vocabulary.base.broader(name)) if name else set()
    for sense in item.senses if name else ():
        feature = vocabulary.feature(sense.name) if sense.kind == "value" else None
        on = {each.name for each in feature.on} if feature is not None else {"-"}
        if not on or on & chain:
            return name
    return ""


def _last_word(vocabulary: Vocabulary, tokens: Tokens, item: Item) -> str:
    """The piece type that a phrase ends in: a hatpin for `long hat pin`."""
    folded, numeric = tokens.folded[: item.end], tokens.numeric[: item.end]
    for index in range(item.first, item.end):
        found = vocabulary.words.longest(folded, numeric, index)
        if found is not None and found[0] == item.end and "filler" not in found[1].roles:
            for sense in found[1].senses:
                if sense.kind == "piece":
                    return sense.name
    return ""
