"""What every entry rests on: published sources, common practice, memory, or nothing named."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from markrules.book.layout import KINDS, Key
from markrules.knowledge.base import KnowledgeBase

BASES = ("published", "common practice", "memory", "none")
UNPUBLISHED = {"practice": "common practice", "memory": "memory"}


def cited(base: KnowledgeBase) -> Iterator[tuple[Key, Any]]:
    """Every entry that can cite a source, marks and rows of registers among them."""
    for kind, place in KINDS.items():
        for name, entry in getattr(base, place).items():
            if hasattr(entry, "cites"):
                yield (kind, name), entry
            for mark in getattr(entry, "marks", ()):
                yield ("mark", f"{name}/{mark.name}"), mark
            for row in entry.rows if kind == "register" else ():
                yield ("row", f"{name}/{row.key}"), row


def basis(base: KnowledgeBase, entry: Any) -> str:
    """The best that an entry rests on, one of BASES.

    A row of a register without a citation of its own rests on the register's; that is for
    the caller to say, for here it is `none`.
    """
    kinds = {
        source.kind
        for cite in entry.cites
        if (source := base.sources.get(cite.source.name)) is not None
    }
    if kinds - set(UNPUBLISHED):
        return "published"
    return next((word for kind, word in UNPUBLISHED.items() if kind in kinds), "none")


def counts(base: KnowledgeBase) -> dict[str, Counter[str]]:
    """For each kind of entry, how many rest on what."""
    found: dict[str, Counter[str]] = {}
    for (kind, name), entry in cited(base):
        resting = entry
        if kind == "row" and not entry.cites:
            resting = base.registers[name.partition("/")[0]]
        found.setdefault(kind, Counter())[basis(base, resting)] += 1
    return found


def supports(base: KnowledgeBase) -> dict[str, list[Key]]:
    """For each source, the entries that cite it, each once; rows stand for their register."""
    found: dict[str, dict[Key, None]] = {name: {} for name in base.sources}
    for (kind, name), entry in cited(base):
        key = ("register", name.partition("/")[0]) if kind == "row" else (kind, name)
        for cite in entry.cites:
            found.setdefault(cite.source.name, {})[key] = None
    return {source: list(keys) for source, keys in found.items()}


def kinds_cited(base: KnowledgeBase) -> Counter[str]:
    """How many citations go to each kind of source."""
    return Counter(
        source.kind
        for _, entry in cited(base)
        for cite in entry.cites
        if (source := base.sources.get(cite.source.name)) is not None
    )
