"""The words of a segment matched against the vocabulary: longest phrase first, left to right."""

from __future__ import annotations

from dataclasses import field
from itertools import pairwise

from markrules.frozen import dataclass
from markrules.language.builtin import COLOUR
from markrules.language.roles import DAMAGE_ROLES
from markrules.notes.items import Item
from markrules.notes.listed_names import listed_names, names_a_maker
from markrules.notes.senses import Meaning, Sense
from markrules.notes.tokens import Tokens, ends_an_ordinal
from markrules.notes.vocabulary import INSCRIPTION, METAL_FEATURES, Vocabulary

LONGEST_UNDER_HEAD = 3
"""Words behind a head and its colon that are looked up with it: `clasp: push-in box`."""
MOST_LED_ON = 3
"""Little words between a denied thing and its damage at most: `no prongs that are broken`."""
_ANNOUNCING = Meaning((Sense("role", "filler"),))


@dataclass(slots=True)
class Matched:
    """The items of a segment, the tokens that nothing fits, and the slips that were put right.

    `names` holds where listed makers' names of several words in capitals begin, with their ends:
    their words are among those that nothing fits, whatever they mean elsewhere.
    """

    items: list[Item] = field(default_factory=list)
    unknown: list[int] = field(default_factory=list)
    slips: dict[int, str] = field(default_factory=dict)
    names: dict[int, int] = field(default_factory=dict)


def matched(vocabulary: Vocabulary, tokens: Tokens, shouting: bool = False) -> Matched:
    """The segment's items. Unknown words are looked at once more as spelling slips.

    `shouting` tells that the whole note is in capitals, which then show no name.
    """
    names = {} if shouting else listed_names(vocabulary, tokens)
    result = _walk(vocabulary, tokens, names)
    result.slips = _misspelt(vocabulary, tokens)
    named = {index for first, end in names.items() for index in range(first, end)}
    slips: dict[int, str] = {}
    for index in result.unknown:
        if index in named:
            continue
        begins = index == 0 and not tokens.text[: tokens.starts[0]].strip()  # not (c) Earley
        if shouting or not tokens.raw(index)[:1].isupper() or begins:
            from markrules.notes.spelling import corrected

            meant = corrected(vocabulary, tokens.folded[index])
            if meant and names_a_maker(vocabulary, tokens, index, meant, shouting):
                continue
            if meant or (meant := _fitting(vocabulary, tokens, index, names)):
                slips[index] = meant
    if slips:
        written = list(tokens.folded)
        for index, meant in slips.items():
            tokens.folded[index] = meant
        again = _walk(vocabulary, tokens, names)
        tokens.folded[:] = written
        # A word put right may break a phrase that was understood: kept only where less is lost.
        if len(again.unknown) < len(result.unknown):
            put_right = {key: value for key, value in slips.items() if key not in again.unknown}
            again.slips = {**result.slips, **put_right}
            return again
    return result


def _misspelt(vocabulary: Vocabulary, tokens: Tokens) -> dict[int, str]:
    """The words, by place, that the rules list as slips of the pen, as what they are read."""
    return {
        index: fold
        for index, fold in enumerate(tokens.folded)
        if not tokens.numeric[index] and tokens.raw(index).casefold() in vocabulary.misspelt
    }


def _fitting(vocabulary: Vocabulary, tokens: Tokens, index: int, names: dict[int, int]) -> str:
    """The one of several equally near words that makes a phrase with its neighbours: `pllated`
    is plated beside gold, where plaited is as near. Empty where none does, or phrases of different
    meanings.
    """
    from markrules.notes.spelling import nearest_words

    written = tokens.folded[index]
    fitting: dict[object, str] = {}
    for word in nearest_words(vocabulary, written):
        tokens.folded[index] = word
        for each in _walk(vocabulary, tokens, names).items:
            if each.first <= index < each.end and each.end - each.first > 1:
                fitting.setdefault(each.senses, word)
    tokens.folded[index] = written
    return next(iter(fitting.values())) if len(fitting) == 1 else ""


