"""What befell the parts that a misleading situation blames: how it changes what their clues say."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase

LATER_MARK = "later-mark"
"""The kind of a mark that was put on after the piece was made."""

LATER = frozenset({"replaced", "converted", "looks-later", LATER_MARK})
"""Kinds whose part or mark is later than the piece, or speaks of later years than it is of."""

EARLIER = frozenset({"old-part", "old-stock", "technique-lives-on", "reissue"})
"""Kinds whose part is older than the piece, or speaks of older years than the piece is of."""

SILENT = frozenset({"finding-mark", "namesake", "false-mark", "look-alike", "other-year"})
"""Kinds whose part says nothing of the years of the piece."""


DISOWNING = frozenset({"false-mark", "namesake", "look-alike"})
"""Kinds by which a name on a piece, or told of it, is not that of its maker."""

OF_THE_DESIGN = frozenset({"designed", "patented", "registered"})
"""What years date that lie before the piece, or are of another thing."""


@dataclass(frozen=True, slots=True)
class Fate:
    """The chances that a part was fitted later, is older, or says nothing, by what misleads."""

    refit: float = 0.0
    reuse: float = 0.0
    misread: float = 0.0

    def beside(self, other: Fate) -> Fate:
        """What two situations make likely of one part: of each the greater chance."""
        return Fate(
            max(self.refit, other.refit),
            max(self.reuse, other.reuse),
            max(self.misread, other.misread),
        )


SOUND = Fate()


def fate_by(kind: str, chance: float, dates: str = "") -> Fate:
    """What a situation of this kind makes likely of a part that it blames.

    `dates` is what the years of the part date: nothing is made before its design, so a year of
    that which is not the piece's own is an older one.
    """
    earlier = kind in EARLIER or (kind in SILENT and dates in OF_THE_DESIGN)
    return Fate(
        chance if kind in LATER else 0.0,
        chance if earlier else 0.0,
        chance if kind in SILENT and not earlier else 0.0,
    )


def fate_of(fates_of_parts: Mapping[str, Fate], features: Collection[str]) -> Fate:
    """What befell a part that was seen by these features."""
    fate = SOUND
    for each in features:
        fate = fate.beside(fates_of_parts.get(each, SOUND))
    return fate


def is_a_mark(base: KnowledgeBase, feature: str) -> bool:
    """Whether what is later of a feature was put on, as a mark is, and replaced nothing.

    Such features are blamed by a mark put on later, and are no parts that are met replaced.
    """
    seen = base.features.get(feature)
    return (seen is None or not seen.refit) and any(
        part.name == feature
        for entry in base.misleading.values()
        if entry.kind == LATER_MARK
        for part in entry.part
    )
