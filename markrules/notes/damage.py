"""What is wrong with which part: a word of damage and the thing it is said of.

The rules name both with wordings (roles `damage`, `renewal` and `thing`) and say in the words of
a fault which of them make it: `also "{missing} {stone}"`. The two may stand in any order. A word
that is a fault by itself (`also "{missing}"`) is looked for at any distance from its thing; any
other counts only right beside it, for `dark` is no fault of dark green stones.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from markrules.language.roles import DAMAGE_OF_ONE, DAMAGE_ROLES
from markrules.language.slots import PART, PART_BEFORE
from markrules.notes.making import Making
from markrules.notes.matching import Item
from markrules.notes.tokens import Tokens
from markrules.notes.vocabulary import PLACE_FEATURES

OPAQUE_FEATURES = ("motif", "subject")
"""Features of what is pictured: a wing or a tail may be broken off."""
EXCEPTION = "exception"
"""The role of words behind which stands what is not as was said: `sound except for the catch`."""
SOUND = "sound"
"""The role of words for what is not damaged; its target is the damage of what is excepted."""
PUT_RIGHT = "put-right"
"""The role of words by which the damage told right before is no more: `since replaced`."""
LEFT = "left"
"""The role of words for what is still there; its target is the damage of the rest."""
JUST = "few-left"
"""The role of words that tell that a number is too small: `only`."""
FARTHEST = 12
"""Items between a word of damage and its thing at most."""
_PASSED = frozenset(("filler", "count", "describing", "times"))


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


def damaged_in(
    making: Making, tokens: Tokens, items: list[Item], unknown: list[int]
) -> list[Damaged]:
    """The damage that a segment tells of, in order. Words that make no fault are left out.

    `unknown` are the tokens that nothing fits: damage may be said of them too (`beak missing`).
    """
    if not any(item.role(*DAMAGE_ROLES, EXCEPTION, LEFT) for item in items):
        return []
    whole = sorted([*items, *(Item(index, index + 1) for index in unknown)], key=_first)
    told = [at for at, item in enumerate(whole) if item.role(*DAMAGE_ROLES)]
    finder = _Finder(making, tokens, whole, told)
    righted = {
        before
        for before, at in pairwise(told)
        if whole[at].role(PUT_RIGHT) and not whole[before].role(PUT_RIGHT)
    }
    found = [each._replace(past=at in righted) for at in told for each in finder.found(at)]
    return found + finder.excepted() + finder.left()


def _first(item: Item) -> int:
    return item.first


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


def _sound(item: Item) -> tuple[str, ...]:
    """What is wrong with what is excepted from words for something sound."""
    return tuple(
        sense.value for sense in item.senses if sense.kind == "role" and sense.name == SOUND
    )


class _Finder:
    """Finds the thing of each word of damage in one segment; used once."""

    def __init__(self, making: Making, tokens: Tokens, items: list[Item], told: list[int]) -> None:
        self.making = making
        self.tokens = tokens
        self.items = items
        self.told = frozenset(told)
        self.names: dict[int, tuple[str, ...]] = {
            at: tuple(dict.fromkeys(_names(item))) for at, item in enumerate(items)
        }

    def found(self, at: int) -> list[Damaged]:
        """The faults that this word of damage makes: one, or one for each of things joined."""
        item = self.items[at]
        damages = damage_names(item)
        if item.role("link") and not self._goes_by_itself(at):
            return []
        strong = any(damage in self.making.bare for damage in damages)
        order = self._order(at) if strong else self._beside(at, damages)
        own: int | None = None
        for thing in order:
            choices = self._choices(damages, thing)
            if strong and not choices and self._opaque(thing):
                break
            if (
                own is not None
                and self._is_parted(at, thing)
                and thing not in self._joined(own, at)
            ):
                break  # wing nicked and stone loose
            if own is None and self._is_a_part(thing):
                own = thing
            if choices:
                joined = [
                    other
                    for other in (
                        *self._joined(thing, at),
                        *(self._added(at) if thing < at else ()),
                    )
                    if self._choices(damages, other)
                ]
                return [self._damaged(at, other) for other in (thing, *joined)]
        if not strong:
            return self._of_any_part(at, damages, order)
        if item.role("negation") and any(told > at for told in self.told):
            return []  # lacks any damage
        nearest = order[0] if order else None
        if nearest is not None and item.role("renewal") and self.items[nearest].role("label"):
            return []  # the box is newer
        bare = tuple((self.making.bare[each], "") for each in damages if each in self.making.bare)
        if nearest is not None and self._of_text(nearest) and not self._is_part(nearest, damages):
            return []
        # Of something else than what the segment before spoke of: `felt on the back gone`.
        own = nearest is not None or any(
            other.value_of(*PLACE_FEATURES) for other in self.items[self._clause(at)[0] : at]
        )
        return [self._made(at, None, bare if own else ())]

    def _goes_by_itself(self, at: int) -> bool:
        """Whether a little word tells of damage: it ends its clause (not `goes out past the edge`)
        or stands right behind its thing (`plating off the inside`), and no other damage stands
        right before it (not `snapped off`).
        """
        item, before = self.items[at], self.items[at - 1] if at else None
        if before is None or before.end != item.first:
            return self._ends_clause(at)
        if at - 1 in self.told:
            return False
        following = self.items[at + 1] if at + 1 < len(self.items) else None
        led_on = following is not None and following.role("opening")
        return self._ends_clause(at) or (before.role("thing") and led_on)

    def excepted(self) -> list[Damaged]:
        """What is excepted from something sound, where no word tells what is wrong with it:
        `undamaged except for the catch`.
        """
        made: list[Damaged] = []
        for at, item in enumerate(self.items):
            if not item.role(EXCEPTION):
                continue
            behind = range(at + 1, len(self.items))
            if any(other in self.told or self.items[other].meaning.tells_fault for other in behind):
                continue
            said = self._excepted_from(at)
            damages = damage_names(self.items[said]) if said in self.told else ()
            damages = _sound(self.items[said]) or damages if said >= 0 else ()
            things = [other for other in behind if self.names[other]]
            if not things and said == at:  # the catch is the only problem
                things = [other for other in range(at) if self.names[other]][-1:]
            elif not things and self._ends_clause(at):  # all stones there bar one
                things = [other for other in range(at) if self._is_of(said, other)][-1:]
            for thing in things[:1]:
                for other in (thing, *(self._joined(thing, at) if thing > at else ())):
                    choices = self._choices(damages, other) or self._as_any_part(damages, other)
                    if choices:
                        made.append(self._made(at, other, choices)._replace(damages=damages))
        return made

    def _is_of(self, said: int, thing: int) -> bool:
        """Whether what is sound, or its damage denied, stands in these words: `stones all there`,
        `no stones missing`.
        """
        return thing == said if self.items[said].role(SOUND) else bool(self.names[thing])

    def _as_any_part(self, damages: tuple[str, ...], thing: int) -> tuple[tuple[str, str], ...]:
        """What these damages make of any part, where the thing is one."""
        if not self._is_a_part(thing):
            return ()
        of = self.making.of
        return tuple((fault, PART) for damage in damages for fault in of.get((damage, PART), ()))

    def _by_itself(self, damages: tuple[str, ...], thing: int) -> tuple[tuple[str, str], ...]:
        """What these damages are where no thing is named, where the thing is a part."""
        if not self._is_a_part(thing):
            return ()
        bare = self.making.bare
        return tuple((bare[damage], PART) for damage in damages if damage in bare)

    def left(self) -> list[Damaged]:
        """The rest of so many things, where it is told how many are left: `5 of 6 drops remain`."""
        made: list[Damaged] = []
        for at, item in enumerate(self.items):
            if not item.role(LEFT):
                continue
            thing = at - 1
            while thing >= 0 and self.items[thing].role("filler") and not self.names[thing]:
                thing -= 1
            gone = self._short_of(self.items[thing].end - 1) if thing >= 0 else 0
            damages = tuple(
                sense.value for sense in item.senses if sense.kind == "role" and sense.name == LEFT
            )
            none = gone == 0 and thing >= 0 and self._none_of(thing, at)
            choices: tuple[tuple[str, str], ...] = ()
            if gone > 0 or none:
                choices = self._choices(damages, thing) or self._by_itself(damages, thing)
            if choices:
                told = self._made(at, thing, choices)
                if none:
                    made.append(told._replace(damages=damages, none_left=True))
                else:
                    made.append(told._replace(damages=damages, counted=True, number=gone))
        return made

    def _none_of(self, thing: int, at: int) -> bool:
        """Whether no more than little words and a denial, or words for a few, stand before a thing,
        of which so none or few are left, and nothing behind: `no foil left`, `only one prong left`.
        """
        before = thing - 1
        while before >= 0 and self.items[before].role("filler", "count"):
            if self.items[before].role("negation"):
                break
            before -= 1
        denied = before >= 0 and self.items[before].role("negation")
        return (denied or self._is_one_of(thing)) and self._ends_clause(at)

    def _is_one_of(self, thing: int) -> bool:
        """Whether a few of several are spoken of, by a word that says so: `only one prong`."""
        before = thing - 1
        while before >= 0 and self.items[before].role("filler", "count"):
            if self.items[before].role(JUST):
                return self._number_before(thing)
            before -= 1
        return False

    def _short_of(self, first: int) -> int:
        """How many are wanting of those counted right before a token: 1 of `5 of the 6`."""
        counts = [at for at in range(max(0, first - 6), first) if self.tokens.numeric[at]]
        if len(counts) < 2:
            return 0
        few, all_of_them = counts[-2:]
        little = [each for each in self.items if few < each.first < all_of_them]
        near = first - all_of_them <= 2 and few < all_of_them - 1
        # `10 of 12 stones still there`; with more between, the two numbers count different things.
        if not near or not all(each.role("filler", "link") for each in little):
            return 0
        folds = self.tokens.folded
        if not (folds[few].isdigit() and folds[all_of_them].isdigit()):
            return 0
        return int(folds[all_of_them]) - int(folds[few])

    def _excepted_from(self, at: int) -> int:
        """The item with the last words before an exception, or of it, for something sound (`only
        fault is`), or for damage, which is then denied; -1 where there is none.
        """
        for other in range(at, -1, -1):
            if self.items[other].role(SOUND):
                return other
            if other in self.told:
                return other if self._is_denied(other) else -1
        return -1

    def _is_denied(self, at: int) -> bool:
        """Whether a denial stands before a word of damage in its clause."""
        return any(item.role("negation") for item in self.items[self._clause(at)[0] : at])

    def _of_any_part(self, at: int, damages: tuple[str, ...], beside: list[int]) -> list[Damaged]:
        """What a damage that is no fault by itself makes of any part beside it, or of what the
        segment before spoke of, where this one says nothing else.
        """
        item = self.items[at]
        for thing in beside:
            if not self.making.parts.isdisjoint(self.names[thing]):
                for part in (PART, PART_BEFORE) if thing < at else (PART,):
                    choices = tuple(
                        (fault, part)
                        for damage in damages
                        for fault in self.making.of.get((damage, part), ())
                    )
                    if choices:
                        return [self._made(at, thing, choices)]
        if item.meaning.tells_fault:  # its words are a fault by themselves
            return []
        if item.role(DAMAGE_OF_ONE) and item.means("value"):  # glued: how the piece was made
            return []
        counted = self._number_before(at) and not item.role("renewal") and not beside
        return [self._made(at, None, ())] if counted or self._alone(at) else []

    def _alone(self, at: int) -> bool:
        """Whether nothing else is said in the segment but little words."""
        return all(
            at == other or item.role("filler", "join", "break") or item.means("certainty")
            for other, item in enumerate(self.items)
        )

    def _is_a_part(self, at: int) -> bool:
        """Whether an item is a part that damage may be said of, and not the piece."""
        return not self.making.parts.isdisjoint(self.names[at]) and not self._is_told(at)

    def _is_parted(self, at: int, thing: int) -> bool:
        """Whether another word of damage, or `and`, stands between a word of damage and a thing."""
        between = range(min(at, thing) + 1, max(at, thing))
        return any(other in self.told or self.items[other].role("join") for other in between)

    def _damaged(self, at: int, thing: int) -> Damaged:
        return self._made(at, thing, self._choices(damage_names(self.items[at]), thing))

    def _made(self, at: int, thing: int | None, choices: tuple[tuple[str, str], ...]) -> Damaged:
        item = self.items[at]
        return Damaged(
            item,
            self.items[thing] if thing is not None else None,
            choices,
            damage_names(item),
            item.role("renewal"),
            self._number_before(at),
        )

    def _choices(self, damages: tuple[str, ...], thing: int) -> tuple[tuple[str, str], ...]:
        of_one = self.making.of_one
        if not of_one.isdisjoint(damages) and self._several(thing):
            damages = tuple(each for each in damages if each not in of_one)
        return tuple(
            dict.fromkeys(
                (fault, name)
                for name in self.names[thing]
                for damage in damages
                for fault in self.making.of.get((damage, name), ())
            )
        )

    def _several(self, thing: int) -> bool:
        """Whether several are spoken of: `stones`, but not `one of the stones`."""
        item = self.items[thing]
        last = self.tokens.raw(item.end - 1).casefold()
        if not last.endswith("s") or self.tokens.folded[item.end - 1] + "s" != last:
            return False
        at = item.first - 1
        while at >= 0 and not self.tokens.numeric[at] and at > item.first - 4:
            at -= 1
        return at < 0 or self.tokens.folded[at] != "1"

    def _order(self, at: int) -> list[int]:
        """The things of the clause, likeliest first; the piece itself comes last."""
        low, high = self._clause(at)
        begins = self._begins_with_thing(at, low, high)
        things = self._things_in(low, high, at)
        nearest = sorted(things, key=lambda other: self._cost(at, other, begins))
        if low > 0 and self.items[low - 1].role(EXCEPTION):  # enamel perfect except for one chip
            before = self._things_in(self._clause(low - 1)[0], low, at)
            nearest += [other for other in reversed(before) if not self._opaque(other)]
        return nearest

    def _things_in(self, low: int, high: int, at: int) -> list[int]:
        return [
            other
            for other in range(low, high)
            if other != at
            and (self.names[other] or self._opaque(other))
            and not self._is_told(other)
        ]

    def _opaque(self, at: int) -> bool:
        """Whether an item is something that the rules know no damage of: an unknown word that
        is no adverb, or what is pictured.
        """
        item = self.items[at]
        if not item.senses and item.measure is None and item.years is None:
            return not self.tokens.folded[item.first].endswith("ly")
        return not set(self.names[at]).isdisjoint(OPAQUE_FEATURES)

    def _is_told(self, at: int) -> bool:
        """Whether an item is a word of damage itself and names no thing."""
        return at in self.told and not self.items[at].role("thing")

    def _clause(self, at: int) -> tuple[int, int]:
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

    def _cost(self, at: int, other: int, begins_with_thing: bool) -> tuple[int, int, int]:
        """How far a thing is from a word of damage; the smaller the likelier.

        First whether it is a thing at all and no more than the piece; then how many words
        that mean something, other words of damage above all, stand between; then, of two
        equally near, what is said after its thing where the clause begins with a thing.
        """
        place = other < at and self._is_place(other)
        only_piece = int(
            set(self.names[other]) <= {"piece"} or (place and self.items[other].means("piece"))
        )
        low, high = min(at, other) + 1, max(at, other)
        # Set by reason: another word of damage takes a thing to itself, `and` begins another one,
        # `with` leads on to one, and any other word that means something parts a little.
        cost = 0
        for between in range(low, high):
            item = self.items[between]
            if between in self.told:
                cost += 6
            elif item.role("join"):
                cost += 4
            elif item.role("link"):
                cost += 2
            elif not item.role(*_PASSED) and not item.means("certainty"):
                cost += 1
        after = other > at
        if after and self._takes_object(at, other):
            cost -= 1
        elif after and begins_with_thing:
            cost += 1
        if not after and not begins_with_thing:
            cost += 1
        if place:
            cost += 3
        if not after and low == high and self._counted_before(at, other):
            cost -= 2
        return (only_piece, cost, high - low)

    def _is_place(self, thing: int) -> bool:
        """Whether a thing only tells where something is: `the stone at the back is gone`."""
        before = self._before_link(thing) + 1
        if before >= thing or not self.items[before].role("link"):
            return False
        return not self.items[before].role("filler", "story-end")

    def _before_link(self, thing: int) -> int:
        """The item before the little word that leads to a thing, or right before the thing."""
        before = thing - 1
        while before >= 0 and self._is_little(before) and not self.items[before].role("link"):
            before -= 1
        return before - 1 if before >= 0 and self.items[before].role("link") else thing - 1

    def _counted_before(self, at: int, thing: int) -> bool:
        """Whether a counted thing stands before a word of damage that no article follows:
        `3 stones missing rollover`, not `12 stones missing its catch`.
        """
        following = at + 1
        led_on = following < len(self.items) and self.items[following].role("filler")
        return not led_on and self._number_before(thing)

    def _begins_with_thing(self, at: int, low: int, high: int) -> bool:
        for other in range(low, high):
            if self._is_told(other):
                return False
            if self._opaque(other):
                return True
            if self.names[other] and not set(self.names[other]) <= {"piece"}:
                return True
        return False

    def _takes_object(self, at: int, other: int) -> bool:
        """Whether a word of loss stands right before a thing, and no other damage follows."""
        if self.making.counted.keys().isdisjoint(damage_names(self.items[at])):
            return False
        between = self.items[at + 1 : other]
        later = any(told > other for told in self.told)
        return not later and all(item.role("filler", "count") for item in between)

    def _beside(self, at: int, damages: tuple[str, ...]) -> list[int]:
        """The things right beside a word of damage, with none but little words between.

        Behind it a thing of which the damage makes nothing may stand before its noun: `modern
        silver hooks`.
        """
        found = []
        last = self._ends_clause(at)
        for step in (-1,) if self._leads_on(at) else (-1, 1):
            other = at + step
            while 0 <= other < len(self.items):
                if self.names[other] and not self._is_told(other):
                    if step > 0 and self._is_the_piece(other):  # a modern locket set with paste
                        break
                    found.append(other)
                    if step < 0 and self._is_place(other):
                        other = self._before_link(other)
                        continue
                    if step < 0 or self._choices(damages, other):
                        break
                    noun = other + 1
                    if noun < len(self.items) and self.names[noun] and not self._is_told(noun):
                        found.append(noun)
                    break
                if other not in self.told and not self._may_pass(other, step, last):
                    break
                other += step
        gaps = {other: abs(self.items[other].first - self.items[at].first) for other in found}
        return sorted(
            found,
            key=lambda other: (
                set(self.names[other]) <= {"piece"},
                other < at and self._is_place(other),
                gaps[other],
            ),
        )

    def _leads_on(self, at: int) -> bool:
        """Whether a damage of single things leads on to what they are fixed to: it is said of what
        stands before. `Pads stuck on the clips`, `plastic glued onto a back`.
        """
        item = self.items[at]
        if item.role("link"):  # plating off the clasp
            return True
        if not item.role(DAMAGE_OF_ONE):
            return False
        if self.tokens.folded[item.end - 1] in self.making.links:
            return True
        return at + 1 < len(self.items) and self.items[at + 1].role("link")

    def _is_the_piece(self, at: int) -> bool:
        """Whether an item is a piece, or ends in its name, and no part of one: `clip earrings`,
        but not `pin` or `beads`.
        """
        item = self.items[at]
        if item.role("thing"):
            return False
        if item.end == item.first + 1:
            return item.means("piece") and not item.means("value")
        words = self.tokens.folded[item.first : item.end]
        if not self.making.links.isdisjoint(words):  # a clip on one earring
            return False
        if words[-1] in self.making.nouns and not item.means("piece"):  # glass beads
            return False
        return words[-1] in self.making.pieces

    def _may_pass(self, at: int, step: int, last: bool) -> bool:
        """Whether a word may stand between a thing and what is said of it.

        Behind the last word of a clause more may: `the stone on the left side is loose`.
        """
        item = self.items[at]
        if item.role("filler", "count", "describing", "join") or item.means("certainty"):
            return True
        if step < 0 and item.role(EXCEPTION, SOUND):  # enamel good apart from a flake
            return True
        if step < 0 and item.value_of(*PLACE_FEATURES):  # plating on the clasp worn
            return True
        if item.role("negation") and step < 0:  # the hinge isn't loose
            return True
        adverb = not item.senses and not self._opaque(at) and item.measure is None
        return adverb or (item.role("link") and (step > 0 or last))

    def _ends_clause(self, at: int) -> bool:
        """Whether nothing but little words follows in the clause."""
        following = self.items[at + 1 : self._clause(at)[1]]
        return all(item.role("filler") for item in following)

    def _joined(self, thing: int, at: int) -> list[int]:
        """Things joined to this one by `and`, on the far side of the word of damage."""
        step = -1 if thing < at else 1
        found, other = [], thing + step
        while 0 < other < len(self.items) - 1 and self.items[other].role("join"):
            following = other + step
            while self._is_little(following) and 0 < following < len(self.items) - 1:
                following += step
            if following in self.told or not self.names[following]:
                break
            found.append(following)
            other = following + step
        return found

    def _added(self, at: int) -> list[int]:
        """The thing that is joined behind a word of damage whose own thing stands before it, and
        ends what is said: `one stone missing as well as the pin`.
        """
        following = at + 1
        if following >= len(self.items) or not self.items[following].role("join"):
            return []
        if self.items[following].end == self.items[following].first + 1:  # and: the next thing
            return []
        following += 1
        while following < len(self.items) - 1 and self._is_little(following):
            following += 1
        last = following == len(self.items) - 1
        return [following] if last and self.names[following] and following not in self.told else []

    def _is_little(self, at: int) -> bool:
        return self.items[at].role("filler", "count") and not self.names[at]

    def _of_text(self, at: int) -> bool:
        """Whether an item speaks of marks or labels, where denial is told otherwise."""
        return self.items[at].role("mark-noun", "label", "mark", "absent")

    def _is_part(self, at: int, damages: tuple[str, ...]) -> bool:
        """Whether what holds text is damaged as a part, and not gone: `lid dented`."""
        gone = not self.making.counted.keys().isdisjoint(damages)
        return self.items[at].role("thing") and not gone

    def _number_before(self, at: int) -> bool:
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
