"""Is the description complete? The categories of Object ID, the standard of the International
Council of Museums for describing cultural objects (archives.icom.museum/object-id, 1.1 to 1.11).

Which observations fill a category is told by findings of the rules that advise `identify CATEGORY`.
"""

from __future__ import annotations

from collections.abc import Callable

from markrules.frozen import dataclass
from markrules.knowledge.conditions import Compiler
from markrules.knowledge.facts import Facts
from markrules.knowledge.observation import Observation
from markrules.knowledge.support import Supporter
from markrules.language.tree import Advice, Finding
from markrules.sheets.attribution import attribution, date_words
from markrules.sheets.matter import SheetMatter
from markrules.telling.words import plain, value_words, visible

SOURCE = "Object ID, International Council of Museums: archives.icom.museum/object-id"
_FEWEST_PHOTOS = 2  # an overall view, and close-ups of marks, damage and repairs: Object ID 1.1


@dataclass(frozen=True, slots=True)
class Category:
    """One category: number and name in the standard, what fills it, what to ask if nothing does."""

    number: str
    name: str
    filled: tuple[str, ...]
    ask: str

    @property
    def missing(self) -> bool:
        """Whether nothing fills it."""
        return not self.filled


def completeness(matter: SheetMatter) -> tuple[Category, ...]:
    """All eleven categories in the order of the standard."""
    return tuple(
        Category(number, name, fill(matter, key), "" if fill(matter, key) else ask)
        for number, name, key, fill, ask in _CATEGORIES
    )


def observations_for(
    matter: SheetMatter, key: str, effect: str = "identify"
) -> tuple[Observation, ...]:
    """The observations that fill the category of that key, by the rules.

    With the effect `describe`, the key is a part of a listing.
    """
    wanted = Advice(effect, key)
    facts = Facts(matter.reading.observations, matter.base)
    of_piece = Facts(matter.reading.observations, matter.base, matter.reading.piece_type)
    compiler = Compiler(matter.base)
    supporter = Supporter(compiler, facts, {})
    places: dict[int, None] = {}
    for finding in matter.base.findings.values():
        if finding.advise != wanted or _held_back(compiler, of_piece, finding):
            continue
        places.update(dict.fromkeys(supporter.used(finding.when)))
    return tuple(matter.reading.observations[at] for at in places)


def _held_back(compiler: Compiler, facts: Facts, finding: Finding) -> bool:
    return finding.unless is not None and compiler.test(finding.unless)(facts, {}) is True


def _seen(matter: SheetMatter, key: str) -> tuple[str, ...]:
    return tuple(
        dict.fromkeys(
            visible(f"{plain(each.feature)}: {value_words(matter.base, each)}")
            for each in observations_for(matter, key)
        )
    )


def _type(matter: SheetMatter, _: str) -> tuple[str, ...]:
    name = matter.reading.piece_type
    broader = matter.base.broader(name)[1:]
    if not name:
        return ()
    return (plain(name) + (f", under {plain(broader[0])}" if broader else ""),)


def _photos(matter: SheetMatter, _: str) -> tuple[str, ...]:
    if len(matter.photos) < _FEWEST_PHOTOS:
        return ()
    places = [each.place for each in matter.photos if each.place]
    return (visible(f"{len(matter.photos)} photos" + (f": {', '.join(places)}" if places else "")),)


def _date(matter: SheetMatter, _: str) -> tuple[str, ...]:
    return (date_words(matter.base, matter.reading),) if matter.reading.evidence else ()


def _maker(matter: SheetMatter, _: str) -> tuple[str, ...]:
    found = attribution(matter.base, matter.reading)
    return (found.words,) if found.strength != "unknown" else ()


def _title(matter: SheetMatter, _: str) -> tuple[str, ...]:
    return (visible(matter.title),) if matter.title else ()


def _description(matter: SheetMatter, _: str) -> tuple[str, ...]:
    return (visible(matter.note),) if matter.note else ()


_Fill = Callable[[SheetMatter, str], tuple[str, ...]]
_CATEGORIES: tuple[tuple[str, str, str, _Fill, str], ...] = (
    (
        "1.1",
        "Photographs",
        "photographs",
        _photos,
        "Can you photograph the whole, front and back, and close up each mark, fault and repair,"
        " with a scale in the picture?",
    ),
    ("1.2", "Type of object", "type", _type, "What kind of piece is it?"),
    (
        "1.3",
        "Measurements",
        "measurements",
        _seen,
        "How large is it, in which direction, and what does it weigh?",
    ),
    (
        "1.4",
        "Materials and techniques",
        "materials",
        _seen,
        "What is it made of, and how was it worked?",
    ),
    (
        "1.5",
        "Inscriptions and markings",
        "inscriptions",
        _seen,
        "Is there any mark, number, signature or engraving? If you looked and found none, say so.",
    ),
    ("1.6", "Date or period", "date", _date, "What on it speaks of its age?"),
    ("1.7", "Maker", "maker", _maker, "Is there anything that tells who made it?"),
    ("1.8", "Subject", "subject", _seen, "What does it show, if it shows anything?"),
    ("1.9", "Title", "title", _title, "By what name would you call it, to know it again?"),
    (
        "1.10",
        "Distinguishing features",
        "distinguishing",
        _seen,
        "Which damage, repair or flaw would tell it from another of its kind? If none, say so.",
    ),
    (
        "1.11",
        "Description",
        "description",
        _description,
        "Can you describe it in a few words of your own?",
    ),
)
