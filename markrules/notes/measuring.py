"""Which feature a measure or a year belongs to."""

from __future__ import annotations

from typing import NamedTuple

from markrules.inference.observation import Observation
from markrules.language.tree import Feature
from markrules.notes.matching import Item
from markrules.notes.quantities import INCH_SIGNS
from markrules.notes.tokens import Tokens
from markrules.notes.vocabulary import PART_SIZE, TOLD_YEAR, UNITS, WHOLE_SIZE, Vocabulary


class YearSeen(NamedTuple):
    """A year and the feature it was read for; `heard` where nothing says what it is a year of."""

    feature: str
    value: str
    number: float
    years: tuple[int, int]
    heard: bool


def year_seen(
    vocabulary: Vocabulary,
    tokens: Tokens,
    items: list[Item],
    item: Item,
    named: tuple[str, ...] = (),
) -> YearSeen | None:
    """The year of this item with the feature that the words nearest before it name.

    `named` holds features that something else names already.
    """
    years = item.years
    if years is None:
        return None
    value = str(years.first) if years.exact else f"{years.first}-{years.last}"
    span, number = (years.first, years.last), float(years.first)
    for name in named:
        if vocabulary.base.features[name].kind == "year":
            return YearSeen(name, value, number, span, False)
    before = [other for other in items if other.end <= item.first]
    after = [other for other in items if other.first >= item.end]
    for other in (*reversed(before), *after):
        if other.years is not None and other in before:
            break
        for name in _features(vocabulary, tokens, other, "year"):
            return YearSeen(name, value, number, span, vocabulary.base.features[name].describes)
    if TOLD_YEAR not in vocabulary.base.features:
        return None
    return YearSeen(TOLD_YEAR, value, number, span, True)


def measured(
    vocabulary: Vocabulary, tokens: Tokens, items: list[Item], certainty: str, heard: bool
) -> list[Observation]:
    """The measures of a segment as observations, in each feature's own unit.

    The feature is the one named nearest after or before (`4 cm long`, `width 3 cm`); a bare
    measure is the whole piece's, or, where the segment speaks of something else, a part's.
    """
    observations: list[Observation] = []
    features = vocabulary.base.features
    for position, item in enumerate(items):
        measure = item.measure
        if measure is None:
            continue
        bare = [
            features[name] for name in WHOLE_SIZE.get(measure.dimension, ()) if name in features
        ]
        numbers, assumed = list(measure.numbers), ""
        if measure.span:
            numbers, assumed = [sum(numbers) / len(numbers)], "middle of the range given"
        named = _named(vocabulary, tokens, items, position, measure.dimension)
        if named is not None:
            chosen = [named, *(each for each in bare if each is not named)]
        elif measure.dimension == "length" and _of_a_part(vocabulary, items, position):
            chosen = [features[PART_SIZE]] * len(numbers) if PART_SIZE in features else []
            assumed = assumed or "taken as the size of a part"
        else:
            chosen = bare
            numbers.sort(reverse=True)
        words = tokens.slice(item.first, item.end)
        if tokens.text.startswith(INCH_SIGNS, tokens.ends[item.end - 1]):
            words += '"'
        for feature, number in zip(chosen, numbers, strict=False):
            observations.append(
                Observation(
                    feature.name,
                    words,
                    number=round(number / UNITS[feature.unit][1], 4),
                    certainty=certainty,
                    heard=heard,
                    words=words,
                    assumed=assumed,
                )
            )
    return observations


def _features(vocabulary: Vocabulary, tokens: Tokens, item: Item, kind: str) -> list[str]:
    """The features of a kind that an item names, or else one of its words (`inside engraved`)."""
    features = vocabulary.base.features
    single = [
        sense
        for word in tokens.folded[item.first : item.end]
        if (node := vocabulary.words.first(word)) is not None
        for sense in node.meaning.senses
    ]
    return [
        sense.name
        for sense in (*item.senses, *single)
        if sense.kind == "feature" and sense.name in features and features[sense.name].kind == kind
    ]


def _named(
    vocabulary: Vocabulary, tokens: Tokens, items: list[Item], position: int, dimension: str
) -> Feature | None:
    """The number feature named by the next item, or by the nearest one before."""
    features = vocabulary.base.features
    following = items[position + 1 : position + 2]
    before = reversed(items[:position])
    for item in (*following, *before):
        if item.measure is not None:
            break
        for name in _features(vocabulary, tokens, item, "number"):
            if UNITS.get(features[name].unit, ("",))[0] == dimension:
                return features[name]
    return None


def _of_a_part(vocabulary: Vocabulary, items: list[Item], position: int) -> bool:
    """Whether the measure is of something other than the piece: a stone of 17 mm."""
    following = [item for item in items[position + 1 :] if not item.role("filler", "link")]
    if following and _part(vocabulary, following[0]):
        return True
    before = [item for item in items[:position] if not item.role("filler", "link")]
    if before and before[-1].role("describing"):
        return True
    others = [item for item in items if item is not items[position]]
    if any(item.means("piece") for item in others):
        return False
    return any(_part(vocabulary, item) for item in others)


def _part(vocabulary: Vocabulary, item: Item) -> bool:
    """Whether the words name a part or a stone, and not the piece or what is measured."""
    features = vocabulary.base.features
    return not item.means("piece") and any(
        sense.kind == "value"
        or (sense.kind == "feature" and features[sense.name].kind not in ("number", "year", "text"))
        for sense in item.senses
    )
