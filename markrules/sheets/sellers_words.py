"""What was seen, in the words of a listing: the observer's, where the rules know them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from markrules.inference.reading import MarkReading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.facts import phrase
from markrules.knowledge.observation import MARK, Observation
from markrules.language.conditions import Says, atoms
from markrules.language.tree import LISTING_PARTS, Feature
from markrules.sheets.as_noted import AsNoted, words_of
from markrules.sheets.matter import SheetMatter
from markrules.sheets.object_id import observations_for
from markrules.sheets.phrases import Folder
from markrules.telling.words import plain, visible

_LONGEST_OWN = 24
_IS_PLAIN = re.compile(r"[^\W\d_]+(?:[ -][^\W\d_]+){0,2}")
_UNREAD = re.compile(r"[?*…\[\]]|\.\.")
_UNNAMED = " unnamed"
_FIRST_HAND = ("tested", "hallmark")
"""The parts of a listing that tell in the observer's words alone."""
_MOST_WORDS = 8  # details in a sentence: more are not read


def in_parts(matter: SheetMatter) -> dict[str, list[str]]:
    """What the rules put into each part of a listing, in words.

    A colour goes with what the note says has it: "red stone", "red and clear rhinestones".
    """
    parts = {part: part_words(matter, part) for part in LISTING_PARTS}
    noted = AsNoted(matter)
    for colour in list(parts["colour"]):
        of = ("stones", "materials", "form", "subject")
        pair = next(((part, it) for part in of if (it := noted.before(colour, parts[part]))), None)
        thing = noted.with_thing(colour)
        if pair is not None:
            part, (words, both) = pair
            parts[part][parts[part].index(words)] = both
        elif thing:
            parts["stones"].append(thing)
        else:
            continue
        parts["colour"].remove(colour)
    for part in ("materials", "stones"):
        _left_open(parts, part, noted)
        _side_by_side(parts[part], noted)
    return parts


def _side_by_side(words: list[str], noted: AsNoted) -> None:
    """Details that the note tells in one breath are one: `aurora borealis beads`."""
    pairs = ((one, other) for one in words for other in words if one != other)
    while both := next(
        ((one, other, it) for one, other in pairs if (it := noted.together(one, other))), None
    ):
        one, other, whole = both
        words[words.index(other)] = whole
        words.remove(one)
        pairs = ((one, other) for one in words for other in words if one != other)


def _left_open(parts: dict[str, list[str]], part: str, noted: AsNoted) -> None:
    """What the note offers as one or the other is one doubtful thing: `perhaps bone or ivory`."""
    for one in list(parts[part]):
        for beside in ("materials", "stones"):
            for other in list(parts[beside]):
                if one != other and one in parts[part] and (both := noted.either(one, other)):
                    parts[part][parts[part].index(one)] = f"perhaps {both}"
                    parts[beside].remove(other)


def part_words(matter: SheetMatter, part: str) -> list[str]:
    """What the rules put into a part of a listing, in words, each once."""
    found = observations_for(matter, part, "describe")
    seen = [each for each in found if each.state == "seen" and not each.heard]
    if part in _FIRST_HAND:
        noted = AsNoted(matter)
        told = ((each, noted.in_full(visible(words_of(each)))) for each in seen)
        said = list(dict.fromkeys(as_sure(matter.base, each, words) for each, words in told))
        return [each for each in said if not _said_by_another(each, said)]
    sure = [each for each in seen if not matter.base.doubts(each.certainty)]
    named = {each.feature for each in sure if not plain(each.value).endswith(_UNNAMED)}
    words = [
        in_words(matter.base, each)
        for each in seen
        if each.feature not in named or not plain(each.value).endswith(_UNNAMED)
    ]
    kept = [each for each in dict.fromkeys(words) if each and not _said_by_another(each, words)]
    return kept[:_MOST_WORDS]


def _said_by_another(words: str, all_words: Sequence[str]) -> bool:
    return any(_stands_in(words, other) for other in all_words if other != words)


def _stands_in(words: str, other: str) -> bool:
    """Whether another detail says these words too: `gold` beside `gold wash`."""
    return f" {words.casefold()} " in f" {other.casefold()} "


def part_sentences(matter: SheetMatter, part: str) -> list[str]:
    """What the rules say as it stands in a part of a listing."""
    found = (matter.base.findings[name] for name in matter.reading.findings)
    return [
        each.say
        for each in found
        if each.say
        and each.advise is not None
        and (each.advise.effect, each.advise.choice) == ("describe", part)
    ]


