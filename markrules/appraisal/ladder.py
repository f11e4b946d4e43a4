"""The grades of condition, as the rules set them: words, points and shares of a price."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from markrules.knowledge.base import KnowledgeBase

GRADE, SHARE, POINTS = "grade-", "price-share-", "points-"


@dataclass(frozen=True, slots=True)
class Grade:
    """A step of condition: a piece has it from so many `points` of faults on.

    `rank` counts steps from 0, the best. `share` is what such a piece fetches beside one of
    the best grade, above 0.
    """

    name: str
    rank: int
    points: float
    share: float

    @property
    def words(self) -> str:
        """The name as a person says it."""
        return self.name.replace("-", " ")


@dataclass(frozen=True, slots=True)
class Ladder:
    """All grades, best first, and the points of each severity."""

    grades: tuple[Grade, ...]
    points: Mapping[str, float]

    def at(self, points: float) -> Grade:
        """The grade that so many points reach."""
        return [each for each in self.grades if each.points <= points or each.rank == 0][-1]

    def in_words(self, text: str) -> Grade | None:
        """The grade whose words stand in a text, the worst of several; None where none does."""
        said = f" {' '.join(text.casefold().replace('-', ' ').split())} "
        return next((each for each in reversed(self.grades) if f" {each.words} " in said), None)


def ladder(base: KnowledgeBase) -> Ladder:
    """The grades of the rules: each setting `grade-NAME` is one, `price-share-NAME` its share.

    Rules without any grade give one grade that every piece has.
    """
    found = sorted(
        (entry.value, name.removeprefix(GRADE))
        for name, entry in base.settings.items()
        if name.startswith(GRADE) and SHARE + name.removeprefix(GRADE) in base.settings
    )
    grades = tuple(
        Grade(name, rank, points, max(1e-3, base.setting(SHARE + name, 1.0)))
        for rank, (points, name) in enumerate(found)
    )
    points = {
        name.removeprefix(POINTS): entry.value
        for name, entry in base.settings.items()
        if name.startswith(POINTS)
    }
    return Ladder(grades or (Grade("any", 0, 0.0, 1.0),), points)
