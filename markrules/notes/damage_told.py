"""A segment laid out for finding damage: the words of damage that it tells, and its things."""

from __future__ import annotations

from collections.abc import Iterator

from markrules.language.roles import DAMAGE_ROLES
from markrules.language.slots import PART
from markrules.named_tuple import NamedTuple
from markrules.notes.items import Item
from markrules.notes.making import Making
from markrules.notes.tokens import Tokens
from markrules.notes.vocabulary import PLACE_FEATURES

OPAQUE_FEATURES = ("motif", "subject")
"""Features of what is pictured: a wing or a tail may be broken off."""
EXCEPTION = "exception"
"""The role of words behind which stands what is not as was said: `sound except for the catch`."""
SOUND = "sound"
"""The role of words for what is not damaged; its target is the damage of what is excepted."""
FARTHEST = 12
"""Items between a word of damage and its thing at most."""


class Thing(NamedTuple):
    """What damage may be said of: its names in the rules, and the item that names it.

    `plural` tells that the writer spoke of several, or counted them.
    """

    names: tuple[str, ...]
    item: Item
    plural: bool


class Damaged(NamedTuple):
    """A word of damage and the faults that it may make.

    `choices` are (fault, thing) pairs, thing being the name that led to the fault; `thing` is
    the item of the thing, None where none is named. `damages` are the names of the damage,
    `renewed` tells that it says that a part is a later one, `number` how many are so, where the
    numbers beside it are of others. `past` tells that it is so no more.
    """

    item: Item
    thing: Item | None
    choices: tuple[tuple[str, str], ...]
    damages: tuple[str, ...]
    renewed: bool
    counted: bool
    number: int | None = None
    past: bool = False
    none_left: bool = False


def things_in(tokens: Tokens, items: list[Item]) -> list[Thing]:
    """What a segment speaks of that damage may be said of, in order."""
    things: list[Thing] = []
    for item in items:
        names = tuple(dict.fromkeys(_names(item)))
        if names:
            things.append(Thing(names, item, _plural(tokens, item)))
    return things


def damage_names(item: Item) -> tuple[str, ...]:
    """The wordings of damage or renewal that an item belongs to."""
    return tuple(
        sense.value for sense in item.senses if sense.kind == "role" and sense.name in DAMAGE_ROLES
    )


def _names(item: Item) -> Iterator[str]:
    for sense in item.senses:
        if sense.kind == "role" and sense.name == "thing":
            yield sense.value
        elif sense.kind in ("value", "feature") and sense.name not in ("fault", *PLACE_FEATURES):
            yield sense.name
        elif sense.kind == "piece":
            yield "piece"


def _plural(tokens: Tokens, item: Item) -> bool:
    last = tokens.raw(item.end - 1).casefold()
    counted = item.first > 0 and tokens.numeric[item.first - 1]
    return counted or (last.endswith("s") and tokens.folded[item.end - 1] + "s" == last)


