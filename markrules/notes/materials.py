"""What a material that is named is: the stuff itself, a false one, only a colour or a look."""

from __future__ import annotations

from collections.abc import Sequence

from markrules.language.builtin import COLOUR
from markrules.notes.contrast import false_behind
from markrules.notes.items import Item
from markrules.notes.metalwords import of_a_part, qualified
from markrules.notes.tokens import Tokens
from markrules.notes.vocabulary import METAL_FEATURES, Vocabulary

METAL = "metal"
"""The feature of the rules for metals, which alone lend their colour to stones: gold stones."""


def _is_color(item: Item) -> bool:
    """Whether the words name nothing but a colour."""
    return bool(item.senses) and all(
        sense.kind == "value" and sense.name == COLOUR for sense in item.senses
    )


class Materials:
    """Tells of the materials that the items of one segment name; `negated` as of the segment."""

    def __init__(
        self,
        vocabulary: Vocabulary,
        tokens: Tokens,
        items: Sequence[Item],
        negated: Sequence[bool],
    ) -> None:
        """Keep what the segment is."""
        self.vocabulary, self.tokens = vocabulary, tokens
        self.items, self.negated = items, negated

    def as_told(self, item: Item, values: list[tuple[str, str]]) -> list[tuple[str, str]]:
        """The values without materials that are only imitated: a fake opal, coral coloured."""
        false = self.vocabulary.false
        names = {name for name, _ in values}
        if METAL in names:
            beside = self._beside(item, 1)
            colored = beside is not None and beside.role("takes-color")
            if colored and item.role("metal-color"):  # silver stones, not 14k gold pearl
                return [each for each in values if each[0] != METAL]
        if false.keys().isdisjoint(names):
            return values
        if self._names_somebody(item):
            return [each for each in values if each[0] not in false]
        following = self._beside(item, 1)
        untrue = false_behind(self.items) is not None  # the pearls look fake
        if not untrue and following is not None and self._likened(following):
            return [each for each in values if each[0] not in false]
        if following is not None and _is_color(following):  # pearl grey
            return [each for each in values if each[0] not in false]
        if following is not None and self._is_false_stuff(following):  # opal glass
            return [each for each in values if each[0] not in false]
        if untrue or self._imitated(item) or self._stood_for(item):
            made = (false.get(name, (name, value)) for name, value in values)
            return list(dict.fromkeys(made))
        return values

    def _is_false_stuff(self, following: Item) -> bool:
        """Whether words behind a material are the stuff of a false one, and where that is from:
        `amethyst Czech glass`.
        """
        if following.role("false-stuff"):
            return True
        last = self.vocabulary.words.first(self.tokens.folded[following.end - 1])
        material = following.value_of(*self.vocabulary.materials)
        stuff = material and following.end == following.first + 2
        return stuff and last is not None and "false-stuff" in last.meaning.roles

    def _imitated(self, item: Item) -> bool:
        """Whether the word before tells that a material is a false one: `faux gold`, `resembles
        jet`; not what only looks like it to somebody unsure, with no other material named.
        """
        before = self._beside(item, -1)
        if before is None:
            return False
        if before.role("imitates"):
            return not before.means("certainty") or self._of_other_material(item)
        return before.role("false")

    def _stood_for(self, item: Item) -> bool:
        """Whether the word right before is the stuff of a false one: `glass ruby`."""
        before = self._beside(item, -1)
        return before is not None and before.end == item.first and before.role("false-stuff")

    def _likened(self, following: Item) -> bool:
        """Whether words that follow a material tell that it is only the look, also of what `and`
        joins behind it: `coral and turquoise coloured beads`.
        """
        if following.role("likeness"):
            return True
        if not following.role("join"):
            return False
        joined = self._beside(following, 1)
        if joined is None:
            return False
        if _is_color(joined):  # `turquoise colored` is one phrase
            last = self.vocabulary.words.first(self.tokens.folded[joined.end - 1])
            return last is not None and "likeness" in last.meaning.roles
        after = self._beside(joined, 1)
        material = bool(joined.value_of(*self.vocabulary.false))
        return material and after is not None and after.role("likeness")

    def _is_capitalised(self, item: Item) -> bool:
        """Whether an item is one word that begins with a capital."""
        return item.end == item.first + 1 and self.tokens.raw(item.first)[0].isupper()

    def _names_somebody(self, item: Item) -> bool:
        """Whether a word in capitals is a name: `aunt Ruby`, `Amber gave it`."""
        if not self._is_capitalised(item):
            return False
        at = self.items.index(item)
        before = self.items[at - 1] if at else None
        if before is not None and before.role("person") and before.end == item.first:
            return True
        after = self.items[at + 1] if at + 1 < len(self.items) else None
        return after is not None and after.first == item.end and after.role("giver")

    def names_a_place(self, item: Item) -> bool:
        """Whether a word in capitals is part of a name: `Mill Lane`, `Rose Street`."""
        if not self._is_capitalised(item):
            return False
        after = self._beside(item, 1)
        if after is None or after.first != item.end or not after.role("place-noun"):
            return False
        return self.tokens.raw(after.first)[0].isupper()

    def without_coats(
        self, item: Item, values: list[tuple[str, str]]
    ) -> tuple[list[tuple[str, str]], bool]:
        """The values without a metal of which the next word tells that it is only the outside, or
        the look: `18k plated`, `9ct rolled gold`, `14k tone`; a false one is what the rules say.

        Also whether the segment is then only a guess: nothing names the word beside the metal.
        """
        if all(name not in METAL_FEATURES for name, _ in values):
            return values, False
        false = self.vocabulary.false_metal
        if false is not None and not self.negated[item.first] and self._imitated(item):
            made = (false if name in METAL_FEATURES else (name, value) for name, value in values)
            return list(dict.fromkeys(made)), False
        beside = qualified(self.vocabulary, self.tokens, self.items, item)
        part = of_a_part(self.vocabulary, self.tokens, self.items, item)
        doubted = beside == "unknown" or part == "perhaps"
        if part == "part":  # a sterling clasp tells of no test of the piece either
            return [], doubted
        if beside == "not-all":
            return [each for each in values if each[0] not in METAL_FEATURES], doubted
        following = self._beside(item, 1)
        if following is None or following.first != item.end or following.role("imitates"):
            return values, doubted
        nodes = map(
            self.vocabulary.words.first, self.tokens.folded[following.first : following.end]
        )
        roles = following.meaning.roles.union(
            *(node.meaning.roles for node in nodes if node is not None)
        )
        if roles.isdisjoint(("coat", "likeness")):
            return values, doubted
        return [each for each in values if each[0] not in METAL_FEATURES], doubted

    def _of_other_material(self, item: Item) -> bool:
        """Whether the segment names another material: `black plastic looks like jet`."""
        materials = self.vocabulary.materials
        others = (each for each in self.items if each is not item and not each.role("false"))
        return any(each.value_of(*materials) for each in others)

    def _beside(self, item: Item, step: int) -> Item | None:
        """The item right before or after, fillers and colours passed over."""
        at = self.items.index(item) + step
        while 0 <= at < len(self.items):
            other = self.items[at]
            touching = step < 0 or other.first == self.items[at - 1].end
            if not touching:
                return None
            passed = other.role("filler", "count", "describing") or _is_color(other)
            if step > 0 or not passed or other.role("false", "likeness", "imitates"):
                return other
            at += step
        return None