def matched_without(
    vocabulary: Vocabulary, tokens: Tokens, before: Matched, claimed: set[int]
) -> Matched:
    """The items once the `claimed` tokens are left out: `stamped AUSTRIA on the clasp` without
    its text is `stamped on the clasp`. Items give places among all tokens, as `before` does.
    """
    kept = [index for index in range(len(tokens)) if index not in claimed]
    folded = [before.slips.get(index, tokens.folded[index]) for index in kept]
    rest = Tokens(
        tokens.text,
        folded,
        [tokens.starts[index] for index in kept],
        [tokens.ends[index] for index in kept],
        [tokens.numeric[index] for index in kept],
    )
    place = {index: at for at, index in enumerate(kept)}
    names = {
        place[first]: place[end - 1] + 1
        for first, end in before.names.items()
        if all(index in place for index in range(first, end))
    }
    walked = _walked_apart(vocabulary, rest, names, kept)
    items = [
        item._replace(first=kept[item.first], end=kept[item.end - 1] + 1) for item in walked.items
    ]
    texts = [item for item in before.items if item.years is not None and item.first in claimed]
    return Matched(
        sorted(items + texts, key=lambda item: item.first),
        [kept[index] for index in walked.unknown],
        before.slips,
        before.names,
    )


def _walked_apart(
    vocabulary: Vocabulary, tokens: Tokens, names: dict[int, int], places: list[int]
) -> Matched:
    """The items of tokens between which others were left out, as their `places` tell.

    A type of piece makes no phrase over what was left out: `necklace 12K GF clasp bent` speaks of
    no `necklace clasp`. Nor do words for a person: `engraved J.R. to M.K.` is not `engraved to`.
    """
    whole = _walk(vocabulary, tokens, names)
    gaps = [at for at in range(1, len(places)) if places[at] > places[at - 1] + 1]
    cuts = [
        at for at in gaps if any(_is_split(vocabulary, tokens, each, at) for each in whole.items)
    ]
    if not cuts:
        return whole
    apart = Matched(names=names, slips=whole.slips)
    for first, end in pairwise([0, *cuts, len(tokens)]):
        part = Tokens(
            tokens.text,
            tokens.folded[first:end],
            tokens.starts[first:end],
            tokens.ends[first:end],
            tokens.numeric[first:end],
        )
        own = {at - first: to - first for at, to in names.items() if first <= at < end}
        walked = _walk(vocabulary, part, own)
        apart.items.extend(
            each._replace(first=each.first + first, end=each.end + first) for each in walked.items
        )
        apart.unknown.extend(at + first for at in walked.unknown)
    return apart


def _is_split(vocabulary: Vocabulary, tokens: Tokens, item: Item, at: int) -> bool:
    """Whether a phrase goes on over a place and is of a person, or its first word tells of an
    inscription, or of a type of piece and the phrase names none.
    """
    if not item.first < at < item.end or item.means("piece"):
        return False
    if item.role("person"):
        return True
    first = vocabulary.words.first(tokens.folded[item.first])
    return first is not None and (
        "piece" in first.meaning.kinds
        or any(each.kind == "feature" and each.name == INSCRIPTION for each in first.meaning.senses)
    )


