"""Citations numbered in the order in which a page first uses them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from markrules.inference.reading import Citation


@dataclass
class Sources:
    """The sources of a page; `numbers` gives theirs to a run of citations."""

    all: list[Citation] = field(default_factory=list)

    def numbers(self, cites: Iterable[Citation]) -> list[int]:
        """The number of each citation, a new one where it was not met before."""
        return [self._number(each) for each in cites]

    def _number(self, cite: Citation) -> int:
        known = [(each.source, each.place) for each in self.all]
        key = (cite.source, cite.place)
        if key not in known:
            self.all.append(cite)
            return len(self.all)
        return known.index(key) + 1
