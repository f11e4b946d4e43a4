"""The clues that speak in one reading, each with its tempered weight."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from markrules.inference.clues import ClueFacts
from markrules.inference.evidence import Factor, Likelihood, combined_misread
from markrules.inference.families import weights
from markrules.inference.observation import Observation
from markrules.inference.tables import PriorYears, Saying, YearTables


@dataclass(frozen=True, slots=True)
class Fired:
    """A clue that holds for the piece. `used` are positions of the observations it rests on."""

    facts: ClueFacts
    used: tuple[int, ...]
    saying: Saying
    likelihood: Likelihood
    factor: Factor


@dataclass(frozen=True, slots=True)
class Silent:
    """A clue that holds but whose window lies off the grid of years."""

    facts: ClueFacts


def fire(
    tables: YearTables,
    seen: Sequence[Observation],
    matched: Sequence[tuple[str, tuple[int, ...]]],
    prior: PriorYears,
    without: Collection[str] = (),
) -> tuple[list[Fired], list[Silent]]:
    """The clues that speak, and those that hold but say nothing on the grid.

    A clue whose window counts from a year read off the piece speaks once for each such year.
    Clues named in `without` are left out before families are counted.
    """
    speaking: list[tuple[ClueFacts, tuple[int, ...], Saying, Likelihood]] = []
    silent = []
    for name, used in matched:
        facts = tables.facts(name)
        if name in without or (facts.clue.made is None and not facts.points):
            continue
        for positions, saying in _sayings(tables, facts, used, seen):
            given = tables.likelihood(saying, prior)
            if given is None:
                silent.append(Silent(facts))
            else:
                speaking.append((facts, positions, saying, given))
    counts = weights([(facts.family, used) for facts, used, _, _ in speaking], tables.overlaps)
    return [
        Fired(facts, used, saying, given, tables.factor(saying, prior, given, weight))
        for (facts, used, saying, given), weight in zip(speaking, counts, strict=True)
    ], silent


def _sayings(
    tables: YearTables, facts: ClueFacts, used: tuple[int, ...], seen: Sequence[Observation]
) -> Iterator[tuple[tuple[int, ...], Saying]]:
    """What a clue says, once for each year read off the piece where its window needs one."""
    if not facts.relative:
        yield used, _saying(tables, facts, [seen[at] for at in used])
        return
    undated = [at for at in used if not (seen[at].years or seen[at].weights)]
    spoken = set()
    for at in used:
        each = seen[at]
        if at in undated or (each.years, each.weights) in spoken:
            continue
        spoken.add((each.years, each.weights))
        positions = (*undated, at)
        bracket = _bracket(each)
        yield positions, _saying(tables, facts, [seen[p] for p in positions], bracket, each.weights)


def _saying(
    tables: YearTables,
    facts: ClueFacts,
    used: Sequence[Observation],
    bracket: tuple[int, int] | None = None,
    weighted: tuple[tuple[int, float], ...] = (),
) -> Saying:
    """A clue with the rates that these observations give it.

    The least sure observation decides how far the look can be trusted, and the part most
    often replaced how often a replacement is met; of one thing noted twice, the surer counts.
    """
    surest: dict[tuple[str, str, str], float] = {}
    for each in used:
        what = (each.feature, each.value, each.state)
        surest[what] = min(surest.get(what, 1.0), tables.certainty(each.certainty))
    entries = [
        tables.base.features[each.feature] for each in used if each.feature in tables.base.features
    ]
    clue = facts.clue
    refit, reuse = clue.refit, clue.reuse
    if refit is None:
        refit = max((entry.refit for entry in entries), default=0.0)
    if reuse is None:
        reuse = max((entry.reuse for entry in entries), default=0.0)
    misread = combined_misread(facts.misread, max(surest.values(), default=0.0))
    return Saying(clue.name, tables.rates(misread, refit, reuse), bracket, weighted)


def _bracket(observation: Observation) -> tuple[int, int]:
    """The years that an observation gives, first and last."""
    if observation.weights:
        years = [year for year, _ in observation.weights]
        return min(years), max(years)
    first, last = observation.years or (0, 0)
    return min(first, last), max(first, last)
