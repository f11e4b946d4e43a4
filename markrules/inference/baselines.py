"""Simpler ways to put clues together, to be compared with the engine's own.

Each takes the prior of the years and the windows of the clues that hold, and gives a curve.
All start from the same prior, so that what differs is only how the windows are joined.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from functools import reduce
from operator import mul

from markrules.inference.evidence import likelihood_table
from markrules.inference.fired import Fired
from markrules.inference.on_the_table import Model, gather
from markrules.inference.years import Table
from markrules.knowledge.observation import Observation


def baseline_curves(
    model: Model,
    observations: Sequence[Observation],
    *,
    piece_type: str = "",
    without: Collection[str] = (),
) -> dict[str, Table]:
    """The curve of each baseline, by name, for the clues that a reading would use."""
    told = gather(model, observations, piece_type=piece_type, without=without)
    prior = told.prior.table
    windows = [each.voice.shown for each in told.fired]
    types = [name for name, _ in told.matched.types]
    parts = told
    if types:
        # A type silences its parts, which must speak for themselves here.
        parts = gather(model, observations, piece_type=piece_type, without=(*without, *types))
    return {
        SINGLE: _best(prior, parts.fired),
        NAMED: _best(prior, told.fired),
        PLAIN: prior,
        **{name: join(prior, windows) for name, join in BASELINES.items()},
    }


def _best(prior: Table, fired: Sequence[Fired]) -> Table:
    """What the one of these clues says that says most by itself; without clues, the prior."""
    best = max((each.voice for each in fired), key=lambda v: v.information, default=None)
    return _curve(prior, likelihood_table(best.suits, best.rates)) if best else prior


def widest_clue(prior: Table, windows: Sequence[Table]) -> Table:
    """Only the clue whose window covers most years, as one who trusts no detail would.

    Without clues, the prior.
    """
    return _curve(prior, max(windows, key=sum)) if windows else prior


def intersection(prior: Table, windows: Sequence[Table]) -> Table:
    """The years that every window allows, as if no clue could be wrong.

    Where there is no such year, those that most windows allow.
    """
    allowing = [sum(column) for column in zip(*(_allowed(each) for each in windows), strict=True)]
    if not allowing:
        return prior
    most = max(allowing)
    return _curve(prior, tuple([float(count == most) for count in allowing]))


def plain_product(prior: Table, windows: Sequence[Table]) -> Table:
    """The windows multiplied, without families, replaced parts or misreading.

    Where no year is left, the prior: the product has nothing to say.
    """
    return _curve(prior, reduce(_product, windows, (1.0,) * len(prior)))


SINGLE = "best single clue"
"""Only the clue that says most by itself, with all its doubts, as the engine would hear it.

Named types are left out: each is several clues put together, and to put clues together is what
is measured here."""

NAMED = "best clue or type"
"""The same, with named types among the clues."""

PLAIN = "plain prior"
"""The years of such pieces in general, without any clue."""

BASELINES: dict[str, Callable[[Table, Sequence[Table]], Table]] = {
    "widest clue": widest_clue,
    "intersection": intersection,
    "plain product": plain_product,
}


def _allowed(window: Table) -> list[bool]:
    return [value > 0 for value in window]


def _product(left: Table, right: Table) -> Table:
    return tuple(map(mul, left, right))


def _curve(prior: Table, suits: Table) -> Table:
    weights = _product(prior, suits)
    total = sum(weights)
    return tuple([weight / total for weight in weights]) if total > 0 else prior
