"""Checked books to a knowledge base."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from markrules.knowledge.base import KnowledgeBase
from markrules.language.builtin import BUILT_IN_SOURCES, with_built_in
from markrules.language.checks.circles import dependencies, layers
from markrules.language.kinds import FIELDS
from markrules.language.tree import Book, Entry, Finding


def assembled(
    books: Iterable[Book], version: str, loaded_from: tuple[str, ...] = ()
) -> KnowledgeBase:
    """The base of all entries; where a name stands twice, the first entry is taken."""
    kinds: dict[str, Any] = {field: {} for field in FIELDS.values()}
    entries: Iterable[Entry] = (entry for book in books for entry in book.entries)
    for entry in entries:
        kinds[FIELDS[type(entry).__name__]].setdefault(entry.name, entry)
    kinds["sources"] = {**BUILT_IN_SOURCES, **kinds["sources"]}
    kinds["features"] = with_built_in(
        kinds["features"],
        kinds["pieces"].values(),
        kinds["faults"].values(),
        kinds["metal_marks"].values(),
        kinds["registers"].values(),
        kinds["remarks"].values(),
        kinds["slots"],
        kinds["grades"].values(),
    )
    kinds["findings"] = _in_order(kinds["findings"])
    return KnowledgeBase(version=version, loaded_from=loaded_from, **kinds)


def _in_order(findings: Mapping[str, Finding]) -> dict[str, Finding]:
    groups = layers(dependencies(findings.values()))
    return {name: findings[name] for group in groups for name in sorted(group)}