class Told:
    """A segment of a note, in which damage is told at the items `words`.

    `names` are those of the things that an item speaks of, by its place.
    """

    def __init__(self, making: Making, tokens: Tokens, items: list[Item], words: list[int]) -> None:
        """`words` are places in `items`, which hold the tokens that nothing fits as well."""
        self.making = making
        self.tokens = tokens
        self.items = items
        self.words = frozenset(words)
        self.names: dict[int, tuple[str, ...]] = {
            at: tuple(dict.fromkeys(_names(item))) for at, item in enumerate(items)
        }

    def choices(self, damages: tuple[str, ...], thing: int) -> tuple[tuple[str, str], ...]:
        """The faults that these damages make of a thing, each with the name that led to it."""
        of_one = self.making.of_one
        if not of_one.isdisjoint(damages) and self.several(thing):
            damages = tuple(each for each in damages if each not in of_one)
        return tuple(
            dict.fromkeys(
                (fault, name)
                for name in self.names[thing]
                for damage in damages
                for fault in self.making.of.get((damage, name), ())
            )
        )

    def several(self, thing: int) -> bool:
        """Whether several are spoken of: `stones`, but not `one of the stones`."""
        item = self.items[thing]
        last = self.tokens.raw(item.end - 1).casefold()
        if not last.endswith("s") or self.tokens.folded[item.end - 1] + "s" != last:
            return False
        at = item.first - 1
        while at >= 0 and not self.tokens.numeric[at] and at > item.first - 4:
            at -= 1
        return at < 0 or self.tokens.folded[at] != "1"

    def is_a_part(self, at: int) -> bool:
        """Whether an item is a part that damage may be said of, and not the piece."""
        return not self.making.parts.isdisjoint(self.names[at]) and not self.is_told(at)

    def is_told(self, at: int) -> bool:
        """Whether an item is a word of damage itself and names no thing."""
        return at in self.words and not self.items[at].role("thing")

    def opaque(self, at: int) -> bool:
        """Whether an item is something that the rules know no damage of: an unknown word that
        is no adverb, or what is pictured.
        """
        item = self.items[at]
        if not item.senses and item.measure is None and item.years is None:
            return not self.tokens.folded[item.first].endswith("ly")
        return not set(self.names[at]).isdisjoint(OPAQUE_FEATURES)

    def clause(self, at: int) -> tuple[int, int]:
        """Where the clause of an item begins and ends: a word such as `but` parts clauses.

        Nothing is looked for more than `FARTHEST` items away.
        """
        low, high = at, at + 1
        while low > max(0, at - FARTHEST) and not self.items[low - 1].role("break"):
            low -= 1
        farthest = min(len(self.items), at + FARTHEST)
        while high < farthest and not self.items[high].role("break"):
            high += 1
        return low, high

    def ends_clause(self, at: int) -> bool:
        """Whether nothing but little words follows in the clause."""
        following = self.items[at + 1 : self.clause(at)[1]]
        return all(item.role("filler") for item in following)

    def joined(self, thing: int, at: int) -> list[int]:
        """Things joined to this one by `and`, on the far side of the word of damage."""
        return self.joined_on(thing, -1 if thing < at else 1)

    def joined_on(self, thing: int, step: int) -> list[int]:
        """Things joined to this one by `and`, before it (`step` -1) or behind it.

        Little words may stand on both sides of it: `two stones and a drop missing`. A value is
        then no more than told of before what is damaged: `a trombone catch and a stone missing`.
        """
        found: list[int] = []
        last = thing
        while True:
            other = self.past_little(last + step, step)
            if not 0 < other < len(self.items) - 1 or not self.items[other].role("join"):
                return found
            following = self.past_little(other + step, step)
            if not 0 <= following < len(self.items) or not self.names[following]:
                return found
            if following in self.words or self._has_its_own(following, step):
                return found  # missing a stone and pin bent
            if step < 0 and other < last - 1 and not self.items[following].role("thing"):
                return found
            found.append(following)
            last = following

    def past_little(self, at: int, step: int) -> int:
        """The next item from here on that is no little word; beyond the end if there is none."""
        while 0 <= at < len(self.items) and self.is_little(at):
            at += step
        return at

    def _has_its_own(self, thing: int, step: int) -> bool:
        """Whether a damage of its own stands on the far side of a thing: `and pin bent`."""
        beyond = self.past_little(thing + step, step)
        if not 0 <= beyond < len(self.items):
            return False
        return beyond in self.words or self.items[beyond].meaning.tells_fault

    def of_any(self, damages: tuple[str, ...], thing: int) -> tuple[tuple[str, str], ...]:
        """What these damages make of a thing: of this one, of any part, or by themselves."""
        return (
            self.choices(damages, thing)
            or self.as_any_part(damages, thing)
            or self.by_itself(damages, thing)
        )

    def as_any_part(self, damages: tuple[str, ...], thing: int) -> tuple[tuple[str, str], ...]:
        """What these damages make of any part, where the thing is one."""
        if not self.is_a_part(thing):
            return ()
        of = self.making.of
        return tuple((fault, PART) for damage in damages for fault in of.get((damage, PART), ()))

    def by_itself(self, damages: tuple[str, ...], thing: int) -> tuple[tuple[str, str], ...]:
        """What these damages are where no thing is named, of a part or of what is pictured."""
        if not self.is_a_part(thing) and not self.opaque(thing):
            return ()
        bare = self.making.bare
        return tuple((bare[damage], PART) for damage in damages if damage in bare)

    def is_little(self, at: int) -> bool:
        """Whether an item says nothing of its own."""
        return self.items[at].role("filler", "count") and not self.names[at]

    def made(self, at: int, thing: int | None, choices: tuple[tuple[str, str], ...]) -> Damaged:
        """The word of damage at a place, with the faults that it makes of a thing, or of none."""
        item = self.items[at]
        return Damaged(
            item,
            self.items[thing] if thing is not None else None,
            choices,
            damage_names(item),
            item.role("renewal"),
            self.number_before(at),
        )

    def number_before(self, at: int) -> bool:
        """Whether a number stands before a word of damage, with little words between."""
        index = self.items[at].first - 1
        if index >= 0 and self.tokens.numeric[index]:
            return True
        for step in (1, 2, 3, 4):  # 2 missing, 2 of them missing, one of which has been replaced
            before = self.items[at - step] if at >= step else None
            if before is None or (step == 1 and before.role("link")):
                break
            if not before.role("filler", "count", "story-end", "link"):
                break
            index = before.first - 1
            if before.role("count") or self.tokens.numeric[before.first]:
                return True
            if index >= 0 and self.tokens.numeric[index]:
                return True
        following = self.items[at].end
        return following < len(self.tokens) and self.tokens.numeric[following]
