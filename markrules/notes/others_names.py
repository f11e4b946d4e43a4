"""Names in a note that are not of who made the piece: whose it was, or what it is likened to."""

from __future__ import annotations

from markrules.notes.matching import Matched
from markrules.notes.pieces_named import piece_of
from markrules.notes.senses import Meaning
from markrules.notes.tokens import Tokens
from markrules.notes.vocabulary import Vocabulary

_LONGEST_MANNER = 6
"""No words that liken begin further before a name, and what little words stand between."""


def likening(vocabulary: Vocabulary, tokens: Tokens, first: int, end: int) -> range:
    """The words beside a name that tell of its manner, or deny it: `in the style of Novak`, `a copy
    of a Novak brooch`, `Novak style`, `not Novak`; empty where none do.
    """
    manners, words = vocabulary.manners, tokens.folded

    def found(at: int) -> tuple[int, Meaning] | None:
        return manners.longest(words, tokens.numeric, at)

    behind = found(end) if end < len(tokens) else None
    if behind is not None and "manner-after" in behind[1].roles:
        return range(end, behind[0])
    at = first
    while at > 0 and words[at - 1] in vocabulary.little and found(at - 1) is None:
        at -= 1
    for begin in range(max(0, at - _LONGEST_MANNER), at):
        before = found(begin)
        if before is not None and at <= before[0] <= first:
            # `sounds like Novak` tells how it is spelt, and likens it to none.
            return range(begin, before[0]) if "manner" in before[1].roles else range(0)
    return range(0)


_MOST_BETWEEN = 4
"""Words or phrases that may describe a piece between a name and its type: `Novak blue glass pin`"""


def leads_to_a_piece(vocabulary: Vocabulary, tokens: Tokens, matched: Matched, at: int) -> bool:
    """Whether a piece stands at a token, or behind a few words there that describe it."""
    behind = {item.first: item for item in matched.items}
    for _ in range(_MOST_BETWEEN):
        item = behind.get(at)
        if item is None or item.role("link", "join", "break", "negation", "damage"):
            return False
        if piece_of(vocabulary, tokens, item):
            return True
        if not (item.means("value") or item.role("describing", "filler")):
            return False
        at = item.end
    return False


_POSSESSIVE = ("'s", "’s", "s'", "s’")


def is_owners(
    vocabulary: Vocabulary, tokens: Tokens, matched: Matched, first: int, end: int
) -> bool:
    """Whether a name is of somebody whose the piece was, or who sold it or thinks something of it:
    `Mrs Novak`, `estate of Joan Novak`, `bought at Novak's`, `Novak thinks`, `the Novak family`;
    not where the piece, or a word for marks, follows it, save behind `grandma Novak's`.
    """
    behind = next((item for item in matched.items if item.first == end), None)
    if behind is not None and behind.role("owner-after"):
        return True
    ending = {item.end: item for item in matched.items}
    while first - 1 in matched.unknown and tokens.raw(first - 1)[0].isupper():
        first -= 1
    before = ending.get(first)
    if before is None or tokens.text[tokens.ends[first - 1] : tokens.starts[first]].strip(" ."):
        return False
    if tokens.raw(before.end - 1).endswith(_POSSESSIVE):
        return False  # grandma's Novak
    if before.role("owner") and tokens.raw(end - 1).endswith(_POSSESSIVE):
        return True  # grandma Novak's brooch
    if not before.role("owner"):
        led = ending.get(before.first)
        if before.role("story-end") or not before.role("link"):
            return False  # `with` tells of the piece again
        if led is None or not led.role("story"):
            return False
    if behind is not None and behind.role("mark", "mark-noun", "label"):
        return False
    return not leads_to_a_piece(vocabulary, tokens, matched, end)
