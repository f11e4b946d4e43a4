"""Pages of the book set in their templates; whatever comes from rules is escaped."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from markrules.book.book import Book
from markrules.book.cleaned import clean, cleaned
from markrules.book.layout import KINDS, Page, anchor, initial
from markrules.book.sourcing import BASES, basis, counts, kinds_cited
from markrules.book.window_drawings import axis, prior_drawing, spread_drawing, window_drawing
from markrules.language.tree import MISLEADING_KINDS, Maker, Prior
from markrules.language.windows import Window
from markrules.telling.conditions import (
    LinkedText,
    condition_words,
    expectation_words,
    order_words,
    plain,
    share_words,
    spread_words,
    window_words,
)

if TYPE_CHECKING:
    from jinja2 import Environment, Template
    from markupsafe import Markup

TEMPLATES = Path(__file__).parent / "templates"


def files(book: Book) -> Iterator[tuple[str, str]]:
    """Every file of the book: its name and its text, one after the other."""
    from markrules.book.markdown import markdown

    form = _environment(book)
    for at, page in enumerate(book.pages):
        before = book.pages[at - 1] if at else None
        after = book.pages[at + 1] if at + 1 < len(book.pages) else None
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
    yield "book.md", markdown(book)


def _by_initial(makers: Iterable[Maker]) -> list[tuple[str, list[Maker]]]:
    found: dict[str, list[Maker]] = {}
    for maker in makers:
        found.setdefault(initial(maker), []).append(maker)
    return list(found.items())


def _set(template: Template, page: Page, before: Page | None, after: Page | None) -> str:
    return template.render(page=page, before=before, after=after)


def _environment(book: Book) -> Environment:
    """The templates, with all that they ask for."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    form = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=clean,
    )
    form.filters.update(_filters(book))
    form.globals.update(_globals(book))
    return form


def _filters(book: Book) -> dict[str, Any]:
    """What templates make of an entry's fields, by name."""
    return {
        "plain": plain,
        # Not as a text: it is the name of a thing that pieces picture, too.
        anchor.__name__: lambda name, kind: anchor(kind, name),
        "share": share_words,
        "said": lambda parts: _linked(book, parts),
        "when": lambda condition: _linked(book, condition_words(condition)),
        "expectation": lambda expect: _linked(book, expectation_words(expect)),
        "ordered": lambda order: _linked(book, order_words(order)),
        "made": window_words,
        "spread": spread_words,
        "misleads": MISLEADING_KINDS.__getitem__,
        "figure": lambda number: f"{number:g}",
        "slots": lambda text: re.sub(r"\{(\w+)\}", r"(\1)", text),
        "capital": lambda text: text[:1].upper() + text[1:],
        "groupby_initial": _by_initial,
        "extract": lambda name, entries: entries[name],
    }


def _globals(book: Book) -> dict[str, Any]:
    """What templates draw and look up, by name."""
    from markupsafe import Markup

    from markrules.book.indexing import alphabet, search_data

    def drawn(text: str) -> Markup:
        # Drawn here from numbers and words already escaped, never from a rule's own text.
        return Markup(text)

    def window(made: Window | None) -> Markup:
        return drawn(window_drawing(made, book.years, book.settings))

    def curve(entry: Any) -> Markup:
        made = getattr(entry, "made", None)
        return drawn(spread_drawing(entry.common, made, book.years, book.settings))

    def prior(entry: Prior) -> Markup:
        return drawn(prior_drawing(entry, book.years))

    def figure(feature: str, value: str) -> Markup:
        return drawn(_figure(feature, value))

    return {
        "book": book,
        "base": book.base,
        "link": lambda kind, name: _linked(book, [LinkedText(_name(book, kind, name), kind, name)]),
        "window": window,
        "curve": curve,
        "prior": prior,
        "axis": drawn(axis(book.years)),
        "figure": figure,
        "web_address": web_address,
        "bases": BASES,
        "basis": lambda entry: basis(book.base, entry),
        "headings": lambda: headings(book),
        "counts": lambda: counts(book.base),
        "kinds_cited": lambda: kinds_cited(book.base),
        "alphabet": lambda: alphabet(book),
        "search_data": lambda: drawn(in_script(search_data(book))),
    }


def in_script(data: str) -> str:
    """JSON that cannot end the script element it stands in."""
    # Within a script `</script` ends it, even in a string; JSON can say these signs otherwise.
    return data.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def web_address(where: str) -> str:
    """The text where it is an address of the web that may be followed, else empty."""
    ok = where.startswith(("https://", "http://")) and not any(each.isspace() for each in where)
    return where if ok else ""


def _name(book: Book, kind: str, name: str) -> str:
    if kind in ("maker", "register", "source") and name in getattr(book.base, KINDS[kind]):
        return str(book.entry(kind, name).title) or plain(name)
    return plain(name.rpartition("/")[2])


def _linked(book: Book, parts: Sequence[LinkedText]) -> Markup:
    from markupsafe import Markup, escape

    return Markup("").join(
        Markup('<a href="{}">{}</a>').format(book.addresses[part.kind, part.name], part.text)
        if (part.kind, part.name) in book.addresses
        else escape(part.text)
        for part in cleaned(parts)
    )


def _figure(feature: str, value: str) -> str:
    """The line drawing of a value, where there is one."""
    from markrules.telling.drawings import drawing

    return drawing(feature, value) or ""


def headings(book: Book) -> Mapping[str, list[Page]]:
    """The pages by part of the book."""
    found: dict[str, list[Page]] = {}
    for page in book.pages:
        found.setdefault(page.part, []).append(page)
    return found
