"""Words of damage that tell how a piece was made: `uneven by design`, `a broken heart design`."""

from __future__ import annotations

from collections.abc import Sequence

from markrules.language.roles import DAMAGE_ROLES
from markrules.notes.items import Item

BY_DESIGN = "by-design"
"""The role of words by which all damage in a stretch is how the piece was made: `on purpose`."""
DESIGN_NOUN = "design-noun"
"""The role of nouns for what is pictured: `pattern`, `motif`."""
MOST_BETWEEN = 2
"""Words of what is pictured between the word of damage and such a noun at most."""


def designed_in(items: Sequence[Item]) -> frozenset[int]:
    """The first tokens of items that speak of damage, where none is meant.

    `items` are all of a stretch, words that nothing fits among them, in order. What is pictured
    stands between: `a cracked egg design`, but not `a cracked design`; and nothing that the damage
    could be said of stands right before it: `stone chipped flower design`.
    """
    if any(item.role(BY_DESIGN) for item in items):
        return frozenset(item.first for item in items if _tells_damage(item))
    return frozenset(
        item.first
        for at, item in enumerate(items)
        if _tells_damage(item)
        and not (at and _is_spoken_of(items[at - 1]))
        and _leads_to_design(items, at)
    )


def _tells_damage(item: Item) -> bool:
    return item.meaning.tells_fault or item.role(*DAMAGE_ROLES)


def _is_spoken_of(item: Item) -> bool:
    """Whether damage may be said of an item: a part, or a word for what is seen."""
    return item.role("thing") or item.means("value") or item.means("feature")


def _leads_to_design(items: Sequence[Item], at: int) -> bool:
    """Whether a noun for what is pictured follows, with no little word between."""
    own = items[at].end - items[at].first - 1  # `bent leaf` holds what is pictured itself
    if items[at].role(*DAMAGE_ROLES):
        own = 0
    last = items[at].end
    for item in items[at + 1 :]:
        if item.first == last and item.role(DESIGN_NOUN):
            return own > 0
        if item.first != last or item.role("link", "join", "break", "filler", "negation"):
            return False
        own += item.end - item.first
        if own > MOST_BETWEEN or _tells_damage(item):
            return False
        last = item.end
    return False
