"""Which number beside a word counts parts: 2 of `2 of the 7 stones missing`."""

from __future__ import annotations

from markrules.notes.items import Item
from markrules.notes.laid import Laid
from markrules.notes.numbering import MONEY

LONGEST_COUNT = 3
"""Figures of the largest number that counts parts; a year has more."""


def counted(laid: Laid, item: Item) -> float | None:
    """The number that stands in a phrase or just before it: `2 stones missing`."""
    near = range(item.end - 1, max(-1, item.first - 3), -1)
    further = (item.first - 3,) if _only_little_before(laid, item) else ()
    for index in (*near, *further):
        if laid.tokens.numeric[index] and _counts_parts(laid, index, item):
            return float(laid.tokens.folded[_of_so_many(laid, index)])
    return None


def number_near(laid: Laid, item: Item, thing: Item | None) -> float | None:
    """The number right before a word of damage or its thing: `two of the stones lost`."""
    for each in (item, thing):
        if each is not None:
            number = counted(laid, each)
            if number is not None:
                return number
    after = item.end
    if thing is not None and any(
        after < each.first < thing.first and each.role("join") for each in laid.items
    ):
        return None  # missing one drop and its catch
    if after < len(laid.tokens) and _counts_parts(laid, after, item):
        return float(laid.tokens.folded[after])
    return None


def _of_so_many(laid: Laid, index: int) -> int:
    """The number that counts where one stands before another: 2 of `2 of the 7 stones`."""
    at = index - 1
    while at > 0 and laid.tokens.folded[at] in laid.vocabulary.little and at > index - 4:
        at -= 1
    if not (0 <= at < index - 1 and laid.tokens.folded[at].isdigit()):
        return index
    node = laid.vocabulary.words.first(laid.tokens.folded[at + 1])
    return at if node is not None and "link" in node.meaning.roles else index


def _only_little_before(laid: Laid, item: Item) -> bool:
    """Whether the two words before say nothing of their own: `2 of them missing`."""
    start = item.first - 2
    little = [each for each in laid.items if start <= each.first < item.first]
    covered = sum(each.end - each.first for each in little)
    return start > 0 and covered == 2 and all(each.role("filler", "link") for each in little)


def _counts_parts(laid: Laid, index: int, own: Item) -> bool:
    """Whether a token is a number that counts parts: no measure, year, fineness or price."""
    fold = laid.tokens.folded[index]
    if not fold.isdigit() or len(fold) > LONGEST_COUNT:
        return False
    start = laid.tokens.starts[index]
    if start and laid.tokens.text[start - 1] in MONEY:
        return False
    return not any(
        each.first <= index < each.end
        and each is not own
        and (each.measure is not None or each.years is not None or each.means("value"))
        for each in laid.items
    )
