"""What the curve of a clue is made of: where that is as it was, so is the curve."""

from __future__ import annotations

from markrules.inference.clues import ClueFacts
from markrules.inference.priors import ANY_TYPE, prior_for
from markrules.inference.settings import Settings
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.own_files import checksum
from markrules.language.conditions import Is


class CurveSources:
    """The sources of the curves of one base.

    They are told as Python shows them, without where they stand: equal entries are shown alike,
    and every digit of a number is.
    """

    def __init__(self, base: KnowledgeBase, settings: Settings) -> None:
        """What all curves have in common is told once."""
        self._base = base
        self._numbers = repr(settings)
        self._origins = [(each.name, each.share) for each in base.origins.values() if each.share]
        self._references: dict[tuple[str, ...], str] = {}

    def digest(self, facts: ClueFacts) -> str:
        """A hash of all that `YearTables` makes the curve of a clue from, but for its years."""
        clue = facts.clue
        told = (
            self._numbers,
            clue.made,
            clue.common,
            facts.relative,
            self._reference(facts.on),
            self._competing(facts),
        )
        return checksum(repr(told).encode("utf-8", "replace"))

    def of_marks(self) -> str:
        """A hash of all that the windows of all marks are made from, but for their years."""
        makers = [
            (
                maker.name,
                maker.works,
                maker.pieces,
                [(mark.name, mark.text, mark.used) for mark in maker.marks],
            )
            for maker in self._base.makers.values()
        ]
        return checksum(
            repr((self._numbers, self._reference(()), makers)).encode("utf-8", "replace")
        )

    def _reference(self, types: tuple[str, ...]) -> str:
        """The priors that make the curve of all pieces of some types, with their shares."""
        if types not in self._references:
            named = [("", ANY_TYPE, 1.0)]  # where no origin tells its share, or no type is named
            named += [(origin, kind, share) for kind in types for origin, share in self._origins]
            self._references[types] = repr(
                [(share, self._prior(origin, kind)) for origin, kind, share in named]
            )
        return self._references[types]

    def _prior(self, origin: str, kind: str) -> object:
        entry = prior_for(self._base, kind, origin)
        return (entry.common, entry.points) if entry is not None else None

    def _competing(self, facts: ClueFacts) -> object:
        """The tables of shares that may tell of the clue, with what they are made for."""
        when = facts.clue.when
        if not self._base.shares or not isinstance(when, Is):
            return None
        tables = [
            table
            for name, table in self._base.shares.items()
            if when.feature.name in (name, *(of.name for of in table.of))
        ]
        feature = self._base.features.get(when.feature.name)
        values = [each.name for each in feature.values] if tables and feature is not None else []
        return (when, facts.on, tables, values) if tables else None
