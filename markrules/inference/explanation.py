"""What each clue gave to a reading, and the hard limits that the clues set."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log
from operator import itemgetter, mul

from markrules.frozen import dataclass
from markrules.inference.clues import citations
from markrules.inference.curves import Curve, curve_of
from markrules.inference.fired import Fired
from markrules.inference.makers import log_points_ratio
from markrules.inference.posterior import Posterior
from markrules.inference.reading import (
    Branches,
    CautionReading,
    ClueReading,
    FaultReading,
    SignReading,
)
from markrules.inference.tables import YearTables
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation

HALF = 0.5
"""A clue speaks for the years in which its window is above this, its highest being 1."""


def sign_readings(base: KnowledgeBase, names: Sequence[str]) -> tuple[SignReading, ...]:
    """The signs of these names."""
    return tuple(
        SignReading(
            sign=sign.name,
            direction=sign.direction,
            strength=sign.strength,
            say=sign.say,
            but=sign.but,
            cites=citations(base, sign.cites),
        )
        for sign in map(base.signs.__getitem__, names)
    )


def fault_readings(base: KnowledgeBase, names: Sequence[str]) -> tuple[FaultReading, ...]:
    """The faults of these names."""
    return tuple(
        FaultReading(
            fault=fault.name,
            say=fault.say,
            severity=fault.severity,
            value=fault.value,
            mend=fault.mend,
            mend_how=fault.mend_how,
            originality=fault.originality,
            caution=fault.caution,
            cites=citations(base, fault.cites),
        )
        for fault in map(base.faults.__getitem__, names)
    )


def caution_readings(base: KnowledgeBase, names: Sequence[str]) -> tuple[CautionReading, ...]:
    """The cautions of these names."""
    return tuple(
        CautionReading(
            caution=caution.name,
            level=caution.level,
            say=caution.say,
            cites=citations(base, caution.cites),
        )
        for caution in map(base.cautions.__getitem__, names)
    )


LN2 = log(2.0)


@dataclass(frozen=True, slots=True)
class Limits:
    """Hard limits with the names of the clues that set them; None where there is none."""

    not_before: int | None = None
    not_before_clue: str = ""
    not_after: int | None = None
    not_after_clue: str = ""


def clue_reading(
    tables: YearTables, fired: Fired, found: Posterior, seen: Sequence[Observation]
) -> ClueReading:
    """What one clue said, in the light of all the others."""
    facts, given, factor = fired.voice.facts, fired.voice.likelihood, fired.factor
    undone = factor.inverse.mean(found.curve)
    clue, years = facts.clue, tables.years
    return ClueReading(
        clue=clue.name,
        feature=facts.feature,
        words=", ".join([seen[at].words for at in fired.used if seen[at].words]),
        bits=_bits(tables, fired, found, undone),
        first=years[given.first],
        last=years[given.last],
        window=given.scaled,
        branches=_branches(fired, found.curve, undone),
        weight=factor.weight,
        trust=clue.trust.name,
        why=clue.why,
        misleads=clue.misleads,
        cites=facts.cites,
        gaps=_gaps(given.scaled, years, given.first, given.last),
    )


def _gaps(
    window: Sequence[float], years: range, first: int, last: int
) -> tuple[tuple[int, int], ...]:
    """The stretches of years between two positions where a window is not above one half."""
    gaps: list[tuple[int, int]] = []
    start: int | None = None
    for at in range(first, last + 1):
        if window[at] <= HALF:
            start = at if start is None else start
        elif start is not None:
            gaps.append((years[start], years[at - 1]))
            start = None
    return tuple(gaps)


def without_clue(fired: Fired, curve: Curve) -> Curve:
    """The posterior of the years with this clue's factor taken out."""
    return curve_of(list(map(mul, curve.table, fired.factor.inverse.table)))


def limits(tables: YearTables, fired: Sequence[Fired], readings: Sequence[ClueReading]) -> Limits:
    """The hard limits that sure evidence sets.

    A clue's `from` limits the piece when the clue can hardly be wrong (its trust and its
    observer together stay below the setting `limit-misread`) and the part is more likely
    than not as old as the piece or older: then the piece cannot be older than the part may
    be. Its `until` limits the piece in the same way when the part is more likely than not as
    old as the piece or younger. Two such limits never cross, for both parts cannot be more
    likely than not what they would have to be.
    """
    befores: list[tuple[int, str]] = []
    afters: list[tuple[int, str]] = []
    for each, reading in zip(fired, readings, strict=True):
        voice, share = each.voice, reading.branches
        if voice.rates.misread > tables.settings.limit_misread:
            continue
        if voice.first is not None and share.original + share.reuse > 0.5:
            befores.append((voice.first, reading.clue))
        if voice.last is not None and share.original + share.refit > 0.5:
            afters.append((voice.last, reading.clue))
    before = max(befores, key=itemgetter(0), default=(None, ""))
    after = min(afters, key=itemgetter(0), default=(None, ""))
    return Limits(*before, *after)


def _bits(tables: YearTables, fired: Fired, found: Posterior, undone: float) -> float:
    """The information that a clue gave, in bits; `undone` is E_P[1 / F] over the years.

    It is the Kullback-Leibler divergence of the posterior P from the posterior Q without the
    clue's factor F, over (maker, year), with the weights of the other clues left as they
    are. As Q ∝ P / F, it equals E_P[ln F] + ln E_P[1 / F]. A clue that points to no maker
    has the same factor for every maker, so sums over the years are enough.
    """
    gained = fired.factor.weight * fired.factor.log.mean(found.curve)
    points = fired.voice.facts.points
    if points:
        pointed = [at for at, each in enumerate(found.hypotheses) if each.maker in points]
        ratio, joint = log_points_ratio(tables, fired), found.share(pointed)
        gained += ratio * sum(joint)
        undone += (exp(-ratio) - 1.0) * sum(map(mul, joint, fired.factor.inverse.table))
    return max(0.0, (gained + log(undone)) / LN2)


def _branches(fired: Fired, curve: Curve, undone: float) -> Branches:
    """The posterior probability of each branch: P(branch | year, clue) averaged over the years.

    The misread branch adds the same to L in every year, so its share is that times the mean
    of 1 / L, which for a clue of full weight is `undone`.
    """
    given = fired.voice.likelihood
    if fired.factor.weight != 1.0:
        undone = given.inverse.mean(curve)
    misread = given.misread * undone
    refit = given.refit.mean(curve) if given.refit is not None else 0.0
    reuse = given.reuse.mean(curve) if given.reuse is not None else 0.0
    return Branches(max(0.0, 1.0 - misread - refit - reuse), refit, reuse, misread)
