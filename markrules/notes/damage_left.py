"""Damage that no word tells: what is excepted from something sound, the rest of what is left."""

from __future__ import annotations

from markrules.notes.damage_told import EXCEPTION, SOUND, Damaged, Told, damage_names
from markrules.notes.items import Item

LEFT = "left"
"""The role of words for what is still there; its target is the damage of the rest."""
JUST = "few-left"
"""The role of words that tell that a number is too small: `only`."""


def excepted_in(told: Told) -> list[Damaged]:
    """What is excepted from something sound, where no word tells what is wrong with it:
    `undamaged except for the catch`.
    """
    made: list[Damaged] = []
    for at, item in enumerate(told.items):
        if not item.role(EXCEPTION):
            continue
        behind = range(at + 1, len(told.items))
        if any(other in told.words or told.items[other].meaning.tells_fault for other in behind):
            continue
        said = _excepted_from(told, at)
        damages = damage_names(told.items[said]) if said in told.words else ()
        damages = _sound(told.items[said]) or damages if said >= 0 else ()
        things = [other for other in behind if told.names[other]]
        if not things and said == at:  # the catch is the only problem
            things = [other for other in range(at) if told.names[other]][-1:]
        elif not things and told.ends_clause(at):  # all stones there bar one
            things = [other for other in range(at) if _is_of(told, said, other)][-1:]
        for thing in things[:1]:  # what is further off has words of its own
            for other in (thing, *(told.joined(thing, at) if thing > at else ())):
                choices = told.choices(damages, other) or told.as_any_part(damages, other)
                if choices:
                    made.append(told.made(at, other, choices)._replace(damages=damages))
    return made


def left_in(told: Told) -> list[Damaged]:
    """The rest of so many things, where it is told how many are left: `5 of 6 drops remain`."""
    made: list[Damaged] = []
    for at, item in enumerate(told.items):
        if not item.role(LEFT):
            continue
        thing = at - 1
        while thing >= 0 and told.items[thing].role("filler") and not told.names[thing]:
            thing -= 1
        gone = _short_of(told, told.items[thing].end - 1) if thing >= 0 else 0
        damages = tuple(
            sense.value for sense in item.senses if sense.kind == "role" and sense.name == LEFT
        )
        none = gone == 0 and thing >= 0 and _none_of(told, thing, at)
        choices: tuple[tuple[str, str], ...] = ()
        if gone > 0 or none:
            choices = told.choices(damages, thing) or told.by_itself(damages, thing)
        if choices:
            rest = told.made(at, thing, choices)._replace(damages=damages)
            made.append(
                rest._replace(none_left=True) if none else rest._replace(counted=True, number=gone)
            )
    return made


def _sound(item: Item) -> tuple[str, ...]:
    """What is wrong with what is excepted from words for something sound."""
    return tuple(
        sense.value for sense in item.senses if sense.kind == "role" and sense.name == SOUND
    )


def _is_of(told: Told, said: int, thing: int) -> bool:
    """Whether what is sound, or its damage denied, stands in these words: `stones all there`,
    `no stones missing`.
    """
    return thing == said if told.items[said].role(SOUND) else bool(told.names[thing])


def _none_of(told: Told, thing: int, at: int) -> bool:
    """Whether no more than little words and a denial, or words for a few, stand before a thing,
    of which so none or few are left, and nothing behind: `no foil left`, `only one prong left`.
    """
    before = thing - 1
    while before >= 0 and told.items[before].role("filler", "count"):
        if told.items[before].role("negation"):
            break
        before -= 1
    denied = before >= 0 and told.items[before].role("negation")
    return (denied or _is_one_of(told, thing)) and told.ends_clause(at)


def _is_one_of(told: Told, thing: int) -> bool:
    """Whether a few of several are spoken of, by a word that says so: `only one prong`."""
    before = thing - 1
    while before >= 0 and told.items[before].role("filler", "count"):
        if told.items[before].role(JUST):
            return told.number_before(thing)
        before -= 1
    return False


def _short_of(told: Told, first: int) -> int:
    """How many are wanting of those counted right before a token: 1 of `5 of the 6`."""
    counts = [at for at in range(max(0, first - 6), first) if told.tokens.numeric[at]]
    if len(counts) < 2:
        return 0
    few, all_of_them = counts[-2:]
    little = [each for each in told.items if few < each.first < all_of_them]
    near = first - all_of_them <= 2 and few < all_of_them - 1
    # `10 of 12 stones still there`; with more between, the two numbers count different things.
    if not near or not all(each.role("filler", "link") for each in little):
        return 0
    folds = told.tokens.folded
    if not (folds[few].isdigit() and folds[all_of_them].isdigit()):
        return 0
    return int(folds[all_of_them]) - int(folds[few])


def _excepted_from(told: Told, at: int) -> int:
    """The item with the last words before an exception, or of it, for something sound (`only
    fault is`), or for damage, which is then denied; -1 where there is none.
    """
    for other in range(at, -1, -1):
        if told.items[other].role(SOUND):
            return other
        if other in told.words:
            return other if _is_denied(told, other) else -1
    return -1


def _is_denied(told: Told, at: int) -> bool:
    """Whether a denial stands before a word of damage in its clause."""
    return any(item.role("negation") for item in told.items[told.clause(at)[0] : at])
