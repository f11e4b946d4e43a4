"""What a segment tells of where a piece came from, which pictures nothing: `from a school fair`."""

from __future__ import annotations

from collections.abc import Sequence

from markrules.notes.items import Item
from markrules.notes.tokens import Tokens
from markrules.notes.vocabulary import Vocabulary

STORY = "story"
"""The role of words that begin it: `bought`, `inherited`."""
STORY_END = "story-end"
"""The role of words behind which the piece is told of again: `with`, `shaped like`."""
STORY_NOUN = "story-noun"
"""The role of words that make a place of what stands before them: `church sale`."""
STORY_ROLES = (STORY, STORY_NOUN)
"""Without words of these roles a segment tells nothing of where the piece came from."""
FARTHEST_NOUN = 2
"""Tokens at most between a word and the noun that makes a place of it: `church jumble sale`."""


def told_of_origin(vocabulary: Vocabulary, tokens: Tokens, items: Sequence[Item]) -> frozenset[int]:
    """The first tokens of the items that tell where the piece came from.

    A story begins with the first little word behind a word such as `bought` (`bought this flower`
    is of the piece, `bought in a flower shop` is not), and ends with the segment, a piece that is
    named, a word such as `but`, or one such as `with` that is not its first little word. The words
    that begin a story do so also inside a phrase, which may end in that little word: `found in`.
    """
    words = vocabulary.story
    found: set[int] = set()
    begun = linked = False
    for at, item in enumerate(items):
        if item.role(STORY) or (
            item.role("describing", "filler", "giver", "person")
            and not words.isdisjoint(tokens.folded[item.first : item.end])
        ):
            # Only behind its little word does a place begin: `bought this flower` is of the piece.
            begun, linked = True, _ends_in_link(vocabulary, tokens, item)
        elif begun and item.role("link") and not linked:
            linked = True
        elif item.role("break", STORY_END) or _names_piece(items, at):
            begun = linked = False
        elif linked:
            found.add(item.first)
        if _makes_place(items, at):
            found.add(item.first)
    return frozenset(found)


def _ends_in_link(vocabulary: Vocabulary, tokens: Tokens, item: Item) -> bool:
    """Whether words end in a little one behind which a place is named: `bought in`, not
    `came with`.
    """
    node = vocabulary.words.first(tokens.folded[item.end - 1])
    roles = node.meaning.roles if item.end > item.first + 1 and node is not None else frozenset()
    return "link" in roles and STORY_END not in roles


def _names_piece(items: Sequence[Item], at: int) -> bool:
    """Whether the words are a piece, or stand right before one: `flower brooch`."""
    for item in items[at : at + 2]:
        if item.means("piece"):
            return True
        if item.role("link", "join"):
            return False
    return False


def _makes_place(items: Sequence[Item], at: int) -> bool:
    """Whether what follows is the noun of a place: `school` of a `school summer fair`."""
    end = items[at].end
    for item in items[at + 1 :]:
        if item.first > end + FARTHEST_NOUN or item.role("link", "join", "break"):
            return False
        if item.role(STORY_NOUN):
            return True
    return False
