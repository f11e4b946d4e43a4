"""The part that a note tells of, where what misleads about it does not name one by itself."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from markrules.inference.reading import MisleadingReading, Reading
from markrules.late import late
from markrules.notes.tokens import phrase_of
from markrules.notes.vocabulary import Vocabulary

OF_PARTS = ("replaced", "repaired", "old-part", "married")
"""Kinds of which a note tells the part. One that was made over is told of by what it was."""

MOST_PARTS = 2
"""A stretch that names more parts than these tells of none of them."""

_STRETCH, _SENTENCE = late(r"(?<=[.;!?,])\s+|\s+(?=but )"), re.compile(r"(?<=[.;!?])\s+")


def with_parts_told(vocabulary: Vocabulary, note: str, reading: Reading) -> Reading:
    """A reading whose situations of a part name the one that their own words of the note name.

    It is looked for in the stretch between commas that the words stand in, then in the sentence.
    A situation that comes to blame what a likelier one of its kind blames already is left out.
    """
    if all(_has_its_part(each) for each in reading.misleading):
        return reading
    chain = vocabulary.base.broader(reading.piece_type) if reading.piece_type else ()
    found: list[MisleadingReading] = []
    for each in reading.misleading:
        if _has_its_part(each):
            found.append(each)
            continue
        part = _part_of(vocabulary, note, each.rests, chain)
        alike = (other for other in reading.misleading if other.kind == each.kind)
        if not part or not any(not set(part).isdisjoint(other.part) for other in alike):
            found.append(replace(each, part=part))
    return replace(reading, misleading=tuple(found))


def _has_its_part(each: MisleadingReading) -> bool:
    return bool(each.part) or each.kind not in OF_PARTS


def _part_of(
    vocabulary: Vocabulary, note: str, rests: Sequence[str], chain: Sequence[str]
) -> tuple[str, ...]:
    """The features of the parts that these words of the note name, or those around them."""
    for around in (None, _STRETCH, _SENTENCE):
        for words in rests:
            text = words if around is None else _around(note, words, around)
            part = _named(vocabulary, text, chain)
            if part:
                return part
    return ()


def _around(note: str, words: str, at: re.Pattern[str]) -> str:
    """The stretch of the note that these words stand in; the words where they are not found."""
    wanted = words.casefold()
    return next((each for each in at.split(note) if wanted in each.casefold()), words)


def _named(vocabulary: Vocabulary, text: str, chain: Sequence[str]) -> tuple[str, ...]:
    base = vocabulary.base
    things = vocabulary.remarks.things_in(phrase_of(text, vocabulary.folding), chain)
    for slot in base.slots.values():
        named = [
            fill for fill in slot.fills if fill.part and fill.name in things.get(slot.name, ())
        ]
        if 0 < len(named) <= MOST_PARTS:
            return tuple(dict.fromkeys(each.name for fill in named for each in fill.part))
    return ()
