"""What each clue gave to a reading, and the hard limits that the clues set."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log
from operator import itemgetter, mul

from markrules.inference.fired import Fired
from markrules.inference.makers import log_points_ratio
from markrules.inference.observation import Observation
from markrules.inference.posterior import Posterior
from markrules.inference.reading import Branches, ClueReading
from markrules.inference.tables import YearTables
from markrules.inference.years import Table

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
    facts, given = fired.facts, fired.likelihood
    return ClueReading(
        clue=facts.clue.name,
        feature=facts.feature,
        words=", ".join(seen[at].words for at in fired.used if seen[at].words),
        bits=bits(tables, fired, found),
        first=tables.years[given.first],
        last=tables.years[given.last],
        window=given.scaled,
        branches=branches(fired, found.curve),
        weight=fired.factor.weight,
        trust=facts.clue.trust.name,
        why=facts.clue.why,
        misleads=facts.clue.misleads,
        cites=facts.cites,
    )


def bits(tables: YearTables, fired: Fired, found: Posterior) -> float:
    """The information that a clue gave, in bits.

    It is the Kullback-Leibler divergence of the posterior P from the posterior Q without the
    clue's factor F, over (maker, year), with the weights of the other clues left as they
    are. As Q ∝ P / F, it equals E_P[ln F] + ln E_P[1 / F]. A clue that points to no maker
    has the same factor for every maker, so sums over the years are enough.
    """
    curve, factor = found.curve, fired.factor
    gained: float = sum(map(mul, curve, factor.log))
    undone: float = sum(map(mul, curve, factor.inverse))
    pointed = _pointed(fired, found)
    if pointed:
        ratio = log_points_ratio(tables, fired)
        joint = found.share(pointed)
        gained += ratio * sum(joint)
        undone += (exp(-ratio) - 1.0) * sum(map(mul, joint, factor.inverse))
    return max(0.0, (gained + log(undone)) / LN2)


def branches(fired: Fired, curve: Table) -> Branches:
    """The posterior probability of each branch: P(branch | year, clue) averaged over the years."""
    given = fired.likelihood
    original = sum(map(mul, curve, given.original))
    refit = sum(map(mul, curve, given.refit)) if given.refit is not None else 0.0
    reuse = sum(map(mul, curve, given.reuse)) if given.reuse is not None else 0.0
    return Branches(original, refit, reuse, max(0.0, 1.0 - original - refit - reuse))


def without_clue(fired: Fired, curve: Table) -> Table:
    """The posterior of the years with this clue's factor taken out."""
    left = list(map(mul, curve, fired.factor.inverse))
    by = 1.0 / sum(left)
    return tuple([value * by for value in left])


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
        if each.saying.rates.misread > tables.settings.limit_misread:
            continue
        share, (first, last) = reading.branches, hard_ends(tables, each)
        if first is not None and share.original + share.reuse > 0.5:
            befores.append((first, reading.clue))
        if last is not None and share.original + share.refit > 0.5:
            afters.append((last, reading.clue))
    before = max(befores, key=itemgetter(0), default=(None, ""))
    after = min(afters, key=itemgetter(0), default=(None, ""))
    return Limits(*before, *after)


def hard_ends(tables: YearTables, fired: Fired) -> tuple[int | None, int | None]:
    """The hard limits of a clue's window that lie inside the grid of years."""
    ends, years = tables.ends(fired.saying), tables.years
    first = ends.first if ends.first is not None and ends.first > years[0] else None
    last = ends.last if ends.last is not None and ends.last < years[-1] else None
    return first, last


def _pointed(fired: Fired, found: Posterior) -> list[int]:
    """Positions of the hypotheses that the clue points to."""
    points = fired.facts.points
    if not points:
        return []
    return [at for at, each in enumerate(found.hypotheses) if each.maker in points]
