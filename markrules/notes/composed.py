"""Words of faults that are made of others: a damage and the thing that it has befallen."""

from __future__ import annotations

from collections.abc import Iterator

from markrules.knowledge.base import KnowledgeBase
from markrules.language.builtin import BUILT_IN_FEATURES
from markrules.language.roles import DAMAGE_ROLES
from markrules.language.tree import Wording
from markrules.notes.making import making_of, spelled_out
from markrules.notes.tokens import Cut

LITTLE = "little"
"""The role of fillers that are not worth telling of."""


def texts_of(base: KnowledgeBase, wording: Wording) -> Iterator[str]:
    """The texts of a wording: of damage, with what stands in braces spelled out."""
    for text in wording.words:
        if "{" not in text:
            yield text
        elif wording.role in DAMAGE_ROLES:
            yield from spelled_out(base, text)


class Composed:
    """Tells which words of faults are no more than a damage and its thing: `bent catch`.

    Such words are left to the reader, who finds both wherever they stand, denied or joined.
    """

    def __init__(self, base: KnowledgeBase, cut: Cut) -> None:
        """Gather the words of damage and of things."""
        self._cut = cut
        self._of = making_of(base).of
        self._damages: dict[tuple[str, ...], set[str]] = {}
        self._things: dict[tuple[str, ...], set[str]] = {}
        self._fillers: set[str] = set()
        self._values: set[tuple[str, ...]] = set()
        for wording in base.wordings.values():
            for text in texts_of(base, wording):
                if wording.role == "thing":
                    self._things.setdefault(self._words(text), set()).add(wording.name)
                elif wording.role in DAMAGE_ROLES:
                    self._damages.setdefault(self._words(text), set()).add(wording.name)
                elif wording.role == LITTLE and " " not in text:
                    self._fillers.update(self._words(text))
        for feature in base.features.values():
            if feature.name not in BUILT_IN_FEATURES:
                said = [self._words(each) for value in feature.values for each in value.also]
                self._values.update(said)
                for words in (*map(self._words, feature.also), *said):
                    self._things.setdefault(words, set()).add(feature.name)

    def begins_as_value(self, text: str) -> bool:
        """Whether the words of a fault, or the first of them, tell as well how a thing was made:
        `pin glued on again`.
        """
        words = self._words(text)
        return any(words[:end] in self._values for end in range(2, len(words) + 1))

    def makes(self, text: str, fault: str) -> bool:
        """Whether these words of a fault are a damage and a thing that make it and no other."""
        words = self._words(text)
        for cut in range(1, len(words)):
            before, behind = words[:cut], words[cut:]
            for thing, damage in ((before, behind), (behind, before)):
                if self._made(thing, damage, fault):
                    return True
        return False

    def _made(self, thing: tuple[str, ...], damage: tuple[str, ...], fault: str) -> bool:
        while damage and damage[0] in self._fillers and damage not in self._damages:
            damage = damage[1:]
        while thing and thing[0] in self._fillers and thing not in self._things:
            thing = thing[1:]  # lost its catch
        made = {
            each
            for harm in self._damages.get(damage, ())
            for name in self._things.get(thing, ())
            for each in self._of.get((harm, name), ())
        }
        return made == {fault}

    def _words(self, text: str) -> tuple[str, ...]:
        return tuple(self._cut[text])