def _walk(vocabulary: Vocabulary, tokens: Tokens, names: dict[int, int]) -> Matched:
    result = Matched(names=names)
    index, count = 0, len(tokens)
    headed = ":" in tokens.text
    while index < count:
        end = names.get(index, 0)
        if end or ends_an_ordinal(tokens, index):
            result.unknown.extend(range(index, end))
            index = end or index + 1
            continue
        item = item_at(vocabulary, tokens, index)
        if headed and result.items and index == result.items[0].end:
            item = _under_its_head(vocabulary, tokens, result.items[0], item)
        if index + 2 < count and tokens.folded[index + 1] in vocabulary.joins:
            item = _with_its_noun(vocabulary, tokens, index, item)
        if item is not None:
            item = _not_past_its_noun(vocabulary, tokens, _with_its_look(vocabulary, tokens, item))
        if item is not None and _lone_letter(tokens, item):
            before = result.items[-1] if result.items else None
            item = item if before is not None and before.measure is not None else None
        if item is not None and _first_initial(tokens, item, result.items):
            item = None
        item = _as_head(tokens, item) if item is not None and headed else item
        if item is not None and item.end > item.first + 1:
            item = _beside_damage(vocabulary, tokens, item, result.items)
        if item is not None and _article_and_letter(tokens, item):
            article = vocabulary.words.first(tokens.folded[index])
            item = Item(index, index + 1, article.meaning) if article is not None else None
        if item is not None:
            result.items.append(item)
            index = item.end
            continue
        if tokens.folded[index] != '"' and not tokens.numeric[index]:
            result.unknown.append(index)
        index += 1
    if headed:
        _quiet_heads(tokens, result.items)
    return result


def _quiet_heads(tokens: Tokens, items: list[Item]) -> None:
    """Let a word of damage before a colon tell nothing where other damage stands behind it, which
    it only announces: `one problem: the catch is stiff`.
    """
    last = max((at for at, item in enumerate(items) if _tells_damage(item)), default=0)
    for at in range(last):
        gap = tokens.text[tokens.ends[items[at].end - 1] : tokens.starts[items[at + 1].first]]
        if ":" in gap and _tells_damage(items[at]):
            items[at] = items[at]._replace(meaning=_ANNOUNCING)


def _tells_damage(item: Item) -> bool:
    return item.meaning.tells_fault or item.role(*DAMAGE_ROLES)


def _with_its_noun(
    vocabulary: Vocabulary, tokens: Tokens, index: int, item: Item | None
) -> Item | None:
    """A word with the noun that it shares with what is joined to it: `C or trombone catch`, `silver
    and gold tone`. The item as it was where the two are not of one kind.
    """
    if item is not None and (item.end > index + 1 or item.value_of(COLOUR)):
        return item
    following = item_at(vocabulary, tokens, index + 2)
    if following is None or following.end < index + 4 or not following.means("value"):
        return item
    whole = [tokens.folded[index], tokens.folded[following.end - 1]]
    found = vocabulary.words.longest(whole, [False, False], 0)
    if found is None or found[0] < len(whole):
        return item
    kinds = {sense.name for sense in following.senses if sense.kind == "value"} - {"fault"}
    alike = any(sense.kind == "value" and sense.name in kinds for sense in found[1].senses)
    return Item(index, index + 1, found[1]) if alike else item


def _under_its_head(
    vocabulary: Vocabulary, tokens: Tokens, head: Item, item: Item | None
) -> Item | None:
    """The words behind a head and its colon, as what they are with it: `clasp: box` a box clasp."""
    first = head.end
    gap = tokens.text[tokens.ends[first - 1] : tokens.starts[first]]
    if gap.strip() != ":" or head.end > head.first + 1 or not head.means("feature"):
        return item
    if item is not None and item.means("value"):
        return item
    for end in range(min(first + LONGEST_UNDER_HEAD, len(tokens)), first, -1):
        whole = [*tokens.folded[first:end], tokens.folded[head.first]]
        found = vocabulary.words.longest(whole, [False] * len(whole), 0)
        if found is not None and found[0] == len(whole) and "value" in found[1].kinds:
            return Item(first, end, found[1])
    return item


def _as_head(tokens: Tokens, item: Item) -> Item:
    """A word that a colon follows, as the head of what stands behind it: `Metal: sterling`."""
    if item.end >= len(tokens) or not {"feature", "value"} <= item.meaning.kinds:
        return item
    if ":" not in tokens.text[tokens.ends[item.end - 1] : tokens.starts[item.end]]:
        return item
    heads = tuple(sense for sense in item.senses if sense.kind != "value")
    return item._replace(meaning=Meaning(heads))


