"""Which values a word means in its segment, by all that stands beside it."""

from __future__ import annotations

from markrules.language.builtin import COLOUR
from markrules.notes.items import LINKS, Item
from markrules.notes.laid import Laid
from markrules.notes.vocabulary import (
    DATE_LETTER,
    DEVICE_NOUN,
    MARK_FORM,
    MARK_PREFIXES,
    MARK_STATE,
    PICTURED_FEATURES,
    PLACE_FEATURES,
    PLACED_FEATURES,
)


def values_meant(laid: Laid, item: Item, on_mark: bool) -> tuple[list[tuple[str, str]], bool]:
    """The values that an item means here, and whether they are doubtful. `on_mark`: the segment
    speaks of a mark.
    """
    values = [(sense.name, sense.value) for sense in item.senses if sense.kind == "value"]
    if item.first in laid.telling:
        values = [] if not item.role("thing") else [each for each in values if each[0] != "fault"]
    values, doubted = laid.materials.without_coats(item, values)
    values = laid.materials.as_told(item, values)
    excepted = item.first in laid.harmed and item.role("sound")  # all stones there bar one
    if excepted or laid.materials.names_a_place(item):
        values = []
    if _before_damage(laid, item):  # a tiny chip is no small piece
        values = [each for each in values if not _describes(laid, each[0])]
    values = _not_of_marks(laid, item, values, on_mark)
    if _is_device(laid, item):
        values = _of_device(laid, item, values)
    return _pictured(laid, item, values), doubted


def _not_of_marks(
    laid: Laid, item: Item, values: list[tuple[str, str]], on_mark: bool
) -> list[tuple[str, str]]:
    """The values without what would be said of a mark, where words tell of something else:
    `rubbed` of no mark, `on the back` of a wire.
    """
    of_marks = (*PLACE_FEATURES, MARK_STATE)
    if any(name in of_marks for name, _ in values):
        harm = item.role("damage") and not on_mark
        if harm or _place_of_a_thing(laid, item, on_mark):
            values = [each for each in values if each[0] not in of_marks]
    if any(name == MARK_FORM for name, _ in values) and _form_of_a_thing(laid, item):
        values = [each for each in values if each[0] != MARK_FORM]
    if not _of_letters(laid, item):
        values = [each for each in values if not each[0].startswith(f"{DATE_LETTER}-")]
    return values


def _of_letters(laid: Laid, item: Item) -> bool:
    """Whether words beside an item, or it by its several words, speak of a date letter: `plain`
    and `small` alone do not.
    """
    if item.end > item.first + 1:
        return True
    return any(
        sense.kind in ("feature", "value") and sense.name.startswith((DATE_LETTER, "hallmark"))
        for other in laid.items
        if other is not item
        for sense in other.senses
    )


def _pictured(laid: Laid, item: Item, values: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """The values without pictures where nothing is pictured; none at all where what may be a
    picture tells of where the piece came from: `from a lion house`, and no assay office or
    the like either: `bought in Chester`.
    """
    of_story = item.first in laid.of_story
    if of_story:
        values = [each for each in values if each[0] not in PLACED_FEATURES]
    if all(name not in PICTURED_FEATURES for name, _ in values):
        return values
    if of_story:
        return []
    if _is_no_picture(laid, item):
        return [each for each in values if each[0] not in PICTURED_FEATURES]
    return values


def _is_no_picture(laid: Laid, item: Item) -> bool:
    """Whether the words are a part that is damaged (`one butterfly missing`) or a little word:
    `does` is no doe.
    """
    harmed = item.first in laid.harmed and item.role("thing")
    return harmed or item.role("filler", *LINKS)


def _is_device(laid: Laid, item: Item) -> bool:
    """Whether the words name the device of a mark: `marked leaf`."""
    first, end = laid.tokens.starts[item.first], laid.tokens.ends[item.end - 1]
    return any(start <= first and end <= stop for start, stop in laid.written.pictures)


def _of_device(laid: Laid, item: Item, values: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """What the words for a device mean of the mark; they picture nothing on the piece."""
    own = [each for each in values if each[0].startswith(MARK_PREFIXES)]
    if own:
        return own
    words = [*laid.tokens.folded[item.first : item.end], DEVICE_NOUN]
    found = laid.vocabulary.words.longest(words, [False] * len(words), 0)
    if found is None or found[0] < len(words):
        return []
    return [
        (sense.name, sense.value)
        for sense in found[1].senses
        if sense.kind == "value" and sense.name.startswith(MARK_PREFIXES)
    ]


def _place_of_a_thing(laid: Laid, item: Item, on_mark: bool) -> bool:
    """Whether a place for marks tells where something else is: `a wire on the back`."""
    if on_mark or not laid.vocabulary.lead_words.isdisjoint(laid.tokens.folded):
        return False
    named = any(laid.tokens.raw(index)[0].isupper() for index in laid.matched.unknown)
    return not named and any(
        (other.role("thing", "damage") and not _of_text(other))
        or any(
            sense.kind == "value" and not sense.name.startswith(MARK_PREFIXES)
            for sense in other.senses
        )
        for other in laid.items
        if other is not item
    )


def _form_of_a_thing(laid: Laid, item: Item) -> bool:
    """Whether the form of a mark is that of something else: leaves `in a curve`."""
    if laid.written.places or not laid.vocabulary.lead_words.isdisjoint(laid.tokens.folded):
        return False
    return any(
        sense.kind == "value" and not sense.name.startswith((*MARK_PREFIXES, COLOUR))
        for other in laid.items
        if other is not item
        for sense in other.senses
    )


def _of_text(item: Item) -> bool:
    """Whether words for a thing are those of text: `stamp on the back`."""
    return item.role("mark", "mark-noun", "label")


def _before_damage(laid: Laid, item: Item) -> bool:
    """Whether an item stands right before a word of damage, and is not what is pictured and harmed
    itself: `star loose`.
    """
    pictured = item.value_of(*PICTURED_FEATURES)
    return any(
        each.item.first == item.end and not (pictured and each.thing == item)
        for each in laid.damaged
    )


def _describes(laid: Laid, name: str) -> bool:
    feature = laid.vocabulary.feature(name)
    return feature is not None and feature.describes and name != "fault"
