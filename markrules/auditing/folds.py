"""Cross-validation: settings fitted on some pieces, and held against the others.

The pieces are parted into folds, all pieces of one source in the same. For each fold the settings
are chosen by the mean log score of all other pieces, one axis after the other, until no axis gains;
with these the pieces of the fold are read. No piece is read with settings that were chosen by its
own years.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Callable, Sequence
from statistics import mean

from markrules.auditing.calibration import DatedPiece, log_score
from markrules.auditing.preparing import Curve, Prepared, curves
from markrules.auditing.trials import AXES, Trial, neighbours
from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase

SWEEPS = 3
"""At most so many rounds over all axes; two are mostly enough."""

LEAST_GAIN = 0.005
"""Bits a piece that a setting must gain to be preferred to the one in force."""


@dataclass(frozen=True, slots=True)
class Fold:
    """The settings chosen without the pieces of this fold, and the names of its pieces."""

    chosen: Trial
    pieces: tuple[str, ...]
    score_of_others: float


@dataclass(frozen=True, slots=True)
class HeldOut:
    """The folds, the held-out curve of each piece, and how many settings were tried."""

    folds: tuple[Fold, ...]
    curves: tuple[Curve, ...]
    trials: int


class _Trials:
    """Curves and log scores of all pieces, made once for each trial."""

    def __init__(
        self,
        base: KnowledgeBase,
        last_year: int,
        pieces: Sequence[Prepared],
        done: Callable[[], None],
    ) -> None:
        self.base, self.last_year, self.pieces, self.done = base, last_year, pieces, done
        self._known: dict[Trial, tuple[list[Curve], list[float]]] = {}

    def of(self, trial: Trial) -> tuple[list[Curve], list[float]]:
        if trial not in self._known:
            found = curves(self.base, self.last_year, self.pieces, trial)
            scores = [
                log_score(DatedPiece(curve, each.reading.date.first_year, *each.case.years))
                for curve, each in zip(found, self.pieces, strict=True)
            ]
            self._known[trial] = found, scores
            self.done()
        return self._known[trial]

    def score(self, trial: Trial, at: Sequence[int]) -> float:
        scores = self.of(trial)[1]
        return mean(scores[each] for each in at)

    def __len__(self) -> int:
        return len(self._known)


def held_out(
    base: KnowledgeBase,
    last_year: int,
    pieces: Sequence[Prepared],
    folds: int,
    done: Callable[[], None],
    axes: Sequence[str] = tuple(AXES),
) -> HeldOut:
    """Every piece read with settings fitted on the pieces of the other folds.

    All pieces must state years. `done` is called after each trial of settings, and only those of
    `axes` are moved (names of AXES; KeyError for another). Raises ValueError where there are
    fewer sources than folds, or fewer than two folds.
    """
    sources = [each.case.source or each.case.name for each in pieces]
    if not 2 <= folds <= len(set(sources)):
        raise ValueError(
            f"{len(pieces)} dated pieces of {len(set(sources))} sources cannot be parted into"
            f" {folds} folds"
        )
    trials = _Trials(base, last_year, pieces, done)
    found: list[Curve] = [()] * len(pieces)
    made = []
    for inside in parted(sources, folds):
        others = [at for at in range(len(pieces)) if at not in inside]
        chosen, score = _fitted(trials, others, axes)
        for at in inside:
            found[at] = trials.of(chosen)[0][at]
        made.append(Fold(chosen, tuple(pieces[at].case.name for at in inside), score))
    return HeldOut(tuple(made), tuple(found), len(trials))


def parted(sources: Sequence[str], folds: int) -> list[list[int]]:
    """Positions in folds of nearly one size, those of one source together.

    Sources go by a digest of their name, each into the fold that holds fewest: the order of the
    file, which may follow years or types, does not matter.
    """
    of: defaultdict[str, list[int]] = defaultdict(list)
    for at, source in enumerate(sources):
        of[source].append(at)
    found: list[list[int]] = [[] for _ in range(folds)]
    for source in sorted(of, key=lambda each: hashlib.sha256(each.encode()).digest()):
        # Into the fold that holds fewest, so that one large source does not fill one alone.
        min(found, key=len).extend(of[source])
    return [sorted(fold) for fold in found]


def _fitted(trials: _Trials, others: Sequence[int], axes: Sequence[str]) -> tuple[Trial, float]:
    best = Trial()
    best_score = trials.score(best, others)
    for _ in range(SWEEPS):
        before = best
        for axis in axes:
            for trial in neighbours(best, axis):
                score = trials.score(trial, others)
                if score > best_score + LEAST_GAIN:
                    # Moved at once, and not after all of an axis: the next neighbours are still
                    # those of before.
                    best, best_score = trial, score
        if best == before:
            break
    return best, best_score