def in_words(base: KnowledgeBase, observation: Observation) -> str:
    """A value in words; what is sure stands plainly, a guess says so."""
    feature = base.features.get(observation.feature)
    if feature is None or feature.kind not in ("choice", "many"):
        return ""
    words = _own_words(base, feature, observation) or _value_words(feature, observation)
    return as_sure(base, observation, words)


def as_sure(base: KnowledgeBase, observation: Observation, words: str) -> str:
    """Words for what was seen, with a perhaps where the observer doubted it."""
    return f"perhaps {words}" if words and base.doubts(observation.certainty) else words


def _own_words(base: KnowledgeBase, feature: Feature, observation: Observation) -> str:
    """The observer's words, where they are a name of the value or the feature only describes."""
    words = " ".join(observation.words.split())
    if not words or len(words) > _LONGEST_OWN:
        return ""
    if feature.describes:
        return visible(words) if _IS_PLAIN.fullmatch(words) else ""
    value = next((each for each in feature.values if each.name == observation.value), None)
    names = (observation.value, *(value.also if value is not None else ()))
    folder = _folder(base)
    keys = folder.phrase(words)
    known = any(keys == folder.phrase(each) for each in names if "{" not in each)
    return visible(words) if known else ""


@lru_cache(maxsize=4)
def _folder(base: KnowledgeBase) -> Folder:
    return Folder(base)


def _value_words(feature: Feature, observation: Observation) -> str:
    """The name of a value, or the first of its other names that puts the same words in order."""
    name = plain(observation.value).removesuffix(_UNNAMED)
    value = next((each for each in feature.values if each.name == observation.value), None)
    others = value.also if value is not None else ()
    same = (each for each in others if set(each.casefold().split()) == set(name.split()))
    return name if f"{name.split()[0]} " in f"{observation.words} " else next(same, name)


# --- Marks ----------------------------------------------------------------------------------------


def signed(matter: SheetMatter) -> list[str]:
    """Marks that are a maker's, as far as can be told, and were read letter for letter."""
    return [
        each.text
        for each in matter.reading.marks
        if each.how == "in full" and is_legible(each.text) and _is_signature(matter, each)
    ]


def _is_signature(matter: SheetMatter, mark: MarkReading) -> bool:
    """A mark of a maker who is likely, or one in no list that no clue takes for something else."""
    if not mark.unlisted:
        least = matter.base.setting("maker-attributed-share")
        return any(each.maker and each.probability >= least for each in matter.reading.makers)
    known = phrase(mark.text)
    letters = sum(sign.isalpha() for sign in mark.text)
    if letters < matter.base.setting("price-signature-letters") and not _told_signed(matter, mark):
        return False  # a few letters may be an owner's, or stand for anything
    told = (each for each in matter.reading.clues if each.feature == MARK)
    return not any(
        known in phrase(each.words) and _rests_on_letters(matter, each.clue) for each in told
    )


def _rests_on_letters(matter: SheetMatter, clue: str) -> bool:
    """Whether a clue asks what a mark says, and not only whether there is one."""
    known = matter.base.clues.get(clue) or matter.base.types.get(clue)
    return known is not None and any(
        isinstance(each, Says) and each.feature.name == MARK for each, _ in atoms(known.when)
    )


def _told_signed(matter: SheetMatter, mark: MarkReading) -> bool:
    """Whether the observer took the letters for a signature: `signed B.D.`"""
    said = (
        words_of(each).casefold().split()
        for each in matter.reading.observations
        if each.feature == MARK and each.value == mark.text and not each.heard
    )
    return any(words and words[0] in _of_signatures(matter.base) for words in said)


@lru_cache(maxsize=4)
def _of_signatures(base: KnowledgeBase) -> frozenset[str]:
    """The single words that tell of a signature: signed, sgd; `has a mark` tells of none."""
    return frozenset(word.casefold() for word in base.words_of("signed") if " " not in word)


def marks_read(matter: SheetMatter) -> list[str]:
    """All texts read on the piece, each once; a name that only stood before the piece is none."""
    return list(
        dict.fromkeys(each.value for each in matter.reading.observations if each.is_read_mark)
    )


def is_legible(mark: str) -> bool:
    """Whether no letter of it is told as unread."""
    return _UNREAD.search(mark) is None
