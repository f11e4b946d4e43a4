"""Which feature a measure belongs to."""

from __future__ import annotations

from markrules.knowledge.observation import Observation
from markrules.language.tree import Feature
from markrules.notes.dating import features_named
from markrules.notes.items import LINKS, Item
from markrules.notes.tokens import INCH_SIGNS, Tokens
from markrules.notes.vocabulary import PART_SIZE, UNITS, WHOLE_SIZE, Vocabulary


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
        of_part = measure.dimension == "length" and (
            _of_a_part(vocabulary, tokens, items, position)
            if named is None
            else _led_to(vocabulary, tokens, items, position) and named in bare
        )
        if of_part and _led_to(vocabulary, tokens, items, position):
            own = _of_dimension(vocabulary, tokens, items, position - 1, measure.dimension)
            named = own if own is not None and own not in bare else None
        if named is not None:
            chosen = [named, *(each for each in bare if each is not named)]
        elif of_part or (
            _led_to(vocabulary, tokens, items, position, piece=True)
            and "length" in {o.feature for o in observations}
        ):
            chosen = [features[PART_SIZE]] * len(numbers) if PART_SIZE in features else []
            assumed = assumed or "taken as the size of a part"
        else:
            chosen = bare
            numbers.sort(reverse=True)
        words = tokens.slice(item.first, item.end)
        if tokens.text.startswith(INCH_SIGNS, tokens.ends[item.end - 1]):
            words += '"'
        seen = {each.feature for each in observations}
        if named is not None and named.name in seen:  # 5 cm long, 3 cm high
            chosen = [*(each for each in bare if each.name not in seen), *chosen]
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


def _named(
    vocabulary: Vocabulary, tokens: Tokens, items: list[Item], position: int, dimension: str
) -> Feature | None:
    """The number feature named by the next item, or by the nearest one before."""
    labelled = _labelled(vocabulary, tokens, items, position, dimension)
    if labelled is not None:
        return labelled
    before = range(position - 1, -1, -1)
    behind = () if _leads_to_a_measure(vocabulary, tokens, items, position + 1) else (position + 1,)
    for at in (*behind, *before):
        if at < len(items) and items[at].measure is not None:
            break
        found = _of_dimension(vocabulary, tokens, items, at, dimension)
        if found is not None:
            return found
    return None


def _leads_to_a_measure(vocabulary: Vocabulary, tokens: Tokens, items: list[Item], at: int) -> bool:
    """Whether words begin with a little one that leads to something else, and its own measure
    follows: `pendant 2 cm on chain 40 cm`.
    """
    if at + 1 >= len(items) or items[at + 1].measure is None:
        return False
    linked = _begins_with_a_link(vocabulary, tokens, items[at])
    return linked and items[at].end == items[at + 1].first


def _begins_with_a_link(vocabulary: Vocabulary, tokens: Tokens, item: Item) -> bool:
    first = vocabulary.words.first(tokens.folded[item.first])
    return first is not None and not first.meaning.roles.isdisjoint(LINKS)


def _labelled(
    vocabulary: Vocabulary, tokens: Tokens, items: list[Item], position: int, dimension: str
) -> Feature | None:
    """The number feature named right before a measure, where that is how they are told: by a
    colon (`Length: 9 cm Width: 6 cm`), or since all names go before (`width 27 mm x height 36 mm`).
    """
    named = _of_dimension(vocabulary, tokens, items, position - 1, dimension)
    if named is None or items[position - 1].end != items[position].first:
        return None
    gap = slice(tokens.ends[items[position - 1].end - 1], tokens.starts[items[position].first])
    if ":" in tokens.text[gap]:
        return named
    measures = [at for at, item in enumerate(items) if item.measure is not None]
    first, behind = measures[0] - 1, measures[-1] + 1
    led = _of_dimension(vocabulary, tokens, items, first, dimension) is not None
    named_last = _of_dimension(vocabulary, tokens, items, behind, dimension) is not None
    return named if led and not named_last else None


def _of_dimension(
    vocabulary: Vocabulary, tokens: Tokens, items: list[Item], at: int, dimension: str
) -> Feature | None:
    """The number feature of this dimension that an item names."""
    if not 0 <= at < len(items) or _only_parts(tokens, items, items[at]):
        return None
    features = vocabulary.base.features
    for name in features_named(vocabulary, tokens, items[at], "number"):
        if UNITS.get(features[name].unit, ("",))[0] == dimension:
            return features[name]
    return None


def _only_parts(tokens: Tokens, items: list[Item], item: Item) -> bool:
    """Whether a letter is the little word and no measure: `16 in w extension`, not `2 in w`."""
    if not item.role(*LINKS) or item.end > item.first + 1 or len(tokens.folded[item.first]) > 1:
        return False
    following = next((each for each in items if each.first == item.end), None)
    return following is not None and following.measure is None and not following.role("times")


def _of_a_part(vocabulary: Vocabulary, tokens: Tokens, items: list[Item], position: int) -> bool:
    """Whether the measure is of something other than the piece: a stone of 17 mm."""
    if _led_to(vocabulary, tokens, items, position):
        return True
    behind = items[position + 1] if position + 1 < len(items) else None
    led = behind is None or behind.role("filler") or _begins_with_a_link(vocabulary, tokens, behind)
    if led and position and _touches(items, position) and items[position - 1].means("piece"):
        return False
    following = [item for item in items[position + 1 :] if not item.role("filler", *LINKS)]
    if following and following[0].role("how-measured"):  # a bangle of 57 mm inside
        return False
    if following and _part(vocabulary, following[0]):
        return True
    before = [item for item in items[:position] if not item.role("filler", *LINKS)]
    if before and before[-1].role("describing") and not before[-1].means("piece"):
        return True
    others = [item for item in items if item is not items[position]]
    if any(item.means("piece") for item in others):
        return False
    return any(_part(vocabulary, item) for item in others)


def _touches(items: list[Item], position: int) -> bool:
    """Whether nothing stands between a measure and the item before it."""
    return items[position - 1].end == items[position].first


def _led_to(
    vocabulary: Vocabulary, tokens: Tokens, items: list[Item], position: int, *, piece: bool = False
) -> bool:
    """Whether right before a measure stands a part that a little word leads to: `with a drop 2 cm`;
    or, where a `piece` is asked for, another piece: `with pendant 2 cm`.
    """
    at = position - 1
    if at < 1 or not _touches(items, position) or items[at].measure is not None:
        return False
    last = vocabulary.words.first(tokens.folded[items[at].end - 1])
    meaning = last.meaning if last is not None and _many(items[at]) else items[at].meaning
    own = any(
        sense.kind == "feature" and sense.name not in WHOLE_SIZE["length"]
        for sense in meaning.senses
    )
    if piece:
        if "piece" not in meaning.kinds:
            return False
    elif "thing" not in meaning.roles or ("piece" in meaning.kinds and not own):
        return False
    if _many(items[at]) and _begins_with_a_link(vocabulary, tokens, items[at]):
        return True
    before = at - 1
    while before > 0 and items[before].role("filler") and not items[before].role(*LINKS):
        before -= 1
    return items[before].role(*LINKS) and before > 0


def _many(item: Item) -> bool:
    """Whether an item is a phrase of several words."""
    return item.end > item.first + 1


def _part(vocabulary: Vocabulary, item: Item) -> bool:
    """Whether the words name a part or a stone, and not the piece or what is measured."""
    features = vocabulary.base.features
    return not item.means("piece") and any(
        sense.kind == "value"
        or (sense.kind == "feature" and features[sense.name].kind not in ("number", "year", "text"))
        for sense in item.senses
    )
