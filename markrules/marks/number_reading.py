"""What one stamped number says, and what it tells the engine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markrules.knowledge.observation import Observation

OPEN_END = 2100
"""Stands for "not known" as the last year of an observation whose bracket is open."""


@dataclass(frozen=True, slots=True)
class NumberReading:
    """One number, letter or date read off a piece, and the years that it stands for.

    `register` names the register, or the feature of kind year for a date. `number` is the
    number as read (digits and `?`), `first` and `last` the years of issue, `last` None where
    the table ends before. `years` holds (year, relative likelihood) where there are several
    years apart; `dated` marks a date written out. `weight` is the share of this reading among
    all that the text allows; `alternatives` are the others, likeliest first. `start` and `end`
    are places in the text.
    """

    register: str
    number: str
    first: int
    last: int | None
    what: str
    note: str
    words: str
    start: int
    end: int
    weight: float = 1.0
    years: tuple[tuple[int, float], ...] = ()
    sources: tuple[str, ...] = ()
    dated: bool = False
    alternatives: tuple[NumberReading, ...] = ()


def observations_from_numbers(readings: Sequence[NumberReading]) -> tuple[Observation, ...]:
    """What the numbers say, as observations on their registers, the likeliest reading of each.

    A reading that had rivals is less sure, and says what was assumed.
    """
    return tuple(_observation(reading) for reading in readings)


def _observation(reading: NumberReading) -> Observation:
    certainty = "sure" if reading.weight >= 0.9 else "fair" if reading.weight >= 0.7 else "guess"
    rivals = ", ".join(f"{each.what} of {_span(each)}" for each in reading.alternatives)
    assumed = f"taken for a {reading.what} of {_span(reading)}; could be a {rivals}"
    last = OPEN_END if reading.last is None else reading.last
    single = reading.dated and reading.last == reading.first
    return Observation(
        reading.register,
        reading.number,
        number=float(reading.first) if single else None,
        years=(reading.first, last),
        certainty=certainty,
        words=reading.words,
        assumed=assumed if rivals else "",
        weights=reading.years,
    )


def _span(reading: NumberReading) -> str:
    if reading.last is None:
        return f"{reading.first} or later"
    single = reading.first == reading.last
    return str(reading.first) if single else f"{reading.first}–{reading.last}"
