"""The whole book as one Markdown file (CommonMark), with no raw HTML that rules could bring."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from markrules.book.cleaned import clean, plain_text
from markrules.book.layout import Page
from markrules.language.spans import Named
from markrules.language.tree import Cite, Row, SharesRow
from markrules.language.windows import Spread
from markrules.telling.conditions import (
    condition_words,
    expectation_words,
    order_words,
    plain,
    share_words,
    spread_words,
    window_words,
)

if TYPE_CHECKING:
    from markrules.book.book import Book

SPECIAL = re.compile(r"([\\`*_{}\[\]<>#|~&!$])|^([-+=])|^(\d+)([.)])")


def markdown(book: Book) -> str:
    """Every entry of the book, page by page."""
    lines = ["# The book of rules", "", f"Knowledge {safe(book.base.version)}.", ""]
    for page in book.pages:
        lines += [f"## {safe(page.title)}", "", *_page(book, page)]
    return "\n".join(lines).rstrip() + "\n"


def safe(text: str) -> str:
    """A text that Markdown takes as it stands: on one line, its special signs escaped."""
    one_line = " ".join(str(clean(text)).split())
    return SPECIAL.sub(_escaped, one_line)


def _escaped(found: re.Match[str]) -> str:
    """The sign after a backslash; of a number that would begin a list, what follows it."""
    # `3.` at the start of a line would begin a list: its stop is escaped, and not its number.
    if found[3]:
        return f"{found[3]}\\{found[4]}"
    return f"\\{found[0]}"


def _page(book: Book, page: Page) -> Iterator[str]:
    for kind, names in page.holds.items():
        for name in names:
            entry = book.entry(kind, name)
            title = getattr(entry, "title", "") or plain(name)
            yield f"### {safe(title)} ({safe(plain(kind))} `{name if _bare(name) else '?'}`)"
            yield ""
            facts = [*_facts(book, entry)]
            yield from (f"- {text}" for text in facts)
            yield ""


def _bare(name: str) -> bool:
    return re.fullmatch(r"[\w-]+", name) is not None


def _facts(book: Book, entry: Any) -> Iterator[str]:
    """What an entry says, one thing to a line, whatever its kind."""
    for field, label in TEXTS:
        said = getattr(entry, field, "")
        if isinstance(said, str) and said:
            yield f"{label}: {safe(said)}" if label else safe(said)
    for field, label in LISTS:
        items = getattr(entry, field, ())
        if isinstance(items, tuple) and items and not isinstance(items[0], tuple):
            yield f"{label}: {safe('; '.join(map(str, items)))}"
    yield from _years_and_shares(entry)
    if getattr(entry, "when", None) is not None:
        yield f"When: {safe(plain_text(condition_words(entry.when)))}"
    if getattr(entry, "told", None) is not None:
        yield f"When told: {safe(plain_text(condition_words(entry.told)))}"
    if getattr(entry, "unless", None) is not None:
        label = "Unless" if hasattr(entry, "truth") else "Borne out where"
        if hasattr(entry, "severity"):
            label = "No fault where a piece has none by nature"
        yield f"{label}: {safe(plain_text(condition_words(entry.unless)))}"
    if getattr(entry, "known", None) is not None:
        yield f"Known where told: {safe(plain_text(condition_words(entry.known)))}"
    if getattr(entry, "order", None) is not None:
        yield f"Order: {safe(plain_text(order_words(entry.order)))}"
    if getattr(entry, "means", None) is not None:
        yield f"So: {safe(' is '.join(plain(str(each)) for each in entry.means))}"
    yield from _inner(book, entry)
    if getattr(entry, "cites", ()):
        yield f"Sources: {_cites(book, entry.cites)}"


TEXTS = (
    ("ask", "Ask"),
    ("look", "Look"),
    ("say", ""),
    ("why", "Why"),
    ("misleads", "When it misleads"),
    ("but", "But"),
    ("kind", "Kind"),
    ("taken", "Taken for"),
    ("truth", "It is"),
    ("author", "Author"),
    ("where", "Where"),
    ("unit", "Unit"),
    ("effort", "Effort"),
    ("hazard", "Hazard"),
    ("region", "Where the window holds"),
    ("direction", "Speaks for make that is"),
    ("strength", "Strength"),
    ("level", "Level"),
    ("cause", "Cause"),
    ("originality", "Originality"),
    ("make", "Make"),
    ("severity", "Severity"),
    ("value", "Value"),
    ("mend", "Mending"),
    ("mend_how", "How to mend"),
    ("caution", "Caution"),
    ("city", "City"),
    ("country", "Country"),
    ("metal", "Metal"),
    ("how", "How made"),
    ("over", "Over"),
    ("law", "Law"),
    ("quote", "The mark may be quoted"),
    ("claim", "May be said"),
    ("never", "May not be said"),
    ("test", "What a professional would test"),
    ("about", "About"),
    ("instead", "Better words"),
    ("role", "Role"),
    ("note", "Note"),
)
LISTS = (
    ("also", "Also called"),
    ("reads", "Reads"),
    ("words", "Words"),
    ("fine", "Fine in"),
    ("on", "On"),
    ("of", "Of"),
    ("points", "Points to"),
    ("copies", "Later copies"),
    ("columns", "Columns"),
)


def _years_and_shares(entry: Any) -> Iterator[str]:
    for field, made in (("made", "made"), ("works", "worked"), ("used", "used")):
        if getattr(entry, field, None) is not None:
            yield f"Years: {window_words(getattr(entry, field), made)}"
    for field, label in (("refit", "Fitted later"), ("reuse", "Older parts used again")):
        share = getattr(entry, field, None)
        if share:
            yield f"{label}: {share_words(share)}"
    yield from _named(entry)
    for field, label in (("misread", "Wrong"), ("overlap", "Overlap"), ("weight", "Weight")):
        number = getattr(entry, field, None)
        if isinstance(number, float | int):
            yield f"{label}: {share_words(number) if field == 'misread' else f'{number:g}'}"
    if isinstance(getattr(entry, "value", None), float | int):
        yield f"Value: {entry.value:g}"
    for field, label in (
        ("fineness", "Thousandths of precious metal"),
        ("share", "Share"),
        ("brings", "Share of the price of a piece without a fault"),
        ("least_microns", "Least thickness in microns"),
        ("allow", "Thousandths allowed below the mark"),
        ("age", "Borne out at an age, in years, of"),
        ("year", "Year"),
    ):
        found = getattr(entry, field, None)
        if isinstance(found, Named):
            yield f"{label}: told as {safe(plain(found.name))}"
        elif found:
            yield f"{label}: {' to '.join(f'{each:g}' for each in _ends(found))}"
    points = getattr(entry, "points", ())
    if isinstance(points, float | int):
        yield f"From so many points of faults on: {points:g}"
    elif points and isinstance(points[0], tuple):
        yield "Weights: " + ", ".join(f"{year}: {weight:g}" for year, weight in points)


def _named(entry: Any) -> Iterator[str]:
    """What an entry names, and how common it is: in words or by the name of a commonness."""
    for field in ("trust", "family", "pieces", "common", "origin"):
        said = getattr(entry, field, None)
        if isinstance(said, Named):
            yield f"{field.capitalize()}: {safe(plain(said.name))}"
        elif isinstance(said, Spread):
            yield f"How common: {spread_words(said)}"


def _ends(found: float | tuple[float, float]) -> tuple[float, ...]:
    ends = found if isinstance(found, tuple) else (found,)
    return tuple(dict.fromkeys(ends))


def _inner(book: Book, entry: Any) -> Iterator[str]:
    for value in getattr(entry, "values", ()):
        words = "; ".join(each for each in (value.say, *value.also, value.look) if each)
        yield f"Value **{safe(plain(value.name))}**: {safe(words)}"
    for mark in getattr(entry, "marks", ()):
        yield f"Mark **{safe(mark.text or 'a device alone')}**: {'; '.join(_mark(book, mark))}"
    for row in getattr(entry, "rows", ()):
        yield f"Row {_shares_row(row) if isinstance(row, SharesRow) else _row(row)}"
    for given in getattr(entry, "given", ()):
        said = given if isinstance(given, str) else plain_text(condition_words(given))
        yield f"Given: {safe(said)}"
    expected = getattr(entry, "expect", ())
    yield from (f"Expect: {safe(plain_text(expectation_words(each)))}" for each in expected)


def _mark(book: Book, mark: Any) -> Iterator[str]:
    for said in (mark.form, mark.symbol, mark.method, mark.place, mark.note):
        if said:
            yield safe(said)
    if mark.beside:
        yield f"beside it {safe(', '.join(mark.beside))}"
    if mark.used is not None:
        yield window_words(mark.used, "used")
    if mark.cites:
        yield f"sources: {_cites(book, mark.cites)}"


def _shares_row(row: SharesRow) -> str:
    shares = ", ".join(f"{plain(value.name)} {share:.3g}" for value, share in row.values)
    return safe(f"{row.year}: {shares}")


def _row(row: Row) -> str:
    if row.first is not None:
        years = f"{row.first}" if row.first == row.last else f"{row.first} to {row.last}"
    else:
        sizes = dict.fromkeys(each for each in (row.low_mm, row.high_mm) if each is not None)
        years = " to ".join(f"{each:g}" for each in sizes) + " mm"
    more = ", ".join(f"{column} {text}" for column, text in row.qualifiers)
    return safe(f"{row.key}: {years}{f' ({more})' if more else ''} {row.note}".strip())


def _cites(book: Book, cites: Sequence[Cite]) -> str:
    def shown(cite: Cite) -> str:
        source = book.base.sources.get(cite.source.name)
        title = source.title if source is not None else cite.source.name
        return f"{safe(title)}{f', {safe(cite.place)}' if cite.place else ''}"

    return "; ".join(map(shown, cites))
