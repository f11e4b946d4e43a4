"""What one clue says of each year: a mixture over what may have become of the part."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import log
from operator import add, mul, truediv

from markrules.frozen import dataclass
from markrules.inference.curves import Stepped, stepped
from markrules.inference.years import Table, earlier_means, later_means

NOTHING = 1e-12
"""Information below this is rounding: the clue says nothing."""


@dataclass(frozen=True, slots=True)
class Rates:
    """Shares, from 0 to 1, of the ways in which a clue can lead astray.

    `misread`: the look, the record or the rule is wrong. Of the rest, `refit` is the share of
    such parts fitted later and `reuse` the share that are older parts, used again.
    """

    misread: float
    refit: float
    reuse: float


@dataclass(frozen=True, slots=True)
class Likelihood:
    """One clue's likelihood L and what the branches add to it, year by year.

    `window` is the clue's window s, `table` the likelihood, `log` its ln, `inverse` 1 / L and
    `scaled` the likelihood with its peak at 1. `first` and `last` are the positions where
    `scaled` is above one half for the first and the last time; `earliest` and `latest` those
    where the window is above 0. `misread` is what the misread branch adds to L, the same in
    every year. `refit` and `reuse` hold the probability of that branch given the year and the
    clue, or None where it cannot be. `information` is what the clue says by itself: the
    divergence, in nats, of the years given it from the prior.
    """

    window: Table
    table: Table
    log: Stepped
    inverse: Stepped
    scaled: Table
    first: int
    last: int
    earliest: int
    latest: int
    misread: float
    refit: Stepped | None
    reuse: Stepped | None
    information: float


@dataclass(frozen=True, slots=True)
class Factor:
    """A likelihood as it enters the product, raised to the power `weight`.

    `log` is ln L, before the weight; `inverse` is L to the power −weight.
    """

    weight: float
    log: Stepped
    inverse: Stepped

    def logs(self) -> Sequence[float]:
        """ln of the factor: weight × ln L, for each year."""
        if self.weight == 1.0:
            return self.log.table
        return [self.weight * value for value in self.log.table]


def bounded_rates(misread: float, refit: float, reuse: float, least: float) -> Rates:
    """Rates that keep every branch possible: `misread` at least `least`, refit + reuse below 1.

    Where a rule gives refit and reuse that sum to more than 1 − `least`, both are scaled down.
    """
    refit, reuse = max(refit, 0.0), max(reuse, 0.0)
    excess = max(1.0, (refit + reuse) / (1.0 - least))
    return Rates(min(max(misread, least), 1.0 - least), refit / excess, reuse / excess)


def combined_misread(*chances: float) -> float:
    """The chance that at least one of several independent things is wrong: 1 − Π (1 − m)."""
    right = 1.0
    for chance in chances:
        right *= 1.0 - chance
    return 1.0 - right


def likelihood_table(window: Table, prior: Table, rates: Rates) -> Table | None:
    """The likelihood of each year given that the clue was seen.

        L(y) = (1−m) [(1−r−u) s(y) + r mean_{z≥y} s(z) + u mean_{z≤y} s(z)] + m Σ_z prior(z) s(z)

    All branches share one emission, s(z): how readily a part of year z shows the clue. An
    original part is of the piece's year, z = y. A part fitted later is of a year drawn evenly
    from y to the end of the grid, a part used again of one drawn evenly from the start of the
    grid to y, and the mean over those years is the chance that it shows the clue. A misread
    or misleading clue is seen as if on a piece of any year. So the branches need no further
    scaling: they are one proper mixture, and L is at most 1.

    Returns None when the window is 0 in every year: it lies off the grid and says nothing
    about the years on it. Otherwise L is positive everywhere.
    """
    parts = _branches(window, prior, rates)
    return parts[0] if parts is not None else None


def likelihood(window: Table, prior: Table, rates: Rates) -> Likelihood | None:
    """The likelihood of each year, as `likelihood_table` gives it, and its branches."""
    parts = _branches(window, prior, rates)
    if parts is None:
        return None
    likely, misread, refit, reuse = parts
    table = stepped(likely)
    peak = max(likely)
    high = [at for at, value in enumerate(likely) if value > peak / 2]
    suited = [at for at, value in enumerate(window) if value > 0]
    return Likelihood(
        window=stepped(window).table,
        table=table.table,
        log=table.each(log),
        inverse=table.each(lambda value: 1.0 / value),
        scaled=table.each(lambda value: value / peak).table,
        first=high[0],
        last=high[-1],
        earliest=suited[0],
        latest=suited[-1],
        misread=misread,
        refit=stepped(list(map(truediv, refit, likely))) if refit is not None else None,
        reuse=stepped(list(map(truediv, reuse, likely))) if reuse is not None else None,
        information=information(likely, prior),
    )


def information(table: Table, prior: Table) -> float:
    """The divergence, in nats, of the years given a likelihood from the prior of the years."""
    joint = list(map(mul, prior, table))
    total = sum(joint)
    said: float = sum(map(mul, joint, map(log, table))) / total - log(total)
    return said if said > NOTHING else 0.0


def factor(given: Likelihood, weight: float) -> Factor:
    """The likelihood raised to a weight, ready to multiply into a posterior and out of it."""
    if weight == 1.0:
        return Factor(weight, given.log, given.inverse)
    return Factor(weight, given.log, given.inverse.each(lambda value: value**weight))


def _branches(
    window: Table, prior: Table, rates: Rates
) -> tuple[Table, float, Table | None, Table | None] | None:
    """The likelihood, and what the misread, refit and reuse branches add to it."""
    if not any(window):
        return None
    misread = rates.misread * sum(map(mul, prior, window))
    part = 1.0 - rates.misread
    kept = part * (1.0 - rates.refit - rates.reuse)
    table: Iterable[float] = [kept * value + misread for value in window]
    refit = reuse = None
    if rates.refit:
        refit = _scaled(later_means(window), part * rates.refit)
        table = map(add, table, refit)
    if rates.reuse:
        reuse = _scaled(earlier_means(window), part * rates.reuse)
        table = map(add, table, reuse)
    return tuple(table), misread, refit, reuse


def _scaled(table: Table, by: float) -> Table:
    return tuple([value * by for value in table])
