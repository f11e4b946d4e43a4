"""Which words of a segment are denied: `no catch`, `without safety chain`, `clasp missing`."""

from __future__ import annotations

from markrules.notes.matching import Item


def negated_tokens(items: list[Item], count: int) -> list[bool]:
    """For each token of a segment, whether what it names was denied.

    A denial reaches from its word to the end of the segment or to a word of the role `break`
    (but). A word of the role `after-negation` (missing) denies what stands last before it,
    or, where nothing does, what follows.
    """
    negated = [False] * count
    part: list[Item] = []
    denying = False
    for item in items:
        if item.role("break"):
            denying, part = False, []
        elif item.role("negation") and not item.means("value"):
            denying = True
        elif item.role("after-negation") and not item.means("value") and not denying:
            if part:
                _deny(part[-1], negated)
            else:
                denying = True
        elif denying:
            _deny(item, negated)
        if _substantive(item):
            part.append(item)
    return negated if not denying else _unknown_too(items, negated)


def _deny(item: Item, negated: list[bool]) -> None:
    for index in range(item.first, item.end):
        negated[index] = True


def _unknown_too(items: list[Item], negated: list[bool]) -> list[bool]:
    """A denial that is still open at the end also reaches the words that nothing fits."""
    begin = max(item.end for item in items if item.role("negation", "after-negation"))
    return [denied or index >= begin for index, denied in enumerate(negated)]


def _substantive(item: Item) -> bool:
    return any(sense.kind in ("value", "feature", "piece") for sense in item.senses)
