"""What is wrong with which part: a word of damage and the thing it is said of.

The rules name both with wordings (roles `damage`, `renewal` and `thing`) and say in the words of
a fault which of them make it: `also "{missing} {stone}"`. The two may stand in any order. A word
that is a fault by itself (`also "{missing}"`) is looked for at any distance from its thing; any
other counts only right beside it, for `dark` is no fault of dark green stones.
"""

from __future__ import annotations

from itertools import pairwise

from markrules.language.builtin import COLOUR
from markrules.language.roles import DAMAGE_OF_ONE, DAMAGE_ROLES
from markrules.language.slots import PART, PART_BEFORE
from markrules.notes.damage_left import LEFT, excepted_in, left_in
from markrules.notes.damage_told import EXCEPTION, Damaged, Told, damage_names
from markrules.notes.items import Item
from markrules.notes.making import Making
from markrules.notes.tokens import Tokens
from markrules.notes.vocabulary import PLACE_FEATURES

PUT_RIGHT = "put-right"
"""The role of words by which the damage told right before is no more: `since replaced`."""
EACH = "each-of-them"
"""The role of words for every one of several, which differ by design."""


def damaged_in(
    making: Making, tokens: Tokens, items: list[Item], unknown: list[int]
) -> list[Damaged]:
    """The damage that a segment tells of, in order. Words that make no fault are left out.

    `unknown` are the tokens that nothing fits: damage may be said of them too (`beak missing`).
    """
    if not any(
        item.role(*DAMAGE_ROLES, EXCEPTION, LEFT) or item.meaning.tells_fault for item in items
    ):
        return []
    from markrules.notes.damage_joined import spread_in

    whole = sorted([*items, *(Item(index, index + 1) for index in unknown)], key=_first)
    words = [at for at, item in enumerate(whole) if item.role(*DAMAGE_ROLES)]
    told = Told(making, tokens, whole, words)
    righted = {
        before
        for before, at in pairwise(words)
        if whole[at].role(PUT_RIGHT) and not whole[before].role(PUT_RIGHT)
    }
    found = [each._replace(past=at in righted) for at in words for each in _found(told, at)]
    return found + spread_in(told) + excepted_in(told) + left_in(told)


def _first(item: Item) -> int:
    return item.first


def _found(told: Told, at: int) -> list[Damaged]:
    """The faults that this word of damage makes: one, or one for each of things joined."""
    item = told.items[at]
    damages = damage_names(item)
    if (item.role("link") and not _goes_by_itself(told, at)) or _of_the_piece(told, at):
        return []
    if at and told.items[at - 1].role(EACH) and told.items[at - 1].end == item.first:
        return []  # each a different colour: none of them is the other's stand-in
    if _of_a_year(told, at):
        return []
    from markrules.notes.damage_near import likeliest_things, things_beside

    strong = any(damage in told.making.bare for damage in damages)
    order = likeliest_things(told, at) if strong else things_beside(told, at, damages)
    made = _of_things(told, at, damages, order, strong)
    if made:
        return made
    if not strong:
        return _of_any_part(told, at, damages, order)
    return _of_no_thing(told, at, damages, order[0] if order else None)


def _of_a_year(told: Told, at: int) -> bool:
    """Whether the word says what happened in the year behind it: `worn to a wedding in 1947`."""
    if not told.items[at].means("feature"):
        return False
    for behind in told.items[at + 1 :]:
        if behind.years is not None:
            return True
        if behind.means("value") or behind.role("thing", *DAMAGE_ROLES):
            return False
    return False


def _of_the_piece(told: Told, at: int) -> bool:
    """Whether a word for what is new ends a description of the whole piece, in which a material is
    no part of it: `opal pendant 9ct modern`; not `pendant with new chain`.
    """
    item = told.items[at]
    if not at or not item.role("renewal") or not told.ends_clause(at):
        return False
    before = told.items[told.clause(at)[0] : at]
    return (
        told.tokens.slice(item.first, item.end).casefold() in told.making.of_the_piece
        and any(other.means("piece") for other in before)
        and not any(other.role("thing", "damage") for other in before)
    )


def _of_things(
    told: Told, at: int, damages: tuple[str, ...], order: list[int], strong: bool
) -> list[Damaged]:
    """The faults of the likeliest thing of which the damage makes one, and of those joined to it.

    Other things are passed over, but not one that may well be meant although the rules know no
    fault of it: then the damage is of none of the others.
    """
    from markrules.notes.damage_joined import of_any_kind, of_joined

    own: int | None = None
    for thing in order:
        choices = told.choices(damages, thing)
        if strong and not choices and told.opaque(thing):
            return []
        if own is not None and thing in told.joined(own, at):
            return [*of_any_kind(told, at, own), *of_joined(told, at, own)]
        if own is not None and _is_parted(told, at, thing):
            return []  # wing nicked and stone loose
        if own is None and told.is_a_part(thing):
            own = thing
        if choices:
            return [told.made(at, thing, choices), *of_joined(told, at, thing)]
    return []


