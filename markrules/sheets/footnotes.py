"""Citations, numbered in the order in which they are first used."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from markrules.inference.reading import Citation
from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Cite
from markrules.sheets.words import visible


@dataclass
class Footnotes:
    """Numbers sources. `base` adds what a reading does not carry: author, year, where to find."""

    base: KnowledgeBase
    numbers: dict[tuple[str, str], int] = field(default_factory=dict)
    texts: list[str] = field(default_factory=list)

    def numbers_of(self, cites: Iterable[Citation]) -> list[int]:
        """The numbers of the citations, each once."""
        found = [self._number(each.source, each.place, each.title) for each in cites]
        return list(dict.fromkeys(found))

    def _number(self, name: str, place: str, title: str) -> int:
        key = (name, place)
        if key not in self.numbers:
            self.numbers[key] = len(self.numbers) + 1
            self.texts.append(visible(self._text(name, place, title)))
        return self.numbers[key]

    def _text(self, name: str, place: str, title: str) -> str:
        source = self.base.sources.get(name)
        if source is None:
            return ", ".join(part for part in (title, place) if part)
        year = str(source.year) if source.year and str(source.year) not in source.title else ""
        author = source.author if source.author not in source.title else ""
        parts = (author, source.title, source.where, year, place)
        return ", ".join(part for part in parts if part)


def citations(base: KnowledgeBase, cites: Iterable[Cite]) -> tuple[Citation, ...]:
    """Citations of an entry in the form in which a reading gives them."""
    return tuple(
        Citation(each.source.name, source.title if source else each.source.name, each.place, kind)
        for each in cites
        for source in (base.sources.get(each.source.name),)
        for kind in (source.kind if source else "",)
    )
