"""The index of the book: every entry by letter, and the words by which search finds it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import TYPE_CHECKING

from markrules.book.layout import KINDS, slug
from markrules.language.kinds import KINDS as ENTRY_KINDS
from markrules.named_tuple import NamedTuple
from markrules.telling.conditions import plain

if TYPE_CHECKING:
    from markrules.book.book import Book

UNLISTED = ("source", "case")
"""Kinds left out of the index by letter, each having a page that is a list itself."""

LONGEST = 200
"""Characters of further words kept for an entry: enough for its synonyms."""


class Indexed(NamedTuple):
    """An entry as it stands in the index: its name, its kind in words, and where it is."""

    title: str
    kind: str
    address: str
    words: str


def indexed(book: Book) -> Iterator[Indexed]:
    """Every entry of the book, and every value and mark inside one."""
    for kind, place in KINDS.items():
        shown = ENTRY_KINDS[kind].called or kind
        for name, entry in getattr(book.base, place).items():
            address = book.addresses.get((kind, name))
            if address is None:
                continue
            title = getattr(entry, "title", "") or plain(name)
            yield Indexed(title, shown, address, _words(title, entry, name))
            for value in getattr(entry, "values", ()) if kind == "feature" else ():
                inner = book.addresses.get(("value", f"{name}/{value.name}"))
                if inner is None:
                    continue
                words = _words(plain(value.name), value, value.name)
                yield Indexed(plain(value.name), plain(name), inner, words)
            for mark in getattr(entry, "marks", ()):
                inner = book.addresses["mark", f"{name}/{mark.name}"]
                shown_mark = mark.text or mark.symbol or plain(mark.name)
                yield Indexed(shown_mark, f"mark of {title}", inner, "")


def alphabet(book: Book) -> list[tuple[str, list[Indexed]]]:
    """The index by letter; sources and worked examples stand on pages of their own."""
    letters: dict[str, list[Indexed]] = {}
    for each in indexed(book):
        if each.kind not in UNLISTED:
            first = slug(each.title)[0].upper()
            letters.setdefault(first if first.isalpha() else "#", []).append(each)
    return [
        (letter, sorted(letters[letter], key=lambda each: (each.title.casefold(), each.kind)))
        for letter in sorted(letters)
    ]


def search_data(book: Book) -> str:
    """The index as JSON: rows of title, kind, address and further words."""
    rows = [list(each) for each in indexed(book)]
    return json.dumps(rows, ensure_ascii=True, separators=(",", ":"))


def _words(title: str, entry: object, name: str) -> str:
    """Other words for an entry, without those of its title."""
    also = [*getattr(entry, "also", ()), *getattr(entry, "reads", ())]
    words = [plain(name), getattr(entry, "say", "") or "", *also]
    return " · ".join(dict.fromkeys(each for each in words if each and each != title))[:LONGEST]