def _not_past_its_noun(vocabulary: Vocabulary, tokens: Tokens, item: Item) -> Item:
    """A phrase that begins with a little word, or that word alone where a longer phrase begins
    with the last of its words: not `with box`, but `with` a `box clasp`.
    """
    last = item.end - 1
    if last == item.first or item.end >= len(tokens) or not item.means("value"):
        return item
    first = vocabulary.words.first(tokens.folded[item.first])
    if first is None or "link" not in first.meaning.roles:
        return item
    longer = vocabulary.words.longest(tokens.folded, tokens.numeric, last)
    if longer is None or longer[0] <= item.end or "value" not in longer[1].kinds:
        return item
    return Item(item.first, item.first + 1, first.meaning)


def _with_its_look(vocabulary: Vocabulary, tokens: Tokens, item: Item) -> Item:
    """A phrase of several words, taken for its look where a word of likeness follows with which
    its last word is a phrase, and a metal also where one of a coat does: `pale gold tone` is gold
    tone, `9ct gold plate` plated.
    """
    if item.end - item.first < 2 or item.end >= len(tokens):
        return item
    following = vocabulary.words.first(tokens.folded[item.end])
    roles = following.meaning.roles if following is not None else frozenset()
    if "likeness" not in roles and not ("coat" in roles and item.value_of(*METAL_FEATURES)):
        return item
    look = vocabulary.words.longest(tokens.folded, tokens.numeric, item.end - 1)
    if look is None or look[0] <= item.end or "value" not in look[1].kinds:
        return item
    return Item(item.first, look[0], look[1])


def _lone_letter(tokens: Tokens, item: Item) -> bool:
    """A single letter that names a feature does so right behind a measure only: `2 in W`."""
    single = item.end == item.first + 1 and len(tokens.folded[item.first]) == 1
    return single and item.meaning.kinds == {"feature"}


def _first_initial(tokens: Tokens, item: Item, before: list[Item]) -> bool:
    """Whether a little word is the first letter of a name behind `by`: `by W H Haseler`."""
    first, following = item.first, item.first + 1
    return (
        bool(before)
        and before[-1].end == first
        and before[-1].role("made-by")
        and item.end == following < len(tokens)
        and len(tokens.raw(first)) == 1
        and tokens.raw(first).isupper()
        and tokens.raw(following)[0].isupper()
    )


def _article_and_letter(tokens: Tokens, item: Item) -> bool:
    """`begins with a B` is an article and a letter; `a/b` and `A B` are a short form."""
    return (
        item.end == item.first + 2
        and all(len(word) == 1 for word in tokens.folded[item.first : item.end])
        and tokens.raw(item.first) == "a"
        and tokens.text[tokens.ends[item.first] : tokens.starts[item.first + 1]].isspace()
    )


def _denies_damage(vocabulary: Vocabulary, tokens: Tokens, item: Item) -> bool:
    """Whether a phrase that begins with a denial of things leads on to a word of damage, which
    then is denied and not they: `no prongs broken`, `no prongs are broken`.

    One thing is denied so where the damage ends what is said, or a verb leads on to it: `no glass
    broken`, but not `no glass broken hinge`.
    """
    last = item.end - 1
    if last == item.first or item.end >= len(tokens) or not item.means("value"):
        return False
    if tokens.folded[item.first] not in vocabulary.denials:
        return False
    at = item.end
    while at < min(item.end + MOST_LED_ON, len(tokens)) and _leads_on(vocabulary, tokens, at):
        at += 1
    if at == len(tokens):
        return False
    found = vocabulary.words.longest(tokens.folded, tokens.numeric, at)
    if found is None:
        return False
    end, meaning = found
    if meaning.roles.isdisjoint(DAMAGE_ROLES) and not meaning.tells_fault:
        return False
    several = tokens.folded[last] + "s" == tokens.raw(last).casefold()
    return several or at > item.end or end == len(tokens)


