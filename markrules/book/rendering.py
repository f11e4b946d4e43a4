"""Pages of the book set in their templates; whatever comes from rules is escaped."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from markrules.book.drawing import axis, prior_drawing, window_drawing
from markrules.book.layout import KINDS, Key, Page, addresses, anchor, initial, pages
from markrules.book.sourcing import BASES, basis, counts, kinds_cited, supports
from markrules.book.words import (
    Part,
    condition_words,
    expectation_words,
    plain,
    share_words,
    text_of,
    window_words,
)
from markrules.inference.clues import features_of
from markrules.inference.settings import settings_of
from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Maker, Prior, Window

if TYPE_CHECKING:
    from jinja2 import Environment, Template
    from markupsafe import Markup

HERE = Path(__file__).parent
TEMPLATES = HERE / "templates"


@dataclass(frozen=True, eq=False)
class Book:
    """One knowledge base as a book, its years ending with `last_year`."""

    base: KnowledgeBase
    last_year: int

    @cached_property
    def pages(self) -> list[Page]:
        """The pages that hold entries."""
        return pages(self.base)

    @cached_property
    def addresses(self) -> dict[Key, str]:
        """Where every entry stands."""
        return addresses(self.base, self.pages)

    @cached_property
    def years(self) -> range:
        """The grid of years on which windows are drawn."""
        return range(self.settings.first_year, self.last_year + 1)

    @cached_property
    def settings(self) -> Any:
        """The engine's settings, for the slopes of windows."""
        return settings_of(self.base)

    @cached_property
    def supports(self) -> dict[str, list[Key]]:
        """The entries that each source supports."""
        return supports(self.base)

    @cached_property
    def clues_on(self) -> dict[str, list[str]]:
        """The clues that look at each feature, by the feature's name."""
        found: dict[str, list[str]] = {}
        for name, clue in self.base.clues.items():
            for feature in dict.fromkeys(features_of(self.base, clue.when)):
                found.setdefault(feature, []).append(name)
        return found

    def entry(self, kind: str, name: str) -> Any:
        """The entry of that kind and name."""
        return getattr(self.base, KINDS[kind])[name]

    def first_feature(self, clue: str) -> str:
        """The feature under which a clue stands."""
        return next(features_of(self.base, self.base.clues[clue].when), "")

    def grouped(self, page: Page) -> list[tuple[str, list[str]]]:
        """The features of a page, each with the clues of the page that stand under it."""
        groups: dict[str, list[str]] = {name: [] for name in page.holds.get("feature", ())}
        for clue in page.holds.get("clue", ()):
            groups.setdefault(self.first_feature(clue), []).append(clue)
        return list(groups.items())

    def group(self, maker: Maker) -> list[str]:
        """Other makers that share a mark, a line or an owner with this one."""
        return [
            name
            for name, other in self.base.makers.items()
            if other.group == maker.group and name != maker.name
        ]

    def looks_on(self, piece: str) -> list[str]:
        """The features that are looked for on a piece type and not on every piece."""
        kinds = self.base.broader(piece)
        return [
            name
            for name, feature in self.base.features.items()
            if any(each.name in kinds for each in feature.on)
        ]

    def example(self) -> Window | None:
        """A window that shows a hard limit and a bulk, for the front page."""
        windows = (clue.made for clue in self.base.clues.values())
        return next((each for each in windows if each and each.first and each.mostly_first), None)

    def told(self, page: Page) -> str:
        """What a page holds, in a few words."""
        shown = [(kind, len(names)) for kind, names in page.holds.items() if kind != "register"]
        if page.template == "register":
            return f"{len(self.base.registers[page.about].rows)} rows"
        return ", ".join(f"{count} {_plural(kind, count)}" for kind, count in shown)

    def files(self) -> Iterator[tuple[str, str]]:
        """Every file of the book: its name and its text, one after the other."""
        from markrules.book.markdown import markdown

        form = _environment(self)
        for at, page in enumerate(self.pages):
            before = self.pages[at - 1] if at else None
            after = self.pages[at + 1] if at + 1 < len(self.pages) else None
            yield page.file, _set(form.get_template(f"{page.template}.html"), page, before, after)
        for file, title in (
            ("index", "The book of rules"),
            ("all", "Index"),
            ("search", "Search"),
            ("sourcing", "How the entries are sourced"),
        ):
            page = Page(f"{file}.html", title, "", file)
            yield page.file, _set(form.get_template(f"{file}.html"), page, None, None)
        for asset in ("book.css", "search.js"):
            yield asset, (TEMPLATES / asset).read_text(encoding="utf-8")
        yield "book.md", markdown(self)

    def count(self) -> int:
        """How many entries the book holds."""
        return sum(page.count() for page in self.pages)


