"""What stands on which page of the book, and the address of every entry."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import field
from pathlib import Path
from typing import Any

from markrules.frozen import dataclass
from markrules.inference.clues import features_of
from markrules.knowledge.base import KnowledgeBase
from markrules.language.kinds import KINDS as ENTRY_KINDS
from markrules.language.tree import Maker
from markrules.telling.conditions import VALUES_THAT_ARE_ENTRIES, plain

Key = tuple[str, str]
"""Kind and name of an entry; a value is `feature/value`, a mark `maker/mark`."""

KINDS = {name: kind.field for name, kind in ENTRY_KINDS.items()}
"""Every kind of entry, and where the knowledge base keeps it."""

MAKERS_ON_A_PAGE = 40
SINGLE_PAGES = (
    ("type", "types", "Named types", "Looking"),
    ("misleading", "misleading", "What misleads", "Looking"),
    ("metal-mark", "metal-marks", "Marks of metal content", "Marks"),
    ("sign", "signs", "Signs of better and poorer make", "Make, condition, care"),
    ("fault", "condition", "Faults and condition", "Make, condition, care"),
    ("caution", "cautions", "Cautions", "Make, condition, care"),
    ("claim", "claims", "Words of a listing", "Make, condition, care"),
    ("piece", "pieces", "Piece types", "How it works"),
    ("wording", "wordings", "Words of a note", "How it works"),
    ("case", "cases", "Worked examples", "How it works"),
)
OF_KINDS = ("piece", "metal-mark")
"""Built-in features whose values are entries of a kind with a page of its own."""

OF_SUBJECTS = ("feature", "clue", "finding")
"""Kinds that stand on the page of their subject."""

APART = (*OF_SUBJECTS, "maker", "register", "source", *(kind for kind, *_ in SINGLE_PAGES))
RECKONING = tuple(kind for kind in KINDS if kind not in APART)
"""Kinds without a page of their own: they tell how readings are made."""


@dataclass(frozen=True, slots=True)
class Page:
    """One page: its file, its title, the part of the book it stands in, and what it holds.

    `template` names the form it is set in; `about` the one thing it is about, if it is.
    """

    file: str
    title: str
    part: str
    template: str
    holds: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    about: str = ""

    def count(self) -> int:
        """How many entries stand on it."""
        return sum(map(len, self.holds.values()))


def pages(base: KnowledgeBase) -> list[Page]:
    """All pages that hold entries, in the order of the book."""
    found = [*_subjects(base), *_makers(base), *_registers(base)]
    for kind, file, title, part in SINGLE_PAGES:
        holds = {kind: tuple(getattr(base, KINDS[kind]))}
        if _unwritten(base, kind):
            holds["feature"] = (kind,)
        found.append(Page(f"{file}.html", title, part, kind, holds))
    reckoning = {kind: tuple(getattr(base, KINDS[kind])) for kind in RECKONING}
    found.append(
        Page("reckoning.html", "Trust, priors and settings", "How it works", "reckoning", reckoning)
    )
    sources = {"source": tuple(base.sources)}
    found.append(Page("sources.html", "Sources", "How it works", "source", sources))
    order = ("Looking", "Marks", "Make, condition, care", "How it works")
    return sorted(found, key=lambda page: order.index(page.part))


def addresses(base: KnowledgeBase, pages: Iterable[Page]) -> dict[Key, str]:
    """The address of each entry, value and mark: `fastenings.html#clue-rollover-catch`."""
    found: dict[Key, str] = {}
    for page in pages:
        for kind, names in page.holds.items():
            for name in names:
                found[kind, name] = f"{page.file}#{anchor(kind, name)}"
                for inner in _inside(base, kind, name):
                    found[inner] = f"{page.file}#{anchor(*inner)}"
    return found


def anchor(kind: str, name: str) -> str:
    """The mark inside a page by which an entry is found."""
    return f"{kind}-{slug(name)}"


def slug(text: str) -> str:
    """A text in the letters that a file name and an address may hold."""
    return re.sub(r"[^a-z0-9]+", "-", text.casefold()).strip("-") or "unnamed"


def subject_of(base: KnowledgeBase, entry: Any) -> str:
    """The subject that an entry belongs to: its rule file below the folder of rules."""
    if not entry.span.file:
        return "common to all"
    path = Path(entry.span.file)
    for root in base.loaded_from:
        if path.is_relative_to(root):
            path = path.relative_to(root)
            break
    else:
        path = Path(path.name)
    return "/".join(path.with_suffix("").parts)


def _inside(base: KnowledgeBase, kind: str, name: str) -> Iterator[Key]:
    if kind == "feature" and name not in VALUES_THAT_ARE_ENTRIES:
        for value in base.features[name].values:
            yield "value", f"{name}/{value.name}"
    if kind == "maker":
        for mark in base.makers[name].marks:
            yield "mark", f"{name}/{mark.name}"


def _unwritten(base: KnowledgeBase, feature: str) -> bool:
    """Whether a feature is built in and no rule adds to it; it stands on the page of its kind."""
    entry = base.features.get(feature)
    return entry is not None and not entry.span.file


def _subjects(base: KnowledgeBase) -> Iterator[Page]:
    """A page for each rule file with features, clues or findings that have no other place."""
    held: dict[str, dict[str, list[str]]] = {}
    titles: dict[str, str] = {}
    kept = {name for name in OF_KINDS if _unwritten(base, name)} | set(base.registers)
    for kind in OF_SUBJECTS:
        for name, entry in getattr(base, KINDS[kind]).items():
            if name in kept if kind == "feature" else _register_of(base, kind, name):
                continue
            subject = subject_of(base, entry)
            titles.setdefault(slug(subject), subject)
            held.setdefault(slug(subject), {}).setdefault(kind, []).append(name)
    for file in sorted(held, key=lambda each: (titles[each].count("/"), titles[each])):
        names = {kind: tuple(each) for kind, each in held[file].items()}
        yield Page(f"look-{file}.html", _title(titles[file]), "Looking", "subject", names)


def _register_of(base: KnowledgeBase, kind: str, name: str) -> str:
    """The register on whose page a clue stands, as it looks at it first; else empty."""
    if kind != "clue":
        return ""
    feature = next(features_of(base, base.clues[name].when), "")
    return feature if feature in base.registers else ""


def _title(subject: str) -> str:
    folder, _, name = subject.rpartition("/")
    words = plain(f"{folder.replace('/', ', ')}: {name}" if folder else name)
    return words[:1].upper() + words[1:]


def _makers(base: KnowledgeBase) -> Iterator[Page]:
    """Makers by country; many of one country stand on several pages, by initial."""
    countries: dict[str, list[Maker]] = {}
    for maker in base.makers.values():
        countries.setdefault(maker.country or "Country not known", []).append(maker)
    taken: set[str] = set()
    for country in sorted(countries, key=lambda each: (-len(countries[each]), each)):
        ordered = sorted(countries[country], key=lambda maker: maker.title.casefold())
        shares = list(_shelves(ordered))
        for share in shares:
            span = "" if len(shares) == 1 else _span(share)
            file = _free(f"makers-{slug(f'{country} {span}')}", taken)
            title = f"Makers: {country}{f', {span}' if span else ''}"
            names = tuple(maker.name for maker in share)
            yield Page(f"{file}.html", title, "Marks", "maker", {"maker": names}, country)


def _shelves(makers: Sequence[Maker]) -> Iterator[list[Maker]]:
    """Makers on pages of about MAKERS_ON_A_PAGE, one initial never on two."""
    shelf: list[Maker] = []
    for maker in makers:
        if len(shelf) >= MAKERS_ON_A_PAGE and initial(maker) != initial(shelf[-1]):
            yield shelf
            shelf = []
        shelf.append(maker)
    if shelf:
        yield shelf


def _span(makers: Sequence[Maker]) -> str:
    first, last = initial(makers[0]), initial(makers[-1])
    return first if first == last else f"{first} to {last}"


def initial(maker: Maker) -> str:
    """The letter under which a maker stands; `#` for a figure or a sign."""
    letter = maker.title[:1].upper()
    return letter if letter.isalpha() else "#"


def _registers(base: KnowledgeBase) -> Iterator[Page]:
    taken: set[str] = set()
    for register in sorted(base.registers.values(), key=lambda each: each.title.casefold()):
        file = _free(f"register-{slug(register.name)}", taken)
        holds: dict[str, tuple[str, ...]] = {"register": (register.name,)}
        if register.name in base.features:
            holds["feature"] = (register.name,)
        holds["clue"] = tuple(
            name for name in base.clues if _register_of(base, "clue", name) == register.name
        )
        title = register.title or plain(register.name)
        yield Page(f"{file}.html", title, "Marks", "register", holds, register.name)


def _free(file: str, taken: set[str]) -> str:
    """A file name not taken yet, by a number behind it if need be."""
    name, number = file, 2
    while name in taken:
        name, number = f"{file}-{number}", number + 1
    taken.add(name)
    return name
