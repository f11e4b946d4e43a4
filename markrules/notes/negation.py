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
    begin = -1
    for item in items:
        if item.role("break"):
            _deny(negated, begin, item.first)
            begin, part = -1, []
        elif item.role("negation") and not item.means("value"):
            begin = item.end if begin < 0 else begin
        elif item.role("after-negation") and not item.means("value") and begin < 0:
            if part:
                _deny(negated, part[-1].first, part[-1].end)
            else:
                begin = item.end
        if _substantive(item):
            part.append(item)
    _deny(negated, begin, count)
    return negated


def _deny(negated: list[bool], begin: int, end: int) -> None:
    if begin >= 0:
        negated[begin:end] = [True] * (end - begin)


def _substantive(item: Item) -> bool:
    return any(sense.kind in ("value", "feature", "piece") for sense in item.senses)