def _beside_damage(vocabulary: Vocabulary, tokens: Tokens, item: Item, before: list[Item]) -> Item:
    """A phrase of several words, or the part of it that is no word of other damage."""
    only_first = _denies_damage(vocabulary, tokens, item) or (
        item.meaning.tells_fault and _says_where(vocabulary, tokens, item, before)
    )
    if only_first:
        first = vocabulary.words.first(tokens.folded[item.first])
        return Item(item.first, item.first + 1, first.meaning) if first is not None else item
    if item.meaning.tells_fault:
        return _without_shade(vocabulary, tokens, item)
    if not item.means("value"):
        return _not_over_an_article(vocabulary, tokens, item)
    return _not_into_damage(vocabulary, tokens, item)


def _not_over_an_article(vocabulary: Vocabulary, tokens: Tokens, item: Item) -> Item:
    """A phrase, or its first word where the phrase passes over an article right before a word of
    damage that ends it: `could be a replaced pin` is not `could be replaced`.
    """
    last = item.end - 1
    if last < item.first + 2 or not item.meaning.roles.isdisjoint(DAMAGE_ROLES):
        return item
    article, damage = map(vocabulary.words.first, tokens.folded[last - 1 : item.end])
    if article is None or "opening" not in article.meaning.roles:
        return item
    if damage is None or damage.meaning.roles.isdisjoint(DAMAGE_ROLES):
        return item
    folds, numeric = tokens.folded[: item.end], tokens.numeric[: item.end]
    found = vocabulary.words.longest(folds, numeric, item.first)
    if found is not None and found[0] == item.end:
        return item
    first = vocabulary.words.first(tokens.folded[item.first])
    return Item(item.first, item.first + 1, first.meaning) if first is not None else item


def _not_into_damage(vocabulary: Vocabulary, tokens: Tokens, item: Item) -> Item:
    """A phrase, or what stands before the words of damage that begin inside it and end with it or
    behind it: not a faceted cut, but `facets` that are `cut down to` something.
    """
    at = damage_within(vocabulary, tokens, item.first, item.end)
    if at is None:
        return _not_from_damage(vocabulary, tokens, item)
    found = vocabulary.words.longest(tokens.folded[:at], tokens.numeric[:at], item.first)
    return Item(item.first, found[0], found[1]) if found is not None and found[0] == at else item


def _not_from_damage(vocabulary: Vocabulary, tokens: Tokens, item: Item) -> Item:
    """A phrase, or its first word where that is a word of damage and an article that the phrase
    passes over stands behind it: `bent the hook catch` is no `bent hook catch`.
    """
    if item.end < item.first + 3:
        return item
    first, article = map(vocabulary.words.first, tokens.folded[item.first : item.first + 2])
    if article is None or "opening" not in article.meaning.roles:
        return item
    if first is None or first.meaning.roles.isdisjoint(DAMAGE_ROLES):
        return item
    found = vocabulary.words.longest(tokens.folded, tokens.numeric, item.first)
    if found is not None and found[0] >= item.end:
        return item
    return Item(item.first, item.first + 1, first.meaning)


def _without_shade(vocabulary: Vocabulary, tokens: Tokens, item: Item) -> Item:
    """A phrase of damage, or what of it stands before its last word where that only shades the
    colour that follows, by itself: `stones are dark green`.
    """
    if item.end >= len(tokens):
        return item
    colour = vocabulary.words.longest(tokens.folded, tokens.numeric, item.end)
    if colour is None or not Item(item.end, *colour).value_of(COLOUR):
        return item
    shade = vocabulary.words.first(tokens.folded[item.end - 1])
    if shade is None or "describing" not in shade.meaning.roles:
        return item
    end = item.end - 1
    found = vocabulary.words.longest(tokens.folded[:end], tokens.numeric[:end], item.first)
    return Item(item.first, found[0], found[1]) if found is not None else item


