"""A sheet without people: who saw, owned or sold a piece, and on which street, stays at home.

Names that stand in the record are known and are taken out wherever they are written; names with
a form of address, behind a word of kinship or after "belonged to" and the like, and streets with a
house number, are taken out of free text by their form. A name that is neither cannot be told from
another word.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.language.roles import CUT_IN, OF_PEOPLE
from markrules.sheets.matter import Owner, SeenLine, SheetMatter
from markrules.sheets.object_id import observations_for

SOMEBODY, SOMEWHERE = "[a person]", "[an address]"
_LETTER = r"[^\W\d_]"
_WORD = rf"{_LETTER}[\w'’-]*"
_LARGE = rf"(?=[A-ZÀ-Þ]){_WORD}"
_NUMBER = r"\d{1,5}"
_NEVER = r"(?!)"
_MOST_INITIALS = 2
_SEVERAL = re.compile(rf"{re.escape(SOMEBODY)}(?: {re.escape(SOMEBODY)})+")
"""The names of one person, each taken out by itself."""


@dataclass(frozen=True, slots=True)
class Forms:
    """By what names and streets are known in free text: patterns of the words of the rules.

    `addressed` is a form of address with the name; `of_kin` (my grandmother `Ada Hale`, Granny
    `Hale`) and `had` (whose it was, by two names or more: of one alone a shop cannot be told from
    a person) hold the words before a name as their first group, the name as their second.
    """

    addressed: re.Pattern[str]
    of_kin: re.Pattern[str]
    had: re.Pattern[str]
    street: re.Pattern[str]

    @property
    def behind_words(self) -> tuple[re.Pattern[str], re.Pattern[str]]:
        """The patterns that know a name by the words before it."""
        return self.of_kin, self.had


@lru_cache(maxsize=8)
def forms_of(base: KnowledgeBase) -> Forms:
    """The patterns that the wordings of a base make, by the roles of `OF_PEOPLE`."""
    words = {role: _any_of(base, role) for role in OF_PEOPLE}
    links = _any_of(base, "link")
    name = rf"(?!(?i:{links})(?![\w.]))(?=[A-ZÀ-Þ])(?:{_LETTER}\.|{_WORD})"
    kin = rf"(?:{words['whose']})\s+(?:{words['kin']}|{words['elder']})|(?:{words['elder']})"
    behind = r"(?i:[a-z])?,?\s+"
    return Forms(
        addressed=re.compile(rf"\b(?:{words['address-form']})\b\.?(?:\s+{_LARGE}\.?){{1,3}}"),
        of_kin=re.compile(rf"\b((?i:{kin}),?\s+)({name}(?:\s+{name}){{0,2}})"),
        had=re.compile(rf"\b((?i:{words['had-by']})\s+)({name}(?:\s+{name}){{1,2}})"),
        street=re.compile(
            rf"\b{_NUMBER}{behind}(?:{_WORD}\.?\s+){{1,3}}(?i:{words['street-noun']})\b\.?"
            rf"|\b{_NUMBER}{behind}(?:{_LARGE}\.?\s+){{1,3}}(?:{words['street-short']})\b\.?"
            rf"|\b{_LETTER}+(?i:{words['street-end']})\s+{_NUMBER}(?i:[a-z])?\b"
            rf"|\b(?i:{words['street-number']})\s+(?:{_WORD}\s+){{1,4}}{_NUMBER}\b"
            rf"|\b{_NUMBER},?\s+(?i:{words['number-street']})(?:\s+{_WORD}){{1,3}}"
        ),
    )


def _any_of(base: KnowledgeBase, role: str) -> str:
    """A pattern of the words of a role, the longest first; of nothing where there are none."""
    longest = sorted(set(base.words_of(role)), key=lambda each: (-len(each), each))
    return "|".join(r"[-\s]".join(map(re.escape, each.split())) for each in longest) or _NEVER


_SHORTEST = 3


def discreet(matter: SheetMatter) -> SheetMatter:
    """The same piece without the names of people and the addresses of houses, also where what does
    not fit quotes what was told.
    """
    forms = forms_of(matter.base)
    names, surnames = _names(matter, forms), _surnames(matter, forms)
    inscribed = _inscribed(matter)

    def clean(text: str) -> str:
        for cut, bare in inscribed.items():
            text = text.replace(cut, bare)
        text = without_people(forms, text, names)
        for name in surnames:
            text = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", SOMEBODY, text)
        return text

    reading = replace(
        matter.reading,
        observations=tuple(
            _without(each, clean, inscribed) for each in matter.reading.observations
        ),
        not_understood=_words_left(
            matter.reading.not_understood, [*names, *surnames, *_streets(matter, forms)], clean
        ),
        misleading=tuple(
            replace(each, taken=clean(each.taken), truth=clean(each.truth), look=clean(each.look))
            for each in matter.reading.misleading
        ),
        contradictions=tuple(map(clean, matter.reading.contradictions)),
        notes=tuple(map(clean, matter.reading.notes)),
    )
    return replace(
        matter,
        reading=reading,
        seen=tuple(_unsaid(each, clean, inscribed) for each in matter.seen),
        owners=tuple(_unnamed(each, forms, names) for each in matter.owners),
        told=clean(matter.told),
        note=clean(matter.note),
        title=clean(matter.title),
    )


def without_people(forms: Forms, text: str, names: Iterable[str] = ()) -> str:
    """The text with these names, forms of address with a name, and streets taken out."""
    for name in names:
        text = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", SOMEBODY, text, flags=re.IGNORECASE)
    text = forms.addressed.sub(SOMEBODY, text)
    for named in forms.behind_words:
        text = named.sub(rf"\1{SOMEBODY}", text)
    return forms.street.sub(SOMEWHERE, text)


def _names(matter: SheetMatter, forms: Forms) -> list[str]:
    """The names of people in the record, the longest first: also of those whom the note or what
    was told names with a form of address, since the same name may stand without it elsewhere.
    """
    found = {each.who.strip() for each in matter.seen}
    found |= {each.who_from.strip() for each in matter.owners}
    for text in (matter.note, matter.told):
        for match in forms.addressed.finditer(text):
            found |= {match.group(), match.group().split(None, 1)[-1]}
        for named in forms.behind_words:
            found |= {match.group(2) for match in named.finditer(text)}
    return sorted(
        (each for each in found if len(each) >= _SHORTEST and each[0].isupper()),
        key=lambda each: -len(each),
    )


def _streets(matter: SheetMatter, forms: Forms) -> list[str]:
    """The addresses in the note and in what was told."""
    texts = (matter.note, matter.told)
    return [match.group() for text in texts for match in forms.street.finditer(text)]


def _surnames(matter: SheetMatter, forms: Forms) -> list[str]:
    """The last of several names after a form of address: it may stand alone elsewhere, written
    large as a name is, so that aunt Anna Rose takes no rose from a brooch.
    """
    texts = (matter.note, matter.told)
    found = (match.group().split() for text in texts for match in forms.addressed.finditer(text))
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


def _without(
    observation: Observation, clean: Callable[[str], str], inscribed: Mapping[str, str]
) -> Observation:
    """What was told names people in its words and its value, and so does what is cut in for an
    owner; what else was seen in its words alone.
    """
    value = clean(observation.value) if observation.heard else observation.value
    value, words = inscribed.get(value, value), clean(observation.words)
    if (value, words) == (observation.value, observation.words):
        return observation
    return replace(observation, value=value, words=words)


def _unsaid(line: SeenLine, clean: Callable[[str], str], inscribed: Mapping[str, str]) -> SeenLine:
    return replace(line, who="", observation=_without(line.observation, clean, inscribed))


def _unnamed(owner: Owner, forms: Forms, names: list[str]) -> Owner:
    return replace(
        owner,
        who_from="",
        where=without_people(forms, owner.where, names),
        note=without_people(forms, owner.note, names),
    )


def _inscribed(matter: SheetMatter) -> dict[str, str]:
    """What is cut in for an owner, by the rules, and the same without the names in it."""
    seen = observations_for(matter, "inscription", "describe")
    found = {each.value: without_names(matter.base, each.value) for each in seen}
    return {cut: bare for cut, bare in found.items() if bare != cut}


def without_names(base: KnowledgeBase, text: str) -> str:
    """The text of an inscription without the words written large that may be somebody's name: of
    three letters or more, and no word of the role `cut-in`. Initials and figures name nobody.
    """
    known = _cut_in(base)

    def bare(match: re.Match[str]) -> str:
        word = match.group()
        return word if len(word) <= _MOST_INITIALS or word.casefold() in known else SOMEBODY

    return _SEVERAL.sub(SOMEBODY, re.sub(rf"\b{_LARGE}", bare, text))


@lru_cache(maxsize=8)
def _cut_in(base: KnowledgeBase) -> frozenset[str]:
    return frozenset(map(str.casefold, base.words_of(CUT_IN)))
