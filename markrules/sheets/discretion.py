"""A sheet without people: who saw, owned or sold a piece, and on which street, stays at home.

Names that stand in the record are known and are taken out wherever they are written; names with
a form of address, behind a word of kinship or after "belonged to" and the like, and streets with a
house number, are taken out of free text by their form. A name that is neither cannot be told from
another word.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from markrules.knowledge.observation import Observation
from markrules.sheets.matter import Owner, SeenLine, SheetMatter

SOMEBODY, SOMEWHERE = "[a person]", "[an address]"
_LETTER = r"[^\W\d_]"
_WORD = rf"{_LETTER}[\w'’-]*"
_ADDRESSED = re.compile(
    rf"\b(?:Mrs|Mr|Ms|Miss|Mme|Mlle|Dr|Prof|Sir|Lady|Lord|Herr|Frau|Sr|Sra|Aunt|Auntie|Uncle)\b\.?"
    rf"(?:\s+(?=[A-ZÀ-Þ]){_WORD}\.?){{1,3}}"
)
_NAME = rf"(?!Of\b)(?=[A-ZÀ-Þ])(?:{_LETTER}\.|{_WORD})"
_NAMES = rf"{_NAME}(?:\s+{_NAME}){{0,2}}"
_WHOSE = r"(?:my|our|his|her|their|your|the|a|late|old|dear)\s+"
_ELDERS = "grandmother|grandma|granny|gran|nana|nan|grandfather|grandad|grandpa"
_KIN = (
    f"(?:great[- ])*(?:{_ELDERS})|(?:great[- ])*(?:aunt|uncle)|mother|mum|mom|father|dad|sister"
    "|brother|cousin|wife|husband|daughter|son|niece|nephew|mother-in-law|father-in-law|godmother"
    "|godfather|neighbou?r|friend|widow|fiancée?"
)
_OF_KIN = re.compile(rf"\b((?i:{_WHOSE}(?:{_KIN})|{_ELDERS}),?\s+)({_NAMES})")
"""Whom a word of kinship names: my grandmother `Ada Hale`, Granny `Hale`."""
_HAD = (
    "belonged to|belonging to|owned by|given to me by|given by|gift from|gift of|worn by"
    "|inherited from|left to me by|left by|estate of|property of|bought from|passed down from"
    "|collection of|wedding of|funeral of"
)
_WHO_HAD_IT = re.compile(rf"\b((?i:{_HAD})\s+)({_NAME}(?:\s+{_NAME}){{1,2}})")
"""Whose it was, by two names or more: of one alone a shop cannot be told from a person."""
_SURE = "street|road|avenue|lane|boulevard|terrace|crescent|highway|mews"
_ELSE = (
    "St|Rd|Ave|Ln|Blvd|Drive|Dr|Close|Court|Ct|Place|Pl|Square|Sq|Way|Row|Gardens|Hill|Park|Grove"
)
_STREET = re.compile(
    rf"\b\d{{1,5}}(?i:[a-z])?,?\s+(?:{_WORD}\.?\s+){{1,3}}(?i:{_SURE})\b\.?"
    rf"|\b\d{{1,5}}(?i:[a-z])?,?\s+(?:(?=[A-ZÀ-Þ]){_WORD}\.?\s+){{1,3}}(?:{_ELSE})\b\.?"
    rf"|\b{_LETTER}+(?i:straße|strasse|gasse|weg|allee|platz)\s+\d{{1,5}}(?i:[a-z])?\b"
    rf"|\b(?i:rue|via|calle|piazza)\s+(?:{_WORD}\s+){{1,4}}\d{{1,5}}\b"
    rf"|\b\d{{1,5}},?\s+(?i:rue|avenue|boulevard)(?:\s+{_WORD}){{1,3}}"
)
_SHORTEST = 3


def discreet(matter: SheetMatter) -> SheetMatter:
    """The same piece without the names of people and the addresses of houses."""
    names, surnames = _names(matter), _surnames(matter)

    def clean(text: str) -> str:
        text = without_people(text, names)
        for name in surnames:
            text = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", SOMEBODY, text)
        return text

    reading = replace(
        matter.reading,
        observations=tuple(_without(each, clean) for each in matter.reading.observations),
        not_understood=_words_left(
            matter.reading.not_understood, [*names, *surnames, *_streets(matter)], clean
        ),
    )
    return replace(
        matter,
        reading=reading,
        seen=tuple(_unsaid(each, clean) for each in matter.seen),
        owners=tuple(_unnamed(each, names) for each in matter.owners),
        told=clean(matter.told),
        note=clean(matter.note),
        title=clean(matter.title),
    )


def without_people(text: str, names: Iterable[str] = ()) -> str:
    """The text with these names, forms of address with a name, and streets taken out."""
    for name in names:
        text = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", SOMEBODY, text, flags=re.IGNORECASE)
    text = _ADDRESSED.sub(SOMEBODY, text)
    for named in (_OF_KIN, _WHO_HAD_IT):
        text = named.sub(rf"\1{SOMEBODY}", text)
    return _STREET.sub(SOMEWHERE, text)


def _names(matter: SheetMatter) -> list[str]:
    """The names of people in the record, the longest first: also of those whom the note or what
    was told names with a form of address, since the same name may stand without it elsewhere.
    """
    found = {each.who.strip() for each in matter.seen}
    found |= {each.who_from.strip() for each in matter.owners}
    for text in (matter.note, matter.told):
        for match in _ADDRESSED.finditer(text):
            found |= {match.group(), match.group().split(None, 1)[-1]}
        for named in (_OF_KIN, _WHO_HAD_IT):
            found |= {match.group(2) for match in named.finditer(text)}
    return sorted(
        (each for each in found if len(each) >= _SHORTEST and each[0].isupper()),
        key=lambda each: -len(each),
    )


def _streets(matter: SheetMatter) -> list[str]:
    """The addresses in the note and in what was told."""
    texts = (matter.note, matter.told)
    return [match.group() for text in texts for match in _STREET.finditer(text)]


def _surnames(matter: SheetMatter) -> list[str]:
    """The last of several names after a form of address: it may stand alone elsewhere, written
    large as a name is, so that aunt Anna Rose takes no rose from a brooch.
    """
    texts = (matter.note, matter.told)
    found = (match.group().split() for text in texts for match in _ADDRESSED.finditer(text))
    return list(dict.fromkeys(each[-1] for each in found if len(each) > _WITH_SURNAME))


_WITH_SURNAME = 2


def _words_left(
    words: Iterable[str], names: Sequence[str], clean: Callable[[str], str]
) -> tuple[str, ...]:
    """Words that no rule knows, without those that are, or are part of, a name of somebody."""
    parts = {part.casefold() for name in names for part in name.split()}
    return tuple(
        clean(each) for each in words if not {word.casefold() for word in each.split()} <= parts
    )


def _without(observation: Observation, clean: Callable[[str], str]) -> Observation:
    """What was told names people in its words and its value; what was seen in its words alone."""
    value = clean(observation.value) if observation.heard else observation.value
    words = clean(observation.words)
    if (value, words) == (observation.value, observation.words):
        return observation
    return replace(observation, value=value, words=words)


def _unsaid(line: SeenLine, clean: Callable[[str], str]) -> SeenLine:
    return replace(line, who="", observation=_without(line.observation, clean))


def _unnamed(owner: Owner, names: list[str]) -> Owner:
    return replace(
        owner,
        who_from="",
        where=without_people(owner.where, names),
        note=without_people(owner.note, names),
    )
