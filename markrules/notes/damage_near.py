"""Which things a word of damage may be said of, the likeliest first."""

from __future__ import annotations

from markrules.language.roles import DAMAGE_OF_ONE
from markrules.notes.damage_told import EXCEPTION, SOUND, Told, damage_names
from markrules.notes.vocabulary import PLACE_FEATURES

_PASSED = frozenset(("filler", "count", "describing", "times"))


def likeliest_things(told: Told, at: int) -> list[int]:
    """The things of the clause, likeliest first; the piece itself comes last."""
    low, high = told.clause(at)
    begins = _begins_with_thing(told, low, high)
    things = _things_in(told, low, high, at)
    nearest = sorted(things, key=lambda other: _cost(told, at, other, begins))
    nearest = nearest or _before_contrast(told, at)
    if low > 0 and told.items[low - 1].role(EXCEPTION):  # enamel perfect except for one chip
        before = _things_in(told, told.clause(low - 1)[0], low, at)
        nearest += [other for other in reversed(before) if not told.opaque(other)]
    return nearest


def things_beside(told: Told, at: int, damages: tuple[str, ...]) -> list[int]:
    """The things right beside a word of damage, with none but little words between.

    Behind it a thing of which the damage makes nothing may stand before its noun: `modern
    silver hooks`.
    """
    found = []
    last = told.ends_clause(at)
    for step in (-1,) if _leads_on(told, at) else (-1, 1):
        other = at + step
        while 0 <= other < len(told.items):
            if told.names[other] and not told.is_told(other):
                if step > 0 and _is_the_piece(told, other):  # a modern locket set with paste
                    break
                found.append(other)
                if step < 0 and _is_place(told, other):
                    other = _before_link(told, other)
                    continue
                if step < 0 or told.choices(damages, other):
                    break
                noun = other + 1
                if noun < len(told.items) and told.names[noun] and not told.is_told(noun):
                    found.append(noun)
                break
            if other not in told.words and not _may_pass(told, other, step, last):
                break
            other += step
    if not found:
        found = _before_contrast(told, at)
    gaps = {other: abs(told.items[other].first - told.items[at].first) for other in found}
    return sorted(
        found,
        key=lambda other: (
            set(told.names[other]) <= {"piece"},
            other < at and _is_place(told, other),
            gaps[other],
        ),
    )


def _before_contrast(told: Told, at: int) -> list[int]:
    """The last thing of the clause before, where the clause of a word of damage says nothing else:
    `stone still in but loose`. What may as well describe a thing is no damage so far from it.
    """
    low, high = told.clause(at)
    clause = told.items[low:high]
    only = all(each.role("filler") or each is told.items[at] for each in clause)
    describes = any(
        sense.kind == "value" and sense.name != "fault" for sense in told.items[at].senses
    )
    if low == 0 or not only or describes:
        return []
    before = _things_in(told, told.clause(low - 1)[0], low, at)
    named = [each for each in before if told.names[each] and not set(told.names[each]) <= {"piece"}]
    return named[-1:]


def _things_in(told: Told, low: int, high: int, at: int) -> list[int]:
    """What damage may be said of in a clause, what the rules know no damage of among it."""
    return [
        other
        for other in range(low, high)
        if other != at and (told.names[other] or told.opaque(other)) and not told.is_told(other)
    ]


def _cost(told: Told, at: int, other: int, begins_with_thing: bool) -> tuple[int, int, int]:
    """How far a thing is from a word of damage; the smaller the likelier.

    First whether it is a thing at all and no more than the piece; then how many words
    that mean something, other words of damage above all, stand between; then, of two
    equally near, what is said after its thing where the clause begins with a thing.
    """
    place = other < at and _is_place(told, other)
    only_piece = int(
        set(told.names[other]) <= {"piece"} or (place and told.items[other].means("piece"))
    )
    low, high = min(at, other) + 1, max(at, other)
    # Set by reason: another word of damage takes a thing to itself, `and` begins another one,
    # `with` leads on to one, and any other word that means something parts a little.
    cost = 0
    for between in range(low, high):
        item = told.items[between]
        if between in told.words:
            cost += 6
        elif item.role("join"):
            cost += 4
        elif item.role("link"):
            cost += 2
        elif not item.role(*_PASSED) and not item.means("certainty"):
            cost += 1
    after = other > at
    if after and _takes_object(told, at, other):
        cost -= 1
    elif after and begins_with_thing:
        cost += 1
    if not after and not begins_with_thing:
        cost += 1
    if place:  # as much as two words more: it is taken only where nothing else is near
        cost += 3
    if not after and low == high and _counted_before(told, at, other):
        cost -= 2
    return (only_piece, cost, high - low)


