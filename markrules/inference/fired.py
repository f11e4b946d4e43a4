"""The clues that speak in one reading, each with its tempered weight."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from markrules.frozen import dataclass
from markrules.inference.clues import ClueFacts
from markrules.inference.evidence import Factor
from markrules.inference.families import Member, weights
from markrules.inference.tables import (
    NO_YEARS,
    Observed,
    PriorYears,
    Voice,
    YearsRead,
    YearTables,
)
from markrules.knowledge.observation import Observation


@dataclass(frozen=True, slots=True)
class Fired:
    """A clue that holds for the piece. `used` are positions of the observations it rests on."""

    voice: Voice
    used: tuple[int, ...]
    factor: Factor


def fire(
    tables: YearTables,
    seen: Sequence[Observation],
    matched: Sequence[tuple[str, tuple[int, ...]]],
    prior: PriorYears,
    without: Collection[str] = (),
) -> tuple[list[Fired], list[ClueFacts]]:
    """The clues that speak, and those that hold but whose window lies off the grid of years.

    A clue whose window counts from a year read off the piece speaks once for each such year.
    Clues named in `without` are left out before families are counted.
    """
    speaking: list[tuple[Voice, tuple[int, ...]]] = []
    silent = []
    for name, used in matched:
        facts = tables.facts(name)
        if name in without or (facts.clue.made is None and not facts.points):
            continue
        ways = _years_read(used, seen) if facts.relative else ((used, NO_YEARS),)
        for positions, years_read in ways:
            voice = tables.voice(name, _observed(tables, positions, seen), years_read, prior)
            if voice is None:
                silent.append(facts)
            else:
                speaking.append((voice, positions))
    counts = weights(
        [
            Member(voice.facts.family, used, voice.likelihood.information)
            for voice, used in speaking
        ],
        tables.overlaps,
    )
    return [
        Fired(voice, used, tables.factor(voice, weight))
        for (voice, used), weight in zip(speaking, counts, strict=True)
    ], silent


def _years_read(
    used: tuple[int, ...], seen: Sequence[Observation]
) -> Iterator[tuple[tuple[int, ...], YearsRead]]:
    """The years that a clue's window counts from, each with the observations it rests on."""
    dated = [at for at in used if seen[at].years or seen[at].weights]
    undated = tuple(at for at in used if at not in dated)
    first_with: dict[YearsRead, int] = {}
    for at in dated:
        first_with.setdefault((_bracket(seen[at]), seen[at].weights), at)
    for years_read, at in first_with.items():
        yield (*undated, at), years_read


def _observed(tables: YearTables, used: tuple[int, ...], seen: Sequence[Observation]) -> Observed:
    """The chance that the observer is wrong, and the rates of the parts that were seen.

    The least sure observation decides how far the look can be trusted, and the part most
    often replaced how often a replacement is met; of one thing noted twice, the surer counts.
    """
    if len(used) == 1:
        each = seen[used[0]]
        feature = tables.base.features.get(each.feature)
        wrong = tables.certainty(each.certainty)
        return (wrong, feature.refit, feature.reuse) if feature is not None else (wrong, 0.0, 0.0)
    surest: dict[tuple[str, str, str], float] = {}
    refit = reuse = 0.0
    for at in used:
        each = seen[at]
        what = (each.feature, each.value, each.state)
        surest[what] = min(surest.get(what, 1.0), tables.certainty(each.certainty))
        feature = tables.base.features.get(each.feature)
        if feature is not None:
            refit, reuse = max(refit, feature.refit), max(reuse, feature.reuse)
    return max(surest.values(), default=0.0), refit, reuse


def _bracket(observation: Observation) -> tuple[int, int]:
    """The years that an observation gives, first and last."""
    if observation.weights:
        years = [year for year, _ in observation.weights]
        return min(years), max(years)
    first, last = observation.years or (0, 0)
    return min(first, last), max(first, last)