def _plural(kind: str, count: int) -> str:
    words = {"metal-mark": "mark", "piece": "type", "case": "example", "wording": "list"}
    word = words.get(kind, kind)
    if count == 1:
        return word
    return f"{word[:-1]}ies" if word.endswith("y") else f"{word.removesuffix('s')}s"


def _by_initial(makers: Iterable[Maker]) -> list[tuple[str, list[Maker]]]:
    found: dict[str, list[Maker]] = {}
    for maker in makers:
        found.setdefault(initial(maker), []).append(maker)
    return list(found.items())


def _set(template: Template, page: Page, before: Page | None, after: Page | None) -> str:
    return template.render(page=page, before=before, after=after)


def _environment(book: Book) -> Environment:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    from markrules.book.indexing import alphabet, search_data

    form = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_clean,
    )
    form.filters.update(
        plain=plain,
        anchor=lambda name, kind: anchor(kind, name),
        share=share_words,
        said=lambda parts: _linked(book, parts),
        when=lambda condition: _linked(book, condition_words(condition)),
        expectation=lambda expect: _linked(book, expectation_words(expect)),
        made=window_words,
        groupby_initial=_by_initial,
        extract=lambda name, entries: entries[name],
    )

    def drawn(text: str) -> Markup:
        # Drawn here from numbers and words already escaped, never from a rule's own text.
        return Markup(text)

    def window(made: Window | None) -> Markup:
        return drawn(window_drawing(made, book.years, book.settings))

    def prior(entry: Prior) -> Markup:
        return drawn(prior_drawing(entry, book.years))

    def figure(feature: str, value: str) -> Markup:
        return drawn(_figure(feature, value))

    form.globals.update(
        book=book,
        base=book.base,
        link=lambda kind, name: _linked(book, [Part(_name(book, kind, name), kind, name)]),
        window=window,
        prior=prior,
        axis=drawn(axis(book.years)),
        figure=figure,
        web_address=web_address,
        bases=BASES,
        basis=lambda entry: basis(book.base, entry),
        headings=lambda: headings(book),
        counts=lambda: counts(book.base),
        kinds_cited=lambda: kinds_cited(book.base),
        alphabet=lambda: alphabet(book),
        search_data=lambda: drawn(in_script(search_data(book))),
    )
    return form


def in_script(data: str) -> str:
    """JSON that cannot end the script element it stands in."""
    return data.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def web_address(where: str) -> str:
    """The text where it is an address of the web that may be followed, else empty."""
    ok = where.startswith(("https://", "http://")) and not any(each.isspace() for each in where)
    return where if ok else ""


def _name(book: Book, kind: str, name: str) -> str:
    if kind in ("maker", "register", "source") and name in getattr(book.base, KINDS[kind]):
        return str(book.entry(kind, name).title) or plain(name)
    return plain(name.rpartition("/")[2])


def _linked(book: Book, parts: Sequence[Part]) -> Markup:
    from markupsafe import Markup, escape

    return Markup("").join(
        Markup('<a href="{}">{}</a>').format(book.addresses[part.kind, part.name], part.text)
        if (part.kind, part.name) in book.addresses
        else escape(part.text)
        for part in _cleaned(parts)
    )


def _cleaned(parts: Iterable[Part]) -> Iterator[Part]:
    return (part._replace(text=str(_clean(part.text))) for part in parts)


def _figure(feature: str, value: str) -> str:
    """The line drawing of a value, where there is one."""
    from importlib import import_module
    from importlib.util import find_spec

    if find_spec("markrules.drawings") is None:
        return ""
    drawing = getattr(import_module("markrules.drawings"), "drawing", None)
    return (drawing(feature, value) if drawing is not None else None) or ""


HIDDEN = {"Cc", "Cs", "Zl", "Zp"}
TURNING = frozenset("\u200e\u200f\u061c\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def _clean(value: Any) -> Any:
    """A text without what a page must not hold: control characters and turns of direction."""
    from markupsafe import Markup

    if not isinstance(value, str) or isinstance(value, Markup):
        return "" if value is None else value
    return "".join(
        "\ufffd"
        if (unicodedata.category(each) in HIDDEN and each not in "\n\t") or each in TURNING
        else each
        for each in value
    )


def plain_text(parts: Sequence[Part]) -> str:
    """The words of a sentence without its links, fit to be shown."""
    return str(_clean(text_of(parts)))


def headings(book: Book) -> Mapping[str, list[Page]]:
    """The pages by part of the book."""
    found: dict[str, list[Page]] = {}
    for page in book.pages:
        found.setdefault(page.part, []).append(page)
    return found