def _is_place(told: Told, thing: int) -> bool:
    """Whether a thing only tells where something is: `the stone at the back is gone`."""
    before = _before_link(told, thing) + 1
    if before >= thing or not told.items[before].role("link"):
        return False
    return not told.items[before].role("filler", "story-end")


def _before_link(told: Told, thing: int) -> int:
    """The item before the little word that leads to a thing, or right before the thing."""
    before = thing - 1
    while before >= 0 and told.is_little(before) and not told.items[before].role("link"):
        before -= 1
    return before - 1 if before >= 0 and told.items[before].role("link") else thing - 1


def _counted_before(told: Told, at: int, thing: int) -> bool:
    """Whether a counted thing stands before a word of damage that no article follows:
    `3 stones missing rollover`, `stones 3 missing`, not `12 stones missing its catch`.
    """
    following = at + 1
    led_on = following < len(told.items) and told.items[following].role("filler")
    behind = told.items[thing].end
    counted = behind == told.items[at].first - 1 and told.tokens.numeric[behind]
    return not led_on and (told.number_before(thing) or (counted and told.several(thing)))


def _begins_with_thing(told: Told, low: int, high: int) -> bool:
    """Whether a clause names a thing, other than the piece, before any damage: then it goes on
    thing by thing, and what is wrong follows what it is wrong with.
    """
    for other in range(low, high):
        if told.is_told(other):
            return False
        if told.opaque(other):
            return True
        if told.names[other] and not set(told.names[other]) <= {"piece"}:
            return True
    return False


def _takes_object(told: Told, at: int, other: int) -> bool:
    """Whether a word of loss stands right before a thing, and no other damage follows."""
    if told.making.counted.keys().isdisjoint(damage_names(told.items[at])):
        return False
    between = told.items[at + 1 : other]
    later = any(word > other for word in told.words)
    return not later and all(item.role("filler", "count") for item in between)


def _leads_on(told: Told, at: int) -> bool:
    """Whether a damage of single things leads on to what they are fixed to: it is said of what
    stands before. `Pads stuck on the clips`, `plastic glued onto a back`.
    """
    item = told.items[at]
    if item.role("link"):  # plating off the clasp
        return True
    if not item.role(DAMAGE_OF_ONE):
        return False
    if told.tokens.folded[item.end - 1] in told.making.links:
        return True
    return at + 1 < len(told.items) and told.items[at + 1].role("link")


def _is_the_piece(told: Told, at: int) -> bool:
    """Whether an item is a piece, or ends in its name, and no part of one: `clip earrings`,
    but not `pin` or `beads`.
    """
    item = told.items[at]
    if item.role("thing"):
        return False
    if item.end == item.first + 1:
        return item.means("piece") and not item.means("value")
    words = told.tokens.folded[item.first : item.end]
    if not told.making.links.isdisjoint(words):  # a clip on one earring
        return False
    if words[-1] in told.making.nouns and not item.means("piece"):  # glass beads
        return False
    return words[-1] in told.making.pieces


def _may_pass(told: Told, at: int, step: int, last: bool) -> bool:
    """Whether a word may stand between a thing and what is said of it.

    Behind the last word of a clause more may: `the stone on the left side is loose`.
    """
    item = told.items[at]
    if item.role("filler", "count", "describing", "join") or item.means("certainty"):
        return True
    if step < 0 and item.role(EXCEPTION, SOUND):  # enamel good apart from a flake
        return True
    if step < 0 and item.value_of(*PLACE_FEATURES):  # plating on the clasp worn
        return True
    if item.role("negation") and step < 0:  # the hinge isn't loose
        return True
    adverb = not item.senses and not told.opaque(at) and item.measure is None
    return adverb or (item.role("link") and (step > 0 or last))
