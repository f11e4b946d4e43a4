"""The book of rules: what can be looked at, what it says of the years, makers and sources."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import TypeVar

from starlette.responses import Response

from markrules.frozen import dataclass
from markrules.inference.clues import citations, features_of, is_relative
from markrules.inference.years import resolve, window_table
from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Clue
from markrules.language.windows import Window
from markrules.telling.words import plain, years
from markrules.web.desk import Refused, Visit
from markrules.web.drawing import YearsDrawn, YearTick, strip_of, ticks_of
from markrules.web.pages.marks import window_ends

_Any = TypeVar("_Any")

SHOWN = 60
KINDS = {"feature": "To look at", "clue": "Clues", "maker": "Makers", "source": "Sources"}


@dataclass(frozen=True, slots=True)
class FoundEntry:
    """An entry as search finds it: its kind and name, what it is called, and all its words."""

    kind: str
    name: str
    title: str
    about: str
    words: str


@dataclass(frozen=True, slots=True)
class Drawn:
    """A window: in words, and as an outline over the years of `span`; empty without years."""

    words: str
    outline: str
    span: YearsDrawn
    ticks: tuple[YearTick, ...]


@dataclass(frozen=True, slots=True)
class ListedClue:
    """A clue in a list, with its window drawn."""

    clue: Clue
    drawn: Drawn | None


@lru_cache(maxsize=4)
def entries(base: KnowledgeBase) -> tuple[FoundEntry, ...]:
    """Every entry that the book shows, in the rules' order."""
    return tuple(_entries(base))


def _entries(base: KnowledgeBase) -> Iterator[FoundEntry]:
    for feature in base.features.values():
        values = " ".join(f"{each.name} {' '.join(each.also)}" for each in feature.values)
        words = f"{feature.ask} {' '.join(feature.also)} {plain(values)}"
        yield _entry("feature", feature.name, plain(feature.name), feature.ask, words)
    for clue in base.clues.values():
        yield _entry("clue", clue.name, plain(clue.name), clue.why, clue.region)
    for maker in base.makers.values():
        texts = " ".join(f"{each.text} {each.symbol}" for each in maker.marks)
        about = ", ".join(each for each in (maker.city, maker.country) if each)
        yield _entry("maker", maker.name, maker.title, about, f"{' '.join(maker.also)} {texts}")
    for source in base.sources.values():
        yield _entry("source", source.name, source.title, source.author, source.where)


def _entry(kind: str, name: str, title: str, about: str, more: str) -> FoundEntry:
    return FoundEntry(kind, name, title, about, f"{title} {about} {more}".casefold())


def book(visit: Visit) -> Response:
    """Search in the book, or what it holds."""
    text = visit.query.get("q", "").strip()[:200]
    kind = visit.query.get("kind", "")
    every = entries(visit.base)
    words = text.casefold().split()
    found = [
        each
        for each in every
        if (not kind or each.kind == kind) and all(word in each.words for word in words)
    ]
    if words:
        found.sort(key=lambda each: words[0] not in each.title.casefold())
    counts = {each: sum(one.kind == each for one in every) for each in KINDS}
    return visit.page(
        "book.html",
        text=text,
        kind=kind,
        found=found[:SHOWN] if words or kind else [],
        more=max(0, len(found) - SHOWN),
        kinds=KINDS,
        counts=counts,
        version=visit.base.version,
    )


def feature(visit: Visit) -> Response:
    """Something to look at: its values, drawn, and the clues that speak of it."""
    found = _named(visit, visit.base.features)
    clues = [
        _spoken(visit, each)
        for each in visit.base.clues.values()
        if found.name in features_of(visit.base, each.when)
    ]
    return visit.page("feature.html", feature=found, clues=clues)


def clue(visit: Visit) -> Response:
    """A clue: its window, why, when it misleads, and its sources."""
    found = _named(visit, visit.base.clues)
    return visit.page(
        "clue.html",
        clue=found,
        drawn=_drawn(visit, found.made),
        features=[
            visit.base.features[each]
            for each in dict.fromkeys(features_of(visit.base, found.when))
            if each in visit.base.features
        ],
        cites=citations(visit.base, found.cites),
        trust=visit.base.trusts.get(found.trust.name),
    )


def maker(visit: Visit) -> Response:
    """A maker and its marks."""
    found = _named(visit, visit.base.makers)
    marks = [(each, _drawn(visit, each.used)) for each in found.marks]
    return visit.page(
        "maker.html",
        maker=found,
        works=_drawn(visit, found.works),
        marks=marks,
        cites=citations(visit.base, found.cites),
    )


def source(visit: Visit) -> Response:
    """A source, and the clues that rest on it."""
    found = _named(visit, visit.base.sources)
    resting = [
        each
        for each in visit.base.clues.values()
        if any(cite.source.name == found.name for cite in each.cites)
    ]
    return visit.page("source.html", source=found, clues=resting[:200])


def _named(visit: Visit, entries: Mapping[str, _Any]) -> _Any:
    name = visit.path["name"]
    if name not in entries:
        raise Refused(404, f'The book has no entry "{name[:60]}".')
    return entries[name]


def _spoken(visit: Visit, clue: Clue) -> ListedClue:
    return ListedClue(clue, _drawn(visit, clue.made))


def _drawn(visit: Visit, window: Window | None) -> Drawn | None:
    """A window drawn over all years; one that hangs on a year read off the piece in words."""
    if window is None:
        return None
    tables = visit.desk.reader.model.tables
    span = YearsDrawn(tables.years[0] + 50, tables.years[-1])
    if is_relative(window):
        return Drawn("counted from the year read off the piece", "", span, ())
    table = window_table(resolve(window, tables.years, tables.settings), tables.years)
    outline = strip_of(table, tables.years[0], span)
    return Drawn(years(*window_ends(window)), outline, span, ticks_of(span))


ROUTES = (
    ("GET", "/book", book),
    ("GET", "/book/feature/{name}", feature),
    ("GET", "/book/clue/{name}", clue),
    ("GET", "/book/maker/{name}", maker),
    ("GET", "/book/source/{name}", source),
)