def _of_no_thing(
    told: Told, at: int, damages: tuple[str, ...], nearest: int | None
) -> list[Damaged]:
    """The fault that a word of damage is by itself, where it is said of no thing of the rules."""
    item = told.items[at]
    if item.role("negation") and any(word > at for word in told.words):
        return []  # lacks any damage
    if nearest is not None and item.role("renewal") and told.items[nearest].role("label"):
        return []  # the box is newer
    if nearest is not None and _of_text(told, nearest) and not _is_part(told, nearest, damages):
        return []
    bare = tuple((told.making.bare[each], "") for each in damages if each in told.making.bare)
    # Of something else than what the segment before spoke of: `felt on the back gone`.
    own = nearest is not None or any(
        other.value_of(*PLACE_FEATURES) for other in told.items[told.clause(at)[0] : at]
    )
    from markrules.notes.damage_joined import of_joined

    alike = of_joined(told, at, nearest) if nearest is not None else []
    return [told.made(at, None, bare if own else ()), *alike]


def _goes_by_itself(told: Told, at: int) -> bool:
    """Whether a little word tells of damage: it ends its clause (not `goes out past the edge`)
    or stands right behind its thing (`plating off the inside`), and no other damage stands
    right before it (not `snapped off`).
    """
    item, before = told.items[at], told.items[at - 1] if at else None
    if before is None or before.end != item.first:
        return told.ends_clause(at)
    if at - 1 in told.words:
        return False
    following = told.items[at + 1] if at + 1 < len(told.items) else None
    led_on = following is not None and following.role("opening")
    return told.ends_clause(at) or (before.role("thing") and led_on)


def _of_any_part(told: Told, at: int, damages: tuple[str, ...], beside: list[int]) -> list[Damaged]:
    """What a damage that is no fault by itself makes of any part beside it, or of what the
    segment before spoke of, where this one says nothing else.
    """
    item = told.items[at]
    for thing in beside:
        if not told.making.parts.isdisjoint(told.names[thing]):
            for part in (PART, PART_BEFORE) if thing < at else (PART,):
                choices = tuple(
                    (fault, part)
                    for damage in damages
                    for fault in told.making.of.get((damage, part), ())
                )
                if choices:
                    from markrules.notes.damage_joined import of_joined

                    return [told.made(at, thing, choices), *of_joined(told, at, thing)]
    if any(each in told.making.of_such_pieces for each in damages):
        return [told.made(at, None, ())]
    if item.meaning.tells_fault:  # its words are a fault by themselves
        return []
    if item.role(DAMAGE_OF_ONE) and item.means("value"):  # glued: how the piece was made
        return []
    counted = told.number_before(at) and not item.role("renewal") and not beside
    if counted or (_alone(told, at) and not item.role("giver")):  # not `I've had it`
        return [told.made(at, None, ())]
    return _of_what_is_no_part(told, at, damages, beside)


def _of_what_is_no_part(
    told: Told, at: int, damages: tuple[str, ...], beside: list[int]
) -> list[Damaged]:
    """What a damage that is no fault by itself, and nothing else, is at the end of its clause,
    behind a thing that the rules know as no part: `hair compartment empty`.
    """
    item = told.items[at]
    no_thing = {"piece", COLOUR}
    before = [each for each in beside if each < at and not no_thing >= {*told.names[each]}]
    describes = item.means("value") or item.means("feature") or item.role("renewal", "giver")
    if not before or describes or not told.ends_clause(at):
        return []
    if not all(told.is_little(between) for between in range(before[0] + 1, at)):
        return []  # the flower shakes when you move it
    choices = tuple(
        (fault, PART_BEFORE) for damage in damages for fault in told.making.of_a_part(damage)
    )
    return [told.made(at, before[0], choices)] if choices else []


def _alone(told: Told, at: int) -> bool:
    """Whether nothing else is said in the segment but little words."""
    return all(
        at == other or item.role("filler", "join", "break") or item.means("certainty")
        for other, item in enumerate(told.items)
    )


def _is_parted(told: Told, at: int, thing: int) -> bool:
    """Whether another word of damage, or `and`, stands between a word of damage and a thing."""
    between = range(min(at, thing) + 1, max(at, thing))
    return any(other in told.words or told.items[other].role("join") for other in between)


def _of_text(told: Told, at: int) -> bool:
    """Whether an item speaks of marks or labels, where denial is told otherwise."""
    return told.items[at].role("mark-noun", "label", "mark", "absent")


def _is_part(told: Told, at: int, damages: tuple[str, ...]) -> bool:
    """Whether what holds text is damaged as a part, and not gone: `lid dented`."""
    gone = not told.making.counted.keys().isdisjoint(damages)
    return told.items[at].role("thing") and not gone
