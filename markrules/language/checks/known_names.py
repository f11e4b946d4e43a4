"""All that is known by name in the books being checked, and a place to note problems."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import field
from typing import Any, Literal, TypeVar

from markrules.frozen import dataclass
from markrules.language.builtin import BUILT_IN_SOURCES, with_built_in
from markrules.language.nearest import nearest
from markrules.language.problems import Place, Problem
from markrules.language.spans import Named, Span
from markrules.language.tree import (
    Book,
    Entry,
    Fault,
    Feature,
    Grade,
    MetalMark,
    Piece,
    Register,
    Remark,
    Slot,
)

_Kind = TypeVar("_Kind")


def kind_of(entry: Entry) -> str:
    """The kind of an entry as it is written in rules."""
    from markrules.language.kinds import NAMES  # a reading needs this module and not the table

    return NAMES[type(entry).__name__]


@dataclass(slots=True)
class KnownNames:
    """Entries by kind and name, features with the built-in ones, and the problems so far."""

    entries: Sequence[Entry]
    by_kind: Mapping[str, Mapping[str, Entry]]
    features: Mapping[str, Feature]
    values: Mapping[str, frozenset[str]]
    broken: frozenset[tuple[str, str]]
    drafts: Sequence[Entry] = ()
    problems: list[Problem] = field(default_factory=list)

    def each(self, kind: type[_Kind]) -> Iterator[_Kind]:
        """The entries of one type, in order."""
        return (entry for entry in self.entries if isinstance(entry, kind))

    def note(
        self,
        code: str,
        message: str,
        span: Span,
        *,
        also: Iterable[Place] = (),
        near: str | None = None,
        severity: Literal["error", "warning"] = "error",
    ) -> None:
        """Add a problem."""
        self.problems.append(Problem(code, message, span, tuple(also), near, severity))

    def warn(self, code: str, message: str, span: Span, also: Iterable[Place] = ()) -> None:
        """Add a warning."""
        self.note(code, message, span, also=also, severity="warning")

    def is_broken(self, kind: str, name: str) -> bool:
        """True if an entry of this kind and name lost a line, so that parts may be missing."""
        return (kind, name) in self.broken

    def resolve(self, kind: str, name: Named, what: str = "") -> Any:
        """The entry of that name, or None after a problem (none for one that is broken)."""
        known: Mapping[str, Any] = self.features if kind == "feature" else self.by_kind[kind]
        entry = known.get(name.name)
        if entry is None and not self.is_broken(kind, name.name):
            near = nearest(name.name, known)
            message = f'unknown {what or kind} "{name}"'
            self.note(f"unknown-{kind}", message, name.span, also=_place(known, near), near=near)
        return entry


def _place(known: Mapping[str, Any], near: str | None) -> tuple[Place, ...]:
    span: Span | None = known[near].span if near is not None else None
    return (Place(span, "written here"),) if span is not None and span.line else ()


def known_in(books: Iterable[Book], draft_books: Iterable[Book] = ()) -> KnownNames:
    """Everything by name; where a name stands twice, the first entry counts."""
    books = tuple(books)
    entries = [entry for book in books for entry in book.entries]
    from markrules.language.kinds import KINDS

    by_kind: dict[str, dict[str, Entry]] = {kind: {} for kind in KINDS}
    for entry in entries:
        by_kind[kind_of(entry)].setdefault(entry.name, entry)
    sources: dict[str, Entry] = {**BUILT_IN_SOURCES, **by_kind["source"]}
    by_kind["source"] = sources
    features = _all_features(by_kind)
    return KnownNames(
        entries,
        by_kind,
        features,
        {name: frozenset(value.name for value in each.values) for name, each in features.items()},
        frozenset(pair for book in books for pair in book.broken),
        tuple(entry for book in draft_books for entry in book.entries),
    )


def _all_features(by_kind: Mapping[str, Mapping[str, Entry]]) -> dict[str, Feature]:
    def all_of(kind: str, type_: type[_Kind]) -> list[_Kind]:
        return [entry for entry in by_kind[kind].values() if isinstance(entry, type_)]

    return with_built_in(
        {feature.name: feature for feature in all_of("feature", Feature)},
        all_of("piece", Piece),
        all_of("fault", Fault),
        all_of("metal-mark", MetalMark),
        all_of("register", Register),
        all_of("remark", Remark),
        {slot.name: slot for slot in all_of("slot", Slot)},
        all_of("grade", Grade),
    )
