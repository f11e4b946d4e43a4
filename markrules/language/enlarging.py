"""What `more` entries add to entries that stand elsewhere: values of a feature, and words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from markrules.language.builtin import BUILT_IN_FEATURES, VALUES_AS_ENTRIES
from markrules.language.kinds import KINDS, NAMES
from markrules.language.nearest import nearest
from markrules.language.problems import Place, Problem
from markrules.language.spans import Span
from markrules.language.tree import ADDED_TO, Book, Entry, Feature, More, Value

_Key = tuple[str, str]
"""Kind and name of an entry."""
WITH_VALUES = ("choice", "many")
"""Kinds of features that have values."""


def enlarged(books: Iterable[Book]) -> tuple[list[Book], list[Problem]]:
    """The books with what their `more` entries add put into the entries meant; and problems.

    What is added is from then on as if it had stood there from the first, so that all else need
    know nothing of it. An addition that lost a line counts as a loss of the entry that is meant.
    """
    books = [_told_broken(book) for book in books]
    more = [entry for book in books for entry in book.entries if isinstance(entry, More)]
    if not more:
        return books, []
    adding = _Adding(books)
    for entry in more:
        adding.add(entry)
    return [
        replace(book, entries=tuple(adding.now(entry) for entry in book.entries)) for book in books
    ], adding.problems


def _told_broken(book: Book) -> Book:
    """A line lost below `more` may be what another entry asks of the one that is added to."""
    names = [name for kind, name in book.broken if kind == NAMES[More.__name__]]
    if not names:
        return book
    lost = tuple((kind, name) for name in names for kind in ADDED_TO)
    return replace(book, broken=(*book.broken, *lost))


class _Adding:
    """The entries as they stand, each with what has been added to it so far."""

    def __init__(self, books: Sequence[Book]) -> None:
        self.problems: list[Problem] = []
        self._broken = {pair for book in books for pair in book.broken}
        self._first: dict[_Key, Entry] = {}
        for book in books:
            for entry in book.entries:
                self._first.setdefault(_key(entry), entry)
        self._changed: dict[_Key, Any] = {}

    def now(self, entry: Entry) -> Entry:
        """An entry with what was added to it; of two of one name, the first is added to."""
        key = _key(entry)
        changed: Entry = self._changed.get(key, entry)
        return changed if self._first[key] is entry else entry

    def add(self, more: More) -> None:
        """Put one addition into the entry that it names, or tell why that cannot be."""
        key = (more.kind, more.name)
        found = self._changed.get(key, self._first.get(key))
        if not more.also and not more.values:
            if (NAMES[More.__name__], more.name) not in self._broken:
                message = f'more "{more.name}" adds nothing; give it a line `value` or `also`'
                self._note("missing-line", message, more.span)
        elif more.values and not self._takes_values(more, found):
            return
        elif found is None:
            self._unknown(more)
        else:
            self._changed[key] = self._grown(more, found)

    def _takes_values(self, more: More, found: Any) -> bool:
        span = more.values[0].span
        if more.kind != "feature":
            message = f"a {_called(more.kind)} has no values; `also` adds words to it"
            self._note("no-values", message, span)
            return False
        entries = VALUES_AS_ENTRIES.get(more.name)
        if entries is not None:
            message = f'the values of feature "{more.name}" are entries: write {entries} NAME'
            self._note("no-values", message, span)
            return False
        register = self._first.get(("register", more.name))
        kind = getattr(found, "kind", None)
        if more.name in BUILT_IN_FEATURES or (register is not None and found is None):
            kind = "text" if register is None else "year"
        if kind is None or kind in WITH_VALUES:
            return True
        message = f'feature "{more.name}" is of kind {kind} and takes no values'
        place = found if found is not None else register
        self._note("no-values", message, span, _defined(place))
        return False

    def _unknown(self, more: More) -> None:
        if (more.kind, more.name) in self._broken:
            return
        if more.kind == "feature" and more.name in BUILT_IN_FEATURES:
            message = f'feature "{more.name}" is built in; words for it stand in a feature entry'
            self._note("unknown-feature", message, more.span)
            return
        others = [kind for kind in ADDED_TO if (kind, more.name) in self._first]
        if others:
            message = (
                f'"{more.name}" is no {_called(more.kind)}; to add to the {_called(others[0])},'
                f" write: kind {others[0]}"
            )
            self._note(f"unknown-{more.kind}", message, more.span)
            return
        known = {name: each for (kind, name), each in self._first.items() if kind == more.kind}
        near = nearest(more.name, known)
        place = _defined(known[near]) if near is not None else ()
        self._note(
            f"unknown-{more.kind}", f'unknown {more.kind} "{more.name}"', more.span, place, near
        )

    def _grown(self, more: More, found: Any) -> Any:
        words = self._new_words(more.also, self._words_of_kind(more), more.span, _called(more.kind))
        found = replace(found, also=tuple(dict.fromkeys((*found.also, *words))))
        for value in more.values:
            found = self._with_value(found, value)
        return found

    def _words_of_kind(self, more: More) -> Mapping[str, tuple[str, Span]]:
        """The words of all other entries of the kind, with the name that each stands for."""
        return {
            word.casefold(): (name, each.span)
            for (kind, name), each in self._first.items()
            if kind == more.kind and name != more.name
            for word in _words(self._changed.get((kind, name), each))
        }

    def _with_value(self, feature: Feature, value: Value) -> Feature:
        there = next((each for each in feature.values if each.name == value.name), None)
        if there is None:
            return self._with_new(feature, value)
        what = f'value "{value.name}" of feature "{feature.name}"'
        if value.say or value.look or value.share is not None:
            message = (
                f"{what} is there already; to add words to it, write its name alone with `also` "
                "and `within` below it"
            )
            self._note("doubled-name", message, value.span, _defined(there, "first written here"))
            return feature
        taken = {
            word.casefold(): (each.name, each.span)
            for each in feature.values
            if each is not there
            for word in _words(each)
        }
        words = self._new_words(value.also, taken, value.span, f'value of "{feature.name}"')
        grown = replace(
            there,
            also=tuple(dict.fromkeys((*there.also, *words))),
            within=tuple({each.name: each for each in (*there.within, *value.within)}.values()),
        )
        values = tuple(grown if each is there else each for each in feature.values)
        return replace(feature, values=values)

    def _with_new(self, feature: Feature, value: Value) -> Feature:
        """A value without a title is taken for one that is there, so that a slip adds nothing."""
        if value.say:
            return replace(feature, values=(*feature.values, value))
        near = nearest(value.name, [each.name for each in feature.values])
        place = next((each for each in feature.values if each.name == near), None)
        message = (
            f'feature "{feature.name}" has no value "{value.name}"; to add one, write what it is '
            f'behind its name, such as: value {value.name} "…"'
        )
        self._note("unknown-value", message, value.span, _defined(place), near)
        return feature

    def _new_words(
        self, words: Sequence[str], taken: Mapping[str, tuple[str, Span]], span: Span, what: str
    ) -> Iterator[str]:
        """The words that stand for nothing else of the kind yet; each other is warned of."""
        for word in words:
            name, place = taken.get(word.casefold(), ("", span))
            if not name:
                yield word
                continue
            message = f'"{word}" stands for another {what} already, "{name}", and is not added'
            also = (Place(place, "also here"),) if place.line else ()
            self.problems.append(Problem("doubled-word", message, span, also, None, "warning"))

    def _note(
        self,
        code: str,
        message: str,
        span: Span,
        also: tuple[Place, ...] = (),
        near: str | None = None,
    ) -> None:
        self.problems.append(Problem(code, message, span, also, near))


def _key(entry: Entry) -> _Key:
    return NAMES[type(entry).__name__], entry.name


def _called(kind: str) -> str:
    return KINDS[kind].called or kind


def _words(entry: Any) -> Iterator[str]:
    yield entry.name.replace("-", " ")
    yield from getattr(entry, "also", ())


def _defined(entry: Any, reason: str = "written here") -> tuple[Place, ...]:
    return (Place(entry.span, reason),) if entry is not None and entry.span.line else ()
