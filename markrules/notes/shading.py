"""Colours of stones by the trade's names, where stones are spoken of: siam rhinestones.

A name alone may mean a gem, a flower or a place; before a word for stones, or for what is coloured
through, it is their colour: coral enamel. A gem's name before no more than `stones` stays the gem.
"""

from __future__ import annotations

from collections.abc import Sequence
from collections.abc import Set as AbstractSet

from markrules.language.builtin import COLOUR
from markrules.notes.items import Item
from markrules.notes.matching import Matched, item_at
from markrules.notes.senses import Meaning, Sense
from markrules.notes.tokens import Tokens
from markrules.notes.vocabulary import Vocabulary

STONE_KIND, STONE_COATING = "stone-kind", "stone-coating"
"""The features of the rules for what stones are made of, and what lies over them."""
SHOWS_COLOR = "shows-color"
"""The role of words for what is coloured through: enamel, plastic."""
STONE = "stone"
"""The wording of the role `thing` for stones of any kind."""


def with_shades(
    vocabulary: Vocabulary,
    tokens: Tokens,
    found: Matched,
    claimed: AbstractSet[int] = frozenset(),
) -> Matched:
    """The items, names of shades before a word for stones as their colour.

    `claimed` tokens are text on the piece.
    """
    if vocabulary.begins_shade.isdisjoint(tokens.folded):
        return found
    items, unknown = list(found.items), list(found.unknown)
    for index in range(len(tokens)):
        named = _shade_at(vocabulary, tokens, items, index)
        if named is None or not claimed.isdisjoint(range(index, named.end)):
            continue
        kept = [each for each in items if each.end <= index or each.first >= named.end]
        cut = [each for each in items if each not in kept]
        rest = _rest(
            vocabulary, tokens, named.end, max((each.end for each in cut), default=0), kept
        )
        after = max((each.end for each in rest), default=named.end)
        kept = [each for each in kept if each.end <= index or each.first >= after]
        items = sorted([*kept, named, *rest], key=lambda each: each.first)
        unknown = [each for each in unknown if not index <= each < after]
    return Matched(items, unknown, found.slips)


def _shade_at(vocabulary: Vocabulary, tokens: Tokens, items: list[Item], index: int) -> Item | None:
    if tokens.folded[index] not in vocabulary.begins_shade:
        return None
    found = vocabulary.shades.longest(tokens.folded, tokens.numeric, index)
    if found is None:
        return None
    end, meaning = found
    if any(each.first < index < each.end for each in items):
        return None  # in the midst of another phrase: bottle green
    own = [sense for item in _again(vocabulary, tokens, index, end) for sense in item.senses]
    if any(sense.name in (STONE_KIND, COLOUR) for sense in own):
        return None
    noun = _noun(vocabulary, tokens, end)
    if noun is None:
        return None
    of_kind = noun.role(SHOWS_COLOR) or any(
        sense.kind == "value" and sense.name == STONE_KIND for sense in noun.senses
    )
    gem = any(sense.name in vocabulary.false for sense in own if sense.kind == "value")
    if gem and not of_kind:
        return None
    return Item(index, end, Meaning((Sense("value", COLOUR, meaning.senses[0].value),)))


def _noun(vocabulary: Vocabulary, tokens: Tokens, index: int) -> Item | None:
    """The word for stones, or for what shows a colour, that comes next, a coat over them and a
    further shade passed over: `olivine and amethyst rhinestones`.
    """
    joined = False
    while index < len(tokens):
        item = item_at(vocabulary, tokens, index)
        alone = _again(vocabulary, tokens, index, index + 1)
        for each in (item, *alone):  # a stone missing is one phrase, and stone a word of it
            if each is None:
                continue
            if each.role(SHOWS_COLOR) or any(
                sense.name == STONE_KIND or (sense.kind == "role" and sense.value == STONE)
                for sense in each.senses
            ):
                return each
        if item is not None and item.role("join") and not joined and item.end < len(tokens):
            shade = vocabulary.shades.longest(tokens.folded, tokens.numeric, item.end)
            if shade is None:
                return None
            index, joined = shade[0], True
            continue
        if item is None or not any(sense.name == STONE_COATING for sense in item.senses):
            return None
        index = item.end
    return None


def _again(vocabulary: Vocabulary, tokens: Tokens, first: int, end: int) -> list[Item]:
    """What a stretch of tokens means by itself."""
    alone = Tokens(
        tokens.text,
        tokens.folded[:end],
        tokens.starts[:end],
        tokens.ends[:end],
        tokens.numeric[:end],
    )
    return _rest(vocabulary, alone, first, end, ())


def _rest(
    vocabulary: Vocabulary, tokens: Tokens, first: int, last: int, kept: Sequence[Item]
) -> list[Item]:
    """The items from `first` on, matched afresh up to `last`, or to where one that is kept
    begins.
    """
    begins = {each.first for each in kept}
    items: list[Item] = []
    index = first
    while index < last or (items and index < len(tokens) and index not in begins):
        if index >= last and not any(each.first < index < each.end for each in kept):
            break
        item = item_at(vocabulary, tokens, index)
        if item is not None:
            items.append(item)
        index = item.end if item is not None else index + 1
    return items