def damage_within(vocabulary: Vocabulary, tokens: Tokens, first: int, end: int) -> int | None:
    """Where words of damage, two or more, begin inside a phrase that they are no part of: they go
    on behind it and are as many, or begin with a little word that it passes over. None where none
    do.
    """
    for at in range(first + 1, end):
        if tokens.folded[at] not in vocabulary.begins_damage:
            continue
        found = vocabulary.words.longest(tokens.folded, tokens.numeric, at)
        if found is None or found[0] < at + 2:
            continue
        passed = found[0] == end and tokens.folded[at] in vocabulary.passed_over
        if passed or (found[0] > end and found[0] - at >= end - first):
            return at if not found[1].roles.isdisjoint(DAMAGE_ROLES) else None
    return None


def _says_where(vocabulary: Vocabulary, tokens: Tokens, item: Item, before: list[Item]) -> bool:
    """Whether a piece with its damage is the place of a thing, which the damage then is said of:
    `the catch on this brooch is bent`.
    """
    if tokens.folded[item.first] not in vocabulary.making.pieces:
        return False
    at = len(before) - 1
    while at > 0 and before[at].role("filler") and not before[at].role("link"):
        at -= 1
    return at > 0 and before[at].role("link") and not before[at - 1].role("filler", "link")


def _leads_on(vocabulary: Vocabulary, tokens: Tokens, at: int) -> bool:
    """Whether a little word may lead on from a thing to its damage: `are`, and no `a` or `with`."""
    first = vocabulary.words.first(tokens.folded[at])
    if first is None or not first.meaning.roles <= {"filler", "little"}:
        return False
    return tokens.folded[at] in vocabulary.little and not first.meaning.roles & {"opening"}


def _phrase_at(vocabulary: Vocabulary, tokens: Tokens, index: int) -> tuple[int, Meaning] | None:
    """The longest phrase that begins at a token; no unit over a number: `of 7 inches`."""
    words = vocabulary.words
    found = words.longest(tokens.folded, tokens.numeric, index, vocabulary.passed_over)
    if found is None or found[1].kinds != {"unit"} or not any(tokens.numeric[index : found[0]]):
        return found
    end = tokens.numeric.index(True, index)
    return words.longest(tokens.folded[:end], tokens.numeric[:end], index)


def item_at(vocabulary: Vocabulary, tokens: Tokens, index: int) -> Item | None:
    """The longest phrase, measure or years that begins at a token; None where nothing does."""
    words = vocabulary.words
    found = _phrase_at(vocabulary, tokens, index)
    if found is not None and ":" in tokens.text:
        found = _not_past_a_piece(vocabulary, tokens, index, found)
    if found is not None and tokens.folded[index] in vocabulary.as_written:
        found = _found_as_written(vocabulary, tokens, index, found)
    # What stands inside a word for marking may be the mark: `stamped 800 with a crescent`.
    if found is not None and "mark" in found[1].roles:
        inside = (at for at in range(index + 1, found[0]) if tokens.numeric[at])
        end = next(inside, found[0])
        found = words.longest(tokens.folded[:end], tokens.numeric[:end], index)
    # `c 1920` is about 1920, and `c clasp` a clasp: a date goes first where it is as long.
    if tokens.folded[index] == "c":
        from markrules.notes.quantities import years_told

        years = years_told(vocabulary, tokens, index)
        if years is not None and years.end >= (found[0] if found else 0):
            return Item(index, years.end, years=years)
    if tokens.folded[index] in vocabulary.begins_measure:
        from markrules.notes.quantities import measure_in_words

        told = measure_in_words(vocabulary, tokens, index)
        if told is not None and told.end > (found[0] if found else 0):
            return Item(index, told.end, measure=told)
    if tokens.numeric[index]:
        from markrules.notes.quantities import measure_at, years_told

        years = years_told(vocabulary, tokens, index)
        measure = measure_at(vocabulary, tokens, index)
        if measure is not None and _is_an_age(vocabulary, tokens, index, measure.end):
            measure = None
        if measure is not None and measure.end > max(
            found[0] if found else 0, years.end if years else 0
        ):
            return Item(index, measure.end, measure=measure)
        if years is not None and years.end >= (found[0] if found else 0):
            return Item(index, years.end, years=years)
    if found is not None:
        return Item(index, found[0], found[1])
    return _compound(vocabulary, tokens, index)


