"""What each clue gave to a reading, and the hard limits that the clues set."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log
from operator import add, itemgetter, mul

from markrules.frozen import dataclass
from markrules.inference.clues import citations
from markrules.inference.curves import Curve, curve_of
from markrules.inference.evidence import Voiced
from markrules.inference.fired import Fired, SharedFate
from markrules.inference.makers import log_points_ratio
from markrules.inference.posterior import Posterior
from markrules.inference.reading import (
    Branches,
    CautionReading,
    ClueReading,
    FaultReading,
    SignReading,
)
from markrules.inference.year_tables import Voice, YearTables
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.language.tree import Type

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


@dataclass(frozen=True, slots=True)
class WeighedClue:
    """One clue in the light of all: its part's factors by kind, and its place among its clues."""

    fired: Fired
    part: SharedFate
    at: int

    def voices(self) -> list[Voiced]:
        """What the clue does in its part's factor, for each kind of piece."""
        return [each.voices[self.at] for each in self.part.factors]


def said(parts: Sequence[SharedFate]) -> list[WeighedClue]:
    """All clues, in the order of the parts."""
    return [WeighedClue(each, part, at) for part in parts for at, each in enumerate(part.fired)]


def clue_reading(
    tables: YearTables, clue: WeighedClue, found: Posterior, seen: Sequence[Observation]
) -> ClueReading:
    """What one clue said, in the light of all the others."""
    fired = clue.fired
    voice, facts, years = fired.voice, fired.voice.facts, tables.years
    entry = facts.clue
    return ClueReading(
        clue=entry.name,
        feature=facts.feature,
        words=", ".join([seen[at].words for at in fired.used if seen[at].words]),
        bits=_bits(tables, clue, found),
        first=years[voice.high[0]],
        last=years[voice.high[1]],
        window=voice.shown,
        branches=_branches(clue, found),
        weight=fired.weight,
        trust=entry.trust.name,
        why=entry.why,
        misleads=entry.misleads,
        cites=facts.cites,
        type=isinstance(entry, Type),
        title=entry.title if isinstance(entry, Type) else "",
        instead_of=fired.instead_of,
        part=clue.part.name,
        suits=voice.suits,
        misread=voice.rates.misread,
        gaps=_gaps(tables, voice, waves=entry.common is not None),
    )


def _gaps(tables: YearTables, voice: Voice, *, waves: bool) -> tuple[tuple[int, int], ...]:
    """The stretches between a clue's years in which its window, or a curve of waves, is low.

    Of a curve short ones are left out, save those that its entry states (`except`).
    """
    years, settings, window = tables.years, tables.settings, voice.shown
    first, last = voice.high
    stated = {year for low, high in voice.ends.gaps for year in range(low, high + 1)}
    low, shortest = (settings.trough, settings.trough_least) if waves else (HALF, 1)
    gaps: list[tuple[int, int]] = []
    start: int | None = None
    for at in range(first, last + 1):
        if window[at] <= low:
            start = at if start is None else start
        elif start is not None:
            if at - start >= shortest or not stated.isdisjoint(years[start:at]):
                gaps.append((years[start], years[at - 1]))
            start = None
    return tuple(gaps)


def without_clue(clue: WeighedClue, found: Posterior) -> Curve:
    """The posterior of the years with what this clue adds taken out."""
    tables = [
        list(map(mul, joint, voiced.without))
        for joint, voiced in zip(found.by_kind, clue.voices(), strict=True)
    ]
    return curve_of(list(map(sum, zip(*tables, strict=True))))


def limits(
    tables: YearTables, fired: Sequence[WeighedClue], readings: Sequence[ClueReading]
) -> Limits:
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
        voice, share = each.fired.voice, reading.branches
        if voice.rates.misread > tables.settings.limit_misread:
            continue
        if voice.first is not None and share.original + share.reuse > 0.5:
            befores.append((voice.first, reading.clue))
        if voice.last is not None and share.original + share.refit > 0.5:
            afters.append((voice.last, reading.clue))
    before = max(befores, key=itemgetter(0), default=(None, ""))
    after = min(afters, key=itemgetter(0), default=(None, ""))
    return Limits(*before, *after)


def _bits(tables: YearTables, clue: WeighedClue, found: Posterior) -> float:
    """The information that a clue gave, in bits.

    It is the Kullback-Leibler divergence of the posterior P from the posterior Q without what
    the clue adds, F, over (kind of piece, maker, year), with the weights of the other clues
    left as they are. As Q ∝ P / F, it equals E_P[ln F] + ln E_P[1 / F]. A clue that points to
    no maker has the same F for every maker, so sums over kinds and years are enough.
    """
    gained = undone = 0.0
    for joint, voiced in zip(found.by_kind, clue.voices(), strict=True):
        gained += sum(map(mul, joint, voiced.log))
        undone += sum(map(mul, joint, voiced.without))
    points = clue.fired.voice.facts.points
    if points:
        pointed = [at for at, each in enumerate(found.hypotheses) if each.maker in points]
        ratio, joint_years = log_points_ratio(tables, clue.fired), found.share(pointed)
        gained += ratio * sum(joint_years)
        undone += (exp(-ratio) - 1.0) * sum(map(mul, joint_years, _inverse(clue, found)))
    # A divergence is never below 0; rounding can bring it there.
    return max(0.0, (gained + log(undone)) / LN2)


def _inverse(clue: WeighedClue, found: Posterior) -> list[float]:
    """E[1 / F | year], over the kinds of piece."""
    total = [0.0] * len(found.curve.table)
    for joint, voiced in zip(found.by_kind, clue.voices(), strict=True):
        total = list(map(add, total, map(mul, joint, voiced.without)))
    return [a / b if b > 0 else 0.0 for a, b in zip(total, found.curve.table, strict=True)]


def _branches(clue: WeighedClue, found: Posterior) -> Branches:
    """The posterior probability of each branch: P(branch | kind, year, clue) over all of them.

    That the clue misleads, as one of its own or as those of an exception do, comes first.
    """
    misread = refit = reuse = 0.0
    for joint, voice in zip(found.by_kind, clue.voices(), strict=True):
        misread += sum(map(mul, joint, voice.misread))
        refit += sum(map(mul, joint, voice.refit)) if voice.refit is not None else 0.0
        reuse += sum(map(mul, joint, voice.reuse)) if voice.reuse is not None else 0.0
    return Branches(max(0.0, 1.0 - misread - refit - reuse), refit, reuse, misread)
