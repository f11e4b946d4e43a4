"""Damage told of several things in one breath: `two stones and a drop missing`."""

from __future__ import annotations

from markrules.notes.damage_told import Damaged, Told, damage_names
from markrules.notes.items import Item


def of_any_kind(told: Told, at: int, thing: int) -> list[Damaged]:
    """What a word of damage makes of a thing, of any kind that it may be."""
    choices = told.of_any(damage_names(told.items[at]), thing)
    return [told.made(at, thing, choices)] if choices else []


def of_joined(told: Told, at: int, thing: int) -> list[Damaged]:
    """What a word of damage makes of the things joined to its own."""
    joined = (*told.joined(thing, at), *(_added(told, at) if thing < at else ()))
    return [each for other in joined for each in of_any_kind(told, at, other)]


def spread_in(told: Told) -> list[Damaged]:
    """What is told of things joined to one whose damage is a phrase of its own: the stones of
    `two stones and a petal missing`.
    """
    made: list[Damaged] = []
    for at, item in enumerate(told.items):
        if item.end - item.first < 2 or at in told.words or not item.meaning.tells_fault:
            continue
        for token, step in ((item.end - 1, -1), (item.first, 1)):
            damages = told.making.bare_words.get(told.tokens.folded[token], ())
            things = told.joined_on(at, step) if damages else []
            if damages and step < 0:
                things += _added(told, at)
            # The phrase itself is read as a value; told here is what its last word adds.
            word = Item(item.end - 1, item.end)
            for thing in things:
                choices = told.of_any(damages, thing)
                if choices:
                    more = told.made(at, thing, choices)
                    made.append(more._replace(item=word, damages=damages))
    return made


def _added(told: Told, at: int) -> list[int]:
    """The thing that is joined behind a word of damage whose own thing stands before it, and
    ends what is said: `one stone missing as well as the pin`. Behind a single `and` it is a
    bare part with an article: `one stone missing and the pin`.
    """
    joint = at + 1
    if joint >= len(told.items) or not told.items[joint].role("join"):
        return []
    following = told.past_little(joint + 1, 1)
    if following != len(told.items) - 1 or following in told.words:
        return []
    if told.items[joint].end > told.items[joint].first + 1:
        return [following] if told.names[following] else []
    articles = told.items[joint + 1 : following]
    led = bool(articles) and not any(each.role("count") for each in articles)
    bare = told.items[following].role("thing") and not told.items[following].means("value")
    return [following] if led and bare and not told.number_before(following) else []
