"""Which words of a segment are denied: `no catch`, `without safety chain`, `clasp missing`."""

from __future__ import annotations

from collections.abc import Set as AbstractSet

from markrules.notes.matching import Item
from markrules.notes.tokens import Tokens


def negated_tokens(
    items: list[Item], tokens: Tokens, telling: AbstractSet[int] = frozenset()
) -> list[bool]:
    """For each token of a segment, whether what it names was denied.

    A denial reaches from its word over what it names, and over what `and` or `or` joins to
    that, but not past another little word (`no loss of enamel` leaves the enamel) nor past a
    word of the role `break` (but). A word of the role `after-negation` (missing) denies what
    stands last before it, or, where nothing does, what follows; one that tells of damage
    (`telling` holds their first tokens) denies nothing, and a denial of damage leaves its thing:
    `no loss of enamel`. A denial that ends the segment right behind damage denies it: `chips:
    none`, `missing nothing`.
    """
    negated = [False] * len(tokens)
    part: list[Item] = []
    begin, denied_damage = -1, False
    for at, item in enumerate(items):
        if item.role("break") or (begin >= 0 and item.role("link") and item.first > begin):
            _deny(negated, begin, item.first)
            begin = -1
            part = [] if item.role("break") else part
        elif item.role("negation") and not item.means("value"):
            begin = item.end if begin < 0 else begin
        elif item.first in telling:
            if begin < 0 and _ends_in_denial(items[at:], tokens):
                _deny(negated, item.first, item.end)
            elif begin >= 0 or denied_damage:
                _deny(negated, item.first if begin < 0 else begin, item.end)
                begin, denied_damage = -1, True
        elif item.role("after-negation") and not item.means("value") and begin < 0:
            if not part:
                begin = item.end
            elif not _some_of_many(tokens, part[-1]):
                _deny(negated, part[-1].first, part[-1].end)
        elif begin == item.first and item.role("filler"):
            begin = item.end
        elif not item.role("join", "filler", "count"):
            denied_damage = False
        if _substantive(item):
            part.append(item)
    _deny(negated, begin, len(tokens))
    return negated


def _ends_in_denial(rest: list[Item], tokens: Tokens) -> bool:
    """Whether an item is followed by a denial and nothing else."""
    if len(rest) != 2 or not rest[1].role("negation") or rest[1].means("value"):
        return False
    return rest[0].end == rest[1].first and rest[1].end == len(tokens)


def _some_of_many(tokens: Tokens, item: Item) -> bool:
    """`Several seed pearls missing`, `stones missing`: the rest are there."""
    if item.means("feature"):
        return False
    before = item.first > 0 and tokens.numeric[item.first - 1]
    last = tokens.raw(item.end - 1).casefold()
    plural = last.endswith("s") and tokens.folded[item.end - 1] + "s" == last
    return before or plural


def _deny(negated: list[bool], begin: int, end: int) -> None:
    if begin >= 0:
        negated[begin:end] = [True] * (end - begin)


def _substantive(item: Item) -> bool:
    return not item.meaning.kinds.isdisjoint(("value", "feature", "piece"))
