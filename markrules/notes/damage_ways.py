"""Damage that no word tells, but the order of words in a stretch of a note: `the catch gave up`.

The rules write such ways as remarks with a line `damage`; see `markrules.notes.ways_of_saying`
for how they are matched. `{thing}` stands in them for anything that damage may be said of.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from markrules.knowledge.base import KnowledgeBase
from markrules.language.slots import THING
from markrules.named_tuple import NamedTuple
from markrules.notes.folding import Folding
from markrules.notes.ways_of_saying import Hit, KeptPatterns, patterns_of

DENIED_OVER = 4
"""Words before such a way of telling among which a denial undoes it: `not a stone is wobbly`."""
ASSUMED = "taken as said of its condition"
"""What is assumed of a fault that is told so, in the words in which it is said."""


class Way(NamedTuple):
    """A way of telling damage, met in a stretch: the damages, and the places of its words.

    `thing` is the word at which what it is said of begins, -1 where no place stands for a thing.
    """

    damages: tuple[str, ...]
    words: tuple[int, ...]
    thing: int


def damage_ways_of(base: KnowledgeBase, folding: Folding) -> dict[str, Any]:
    """The ways of telling damage of the rules, and all words that they are made of, to be kept."""
    return patterns_of(base, folding, [each for each in base.remarks.values() if each.damages])


class DamageWays:
    """The ways of telling damage of a knowledge base, ready to be looked for in stretches."""

    def __init__(
        self,
        kept: Mapping[str, Any],
        base: KnowledgeBase,
        folding: Folding,
        little: frozenset[str],
    ) -> None:
        """`kept` is what `damage_ways_of` gives; `little` words count for nothing."""
        self._ways = KeptPatterns(kept, folding, little)
        self._damages = {
            each.name: tuple(named.name for named in each.damages)
            for each in base.remarks.values()
            if each.damages
        }

    def ways_in(
        self, words: Sequence[str], given: Mapping[str, Sequence[tuple[int, int]]]
    ) -> list[Way]:
        """The ways that folded words of one stretch tell damage, those of the first entry first.

        `given` are the places of words that fill what is built in, in order: THING and so on.
        """
        if not self._damages:
            return []
        hits: dict[str, list[Hit]] = {
            name: [Hit(*each) for each in places]
            for name, places in given.items()
            if places and name != THING
        }
        for start, word in enumerate(words):
            if self._ways.phrases.first(word) is not None:
                for end, sense in self._ways.phrases.every(words, start, self._ways.little):
                    hits.setdefault(sense.name, []).append(Hit(start, end))
        if not hits:
            return []
        if given.get(THING):
            hits[THING] = [Hit(*each) for each in given[THING]]
        stretch = self._ways.words_of([words], hits)
        undone: set[int] = set()
        ways: list[Way] = []
        for pattern in self._ways.filled(hits):
            for matched in stretch.matches(pattern):
                first = matched[0].start
                before = words[max(0, first - DENIED_OVER) : first]
                told = [
                    (hit, name == THING)
                    for hit, (name, _) in zip(matched, pattern.elements, strict=True)
                ]
                own = [at for hit, thing in told if not thing for at in range(hit.start, hit.end)]
                if pattern.denies:
                    undone.update(own)
                elif not any(map(self._ways.denies, before)):
                    thing = next((hit.start for hit, is_thing in told if is_thing), -1)
                    ways.append(Way(self._damages[pattern.remark], tuple(own), thing))
        return [each for each in ways if undone.isdisjoint(each.words)]
