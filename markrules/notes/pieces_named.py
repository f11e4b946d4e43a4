"""Piece types that a segment names."""

from __future__ import annotations

from markrules.notes.items import Item
from markrules.notes.matching import matched
from markrules.notes.negation import negated_tokens
from markrules.notes.senses import Sense
from markrules.notes.tokens import Tokens, tokens_of
from markrules.notes.vocabulary import SEVERAL_PIECES, Vocabulary

PIECE = "piece"
"""The feature that is the type of a piece: what a value that is told within it may name."""


def pieces_of(
    vocabulary: Vocabulary, tokens: Tokens, items: list[Item], negated: list[bool]
) -> tuple[tuple[str, bool], ...]:
    """Piece types in order, each with whether it follows the one before without a break.

    What is told of a fault begins anew: `brooch made from a buckle` is no kind of buckle.
    """
    pieces: list[tuple[str, bool]] = []
    last_end = -1
    for item in items:
        name = "" if negated[item.first] else piece_of(vocabulary, tokens, item)
        if name and _is_part_of(vocabulary, item, [each for each, _ in pieces]):
            continue
        if name:
            told = any(sense.kind == "value" and sense.name == "fault" for sense in item.senses)
            pieces.append((name, item.first == last_end and not told))
            last_end = item.end
    return tuple(pieces)


def _is_part_of(vocabulary: Vocabulary, item: Item, named: list[str]) -> bool:
    """Whether what may be a piece is a part of one named before: `button earrings clip`."""
    for sense in item.senses:
        feature = vocabulary.feature(sense.name) if sense.kind == "value" else None
        on = {each.name for each in feature.on} if feature is not None else set()
        if any(on & set(vocabulary.base.broader(name)) for name in named):
            return True
    return False


def inner_piece(vocabulary: Vocabulary, segment: str) -> str:
    """The piece type that the last word of any phrase names (`steel pin`), for want of a better."""
    tokens = tokens_of(segment, vocabulary.folding)
    items = list(matched(vocabulary, tokens).items)
    negated = negated_tokens(items, tokens)
    for item in items:
        name = "" if negated[item.end - 1] else _last_word(vocabulary, tokens, item)
        if name and _said_of(vocabulary, item, name):
            return name
    return ""


def piece_of(vocabulary: Vocabulary, tokens: Tokens, item: Item) -> str:
    """The piece type that a phrase names, or that its last word names (`hinged bangle`).

    The last word counts only where what is said of it can be said of that piece type; a
    little word (`set`) counts only where nothing else names one. Of what is measured it is the
    first word (`necklace length 18 in`).
    """
    if item.role("filler"):
        return ""
    for sense in item.senses:
        if sense.kind == "piece":
            return sense.name
    if item.end == item.first + 1:
        return ""
    if _names_a_size(vocabulary, item):
        return _first_word(vocabulary, tokens, item)
    if not item.means("value"):
        return ""
    together = _several_within(vocabulary, tokens, item)
    if together:
        return together
    for name in (_last_word(vocabulary, tokens, item), _first_word(vocabulary, tokens, item)):
        if name and _told_of(vocabulary, item, name):
            return name
    return ""


def _several_within(vocabulary: Vocabulary, tokens: Tokens, item: Item) -> str:
    """The type that holds several pieces, where a phrase that begins with one piece and names
    another says what such things go by: `cufflinks with tie clip`. What one piece is, is told of
    its kind by its last word: a `locket bracelet` is none.
    """
    if not any(_may_hold_pieces(vocabulary, sense) for sense in item.senses):
        return ""
    if tokens.folded[item.first] not in vocabulary.making.pieces:
        return ""
    found: list[str] = []
    index = item.first
    while index < item.end:
        name, index = _shorter_piece(vocabulary, tokens, item, index)
        if name:
            found.append(name)
    several = [each for each in found if _holds_several(vocabulary, each)]
    if several:
        return several[0] if found[0] in several or len(found) > 1 else ""
    return SEVERAL_PIECES[0] if len(set(found)) > 1 else ""


def _shorter_piece(
    vocabulary: Vocabulary, tokens: Tokens, item: Item, index: int
) -> tuple[str, int]:
    """The longest name of a piece that begins at a token within a phrase, and where it ends; a
    token on where none does.
    """
    for end in range(item.end if index > item.first else item.end - 1, index, -1):
        found = vocabulary.words.longest(tokens.folded[:end], tokens.numeric[:end], index)
        for sense in found[1].senses if found is not None and found[0] == end else ():
            if sense.kind == "piece":
                return sense.name, end
    return "", index + 1


def _may_hold_pieces(vocabulary: Vocabulary, sense: Sense) -> bool:
    said_of = vocabulary.within.get(f"{sense.name}={sense.value}", ())
    return sense.kind == "value" and PIECE in said_of


def _holds_several(vocabulary: Vocabulary, name: str) -> bool:
    return not set(vocabulary.base.broader(name)).isdisjoint(SEVERAL_PIECES)


def _names_a_size(vocabulary: Vocabulary, item: Item) -> bool:
    """Whether a phrase names what is measured: `ring size 7` tells of a ring."""
    named = (vocabulary.feature(each.name) for each in item.senses if each.kind == "feature")
    return any(each is not None and each.kind in ("number", "text") for each in named)


def _told_of(vocabulary: Vocabulary, item: Item, name: str) -> bool:
    """Whether what a phrase says can be said of a piece type."""
    chain = set(vocabulary.base.broader(name))
    for sense in item.senses:
        feature = vocabulary.feature(sense.name) if sense.kind == "value" else None
        on = {each.name for each in feature.on} if feature is not None else {"-"}
        if not on or on & chain:
            return True
    return False


def _said_of(vocabulary: Vocabulary, item: Item, name: str) -> bool:
    """The same, where a phrase says nothing of any feature too: a bolt ring is no ring."""
    return not item.means("value") or _told_of(vocabulary, item, name)


def _first_word(vocabulary: Vocabulary, tokens: Tokens, item: Item) -> str:
    """The piece type that a phrase begins with and that a part follows: `earrings post`."""
    if tokens.folded[item.first] not in vocabulary.making.pieces:
        return ""
    node = vocabulary.words.first(tokens.folded[item.first])
    if node is None or not node.meaning.kinds <= {"piece", "role"}:
        return ""
    return next((sense.name for sense in node.meaning.senses if sense.kind == "piece"), "")


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
