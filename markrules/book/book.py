"""One knowledge base as a book: its pages, where everything stands, and what goes together."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from markrules.book.layout import KINDS, Key, Page, addresses, pages
from markrules.book.sourcing import supports
from markrules.frozen import dataclass
from markrules.inference.clues import features_of
from markrules.inference.settings import Settings, settings_of
from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Maker, Register
from markrules.language.windows import Window
from markrules.telling.words import plural


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
    def settings(self) -> Settings:
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

    def row_sources(self, register: Register) -> list[tuple[str, str]]:
        """The sources and places that the rows of a register cite, each once, in their order."""
        cites = (cite for row in register.rows for cite in row.cites)
        return list(dict.fromkeys((cite.source.name, cite.place) for cite in cites))

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

    def count(self) -> int:
        """How many entries the book holds."""
        return sum(page.count() for page in self.pages)


def _plural(kind: str, count: int) -> str:
    words = {
        "metal-mark": "mark",
        "piece": "type",
        "case": "example",
        "wording": "list",
        "misleading": "situation",
    }
    word = words.get(kind, kind)
    return word if count == 1 else plural(word)