_BEFORE_AN_AGE = frozenset(("was", "were", "is", "turned", "aged", "age"))


def _is_an_age(vocabulary: Vocabulary, tokens: Tokens, first: int, end: int) -> bool:
    """Whether what looks like a measure is an age, and a year behind it: `was 18 in 1961`."""
    from markrules.notes.quantities import years_told

    if end >= len(tokens) or tokens.folded[end - 1] != "in" or not tokens.numeric[end]:
        return False
    if not first or tokens.folded[first - 1] not in _BEFORE_AN_AGE:
        return False
    return years_told(vocabulary, tokens, end) is not None


def _not_past_a_piece(
    vocabulary: Vocabulary, tokens: Tokens, first: int, found: tuple[int, Meaning]
) -> tuple[int, Meaning] | None:
    """A phrase, or what of it names the piece or the feature that a colon stands behind:
    `necklace: the chain`, `clasp: spring ring`.
    """
    for at in range(first + 1, found[0]):
        if ":" in tokens.text[tokens.ends[at - 1] : tokens.starts[at]]:
            before = vocabulary.words.longest(tokens.folded[:at], tokens.numeric[:at], first)
            heads = before is not None and not before[1].kinds.isdisjoint(("piece", "feature"))
            return before if heads else found
    return found


def _found_as_written(
    vocabulary: Vocabulary, tokens: Tokens, index: int, found: tuple[int, Meaning] | None
) -> tuple[int, Meaning] | None:
    """What was found, or less of it, where its plurals are not written as the rules ask: fifty is
    a number, and no decade.
    """
    while found is not None and not _is_as_written(vocabulary, tokens, index, found[0]):
        end = found[0] - 1
        if end == index:
            roles = tuple(each for each in found[1].senses if each.kind == "role")
            return (index + 1, Meaning(roles)) if roles else None
        found = vocabulary.words.longest(tokens.folded[:end], tokens.numeric[:end], index)
    return found


def _is_as_written(vocabulary: Vocabulary, tokens: Tokens, first: int, end: int) -> bool:
    """Whether a phrase whose plurals count is written with them: `in pieces`, not `in this piece`.

    True of any other phrase.
    """
    folded = tokens.folded[first:end]
    for folds, words in vocabulary.as_written[tokens.folded[first]]:
        if folds[-1] == folded[-1] and _holds(folded, folds):
            if len(folds) < len(folded):  # `bead glued back on` is a phrase of its own
                own = vocabulary.words.longest(folded, [False] * len(folded), 0)
                if own is not None and own[0] == len(folded):
                    return True
            return _holds([tokens.raw(at).casefold() for at in range(first, end)], words)
    return True


def _holds(words: list[str], others: list[str]) -> bool:
    """Whether the words hold the others in their order."""
    rest = iter(words)
    return all(other in rest for other in others)


def _compound(vocabulary: Vocabulary, tokens: Tokens, index: int) -> Item | None:
    """Two known words written as one (`goldtone`), or one written as two (`rhine stone`)."""
    fold = tokens.folded[index]
    first = vocabulary.words.first
    # No word goes on as a little one: `begins with B and` tells of no band.
    if index + 1 < len(tokens) and tokens.folded[index + 1] not in vocabulary.little:
        joined = first(fold + tokens.folded[index + 1])
        # Two letters are initials before they are a word for marks: `to M.K.`, short for marked.
        initials = len(fold) == len(tokens.folded[index + 1]) == 1
        if (
            joined is not None
            and joined.meaning.senses
            and not (initials and "mark" in joined.meaning.roles)
        ):
            return Item(index, index + 2, joined.meaning)
    # Three letters at least on each side: shorter ones stand at the beginning of any word.
    if not 6 <= len(fold) <= 24:
        return None
    for cut in range(3, len(fold) - 2):
        node = first(fold[:cut])
        second = node.get(fold[cut:]) if node is not None else None
        if second is not None and second.meaning.senses:
            return Item(index, index + 1, second.meaning)
    return None
