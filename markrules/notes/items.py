"""What stretches of a segment mean by themselves: a phrase, a measure, years."""

from __future__ import annotations

from markrules.named_tuple import NamedTuple
from markrules.notes.senses import NO_MEANING, Meaning, Sense

LINKS = ("link", "join")
"""Roles of little words that part or join things."""


class WrittenMeasure(NamedTuple):
    """One or more numbers with a unit: `numbers` in millimetres, grams or carats of 0.2 g.

    `end` is the token after the last one that belongs to it; `dimension` is length, mass or
    carat; `span` tells that two numbers are the ends of a range (`5-6 cm`).
    """

    end: int
    numbers: tuple[float, ...]
    dimension: str
    span: bool = False


class WrittenYears(NamedTuple):
    """A year, or years `first` to `last`; `exact` is false for decades and ranges."""

    end: int
    first: int
    last: int
    exact: bool


class Item(NamedTuple):
    """A matched stretch of tokens, from `first` up to `end`, and what it may mean."""

    first: int
    end: int
    meaning: Meaning = NO_MEANING
    measure: WrittenMeasure | None = None
    years: WrittenYears | None = None

    @property
    def senses(self) -> tuple[Sense, ...]:
        """What the phrase may mean."""
        return self.meaning.senses

    def role(self, *names: str) -> bool:
        """Whether one of the meanings is a wording with one of these roles."""
        return not self.meaning.roles.isdisjoint(names)

    def means(self, kind: str) -> bool:
        """Whether one of the meanings is of this kind."""
        return kind in self.meaning.kinds

    def value_of(self, *features: str) -> bool:
        """Whether one of the meanings is a value of one of these features."""
        return any(each.kind == "value" and each.name in features for each in self.senses)
