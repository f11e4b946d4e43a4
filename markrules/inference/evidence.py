"""What the clues on one part of a piece say of each year: a mixture over what became of it."""

from __future__ import annotations

from collections.abc import Sequence
from math import log
from operator import add, mul, sub, truediv

from markrules.frozen import dataclass
from markrules.inference.years import Table, earlier_means, later_means

NOTHING = 1e-12
"""Information below this is rounding: the clue says nothing."""


@dataclass(frozen=True, slots=True)
class Rates:
    """Shares, from 0 to 1, of the ways in which a clue can lead astray.

    `misread`: the look, the record or the rule is wrong. `refit` is the share of such parts
    fitted later and `reuse` the share that are older parts, used again.
    """

    misread: float
    refit: float
    reuse: float


@dataclass(frozen=True, slots=True)
class ClueOfPart:
    """One clue among those read off a part: `suits` as of `emission`, its chance of being wrong,
    and the exponent that tempering leaves it. `own` is the chance that the piece of the part which
    shows it, and that alone, was fitted later than the rest of the part."""

    suits: Table
    misread: float
    weight: float
    own: float = 0.0


@dataclass(frozen=True, slots=True)
class Voiced:
    """What one clue does in its part's factor.

    `without` is the part's factor without this clue over that with it, year by year, and `log`
    −ln of it: what the clue adds. `misread` is the probability, given the year, that the clue
    misleads; `refit` and `reuse` that it does not and the part was fitted later, or used again,
    None where that cannot be.
    """

    without: Table
    log: Table
    misread: Table
    refit: Table | None
    reuse: Table | None


@dataclass(frozen=True, slots=True)
class Factor:
    """The likelihood of each year given all clues read off one part.

    `log` is ln of it. `voices` come in the order of the clues.
    """

    table: Table
    log: Table
    voices: tuple[Voiced, ...]


def bounded_rates(misread: float, refit: float, reuse: float, least: float) -> Rates:
    """Rates that keep every branch possible: `misread` at least `least`, refit + reuse below 1.

    Where a rule gives refit and reuse that sum to more than 1 − `least`, both are scaled down.
    """
    refit, reuse = max(refit, 0.0), max(reuse, 0.0)
    excess = max(1.0, (refit + reuse) / (1.0 - least))
    # Never quite 0 or 1: a year that one clue rules out for certain would have no logarithm.
    return Rates(min(max(misread, least), 1.0 - least), refit / excess, reuse / excess)


def combined_misread(*chances: float) -> float:
    """The chance that at least one of several independent things is wrong: 1 − Π (1 − m)."""
    right = 1.0
    for chance in chances:
        right *= 1.0 - chance
    return 1.0 - right


def emission(window: Table, reference: Table) -> Table | None:
    """How readily a part of each year shows a clue, against a piece of any year.

    The window scaled so that its mean over the reference curve, that of all surviving pieces,
    is 1: P(seen | year) / P(seen). For a curve of P(year | seen) divided by the reference that
    is what it already is. None where no year is left.
    """
    # Against what survives of each year, and not against even years: a clue that is mostly met on
    # pieces of the 1950s tells little where most pieces are of the 1950s.
    whole = sum(map(mul, reference, window))
    return tuple([value / whole for value in window]) if whole > 0 else None


def factor(clues: Sequence[ClueOfPart], refit: float, reuse: float) -> Factor:
    """The likelihood of each year given the clues read off one part, all that befell it summed.

        e_c(z) = ((1 − m_c) s_c(z) + m_c) ^ w_c
        t_c(z) = (1 − o_c) e_c(z) + o_c mean_{x≥z} e_c(x)
        L(y) = (1−r−u) E(y) + r mean_{z≥y} E(z) + u mean_{z≤y} E(z),  E = Π t_c

    A clue that is misread is seen as on a piece of any year, so its s, whose mean over all
    pieces is 1, gives way to 1. An original part is of the piece's year, z = y. A part fitted
    later is of a year drawn evenly from y to the end of the grid, one used again of a year
    drawn evenly from the start to y; whatever befell the part, all clues on it share it. With
    the chance o_c the piece of it that shows the clue was fitted later alone.
    """
    terms = [_mixed(_tempered(each), each.own, 0.0) for each in clues]
    whole = _product(terms)
    table = _mixed(whole, refit, reuse)
    voices = []
    for each, term in zip(clues, terms, strict=True):
        if len(clues) == 1:  # the part without its only clue says 1 in every year
            without = tuple([1.0 / value for value in table])
        else:
            # Divided out, not multiplied anew without it, which would cost the square of the clues;
            # no term is 0, since no rate of misreading is.
            rest = tuple(map(truediv, whole, term))
            without = tuple(map(truediv, _mixed(rest, refit, reuse), table))
        wrong, alone, right = _ways(each, whole, term)
        voices.append(
            Voiced(
                without,
                tuple([-log(value) for value in without]),
                tuple(map(truediv, _mixed(wrong, refit, reuse), table)),
                _later(right, alone, refit, reuse, table),
                _share(earlier_means(right), reuse, table) if reuse else None,
            )
        )
    return Factor(table, tuple(map(log, table)), tuple(voices))


def likelihood_table(suits: Table, rates: Rates) -> Table:
    """The likelihood of each year given one clue, as `factor` gives it, and nothing else."""
    return _mixed(_tempered(ClueOfPart(suits, rates.misread, 1.0)), rates.refit, rates.reuse)


def information(table: Table, reference: Table) -> float:
    """The divergence, in nats, of the years given a likelihood from the reference of the years."""
    joint = list(map(mul, reference, table))
    total = sum(joint)
    said: float = sum(map(mul, joint, map(log, table))) / total - log(total)
    return said if said > NOTHING else 0.0


def _ways(clue: ClueOfPart, whole: Table, term: Table) -> tuple[Table, Table | None, Table]:
    """The part's table split by what became of one clue on it.

    That it misleads; that what shows it was fitted later alone (None where that cannot be);
    and neither.
    """
    misread = _misread(clue)
    if not clue.own:
        wrong = tuple(map(mul, whole, misread))
        return wrong, None, tuple(map(sub, whole, wrong))
    rest = tuple(map(truediv, whole, term))
    tempered = _tempered(clue)
    misled = tuple(map(mul, tempered, misread))
    straight = tuple(map(sub, tempered, misled))
    alone = tuple([clue.own * value for value in later_means(straight)])
    kept = tuple([(1.0 - clue.own) * value for value in straight])
    return (
        tuple(map(mul, rest, _mixed(misled, clue.own, 0.0))),
        tuple(map(mul, rest, alone)),
        tuple(map(mul, rest, kept)),
    )


def _later(
    right: Table, alone: Table | None, refit: float, reuse: float, table: Table
) -> Table | None:
    """The share of a part fitted later, as a whole or what shows the clue alone."""
    shared = _share(later_means(right), refit, table) if refit else None
    if alone is None:
        return shared
    own = tuple(map(truediv, _mixed(alone, refit, reuse), table))
    return own if shared is None else tuple(map(add, shared, own))


def _tempered(clue: ClueOfPart) -> Table:
    wrong, right = clue.misread, 1.0 - clue.misread
    if clue.weight == 1.0:  # a power of one takes as long as any other
        return tuple([right * value + wrong for value in clue.suits])
    return tuple([(right * value + wrong) ** clue.weight for value in clue.suits])


def _misread(clue: ClueOfPart) -> Table:
    """P(the clue misleads | the year of the part)."""
    wrong, right = clue.misread, 1.0 - clue.misread
    return tuple([wrong / (right * value + wrong) for value in clue.suits])


def _mixed(part: Table, refit: float, reuse: float) -> Table:
    """The table over what befell the part."""
    if not refit and not reuse:
        return part
    kept = 1.0 - refit - reuse
    table: Table = tuple([kept * value for value in part])
    if refit:
        table = tuple(map(add, table, [refit * value for value in later_means(part)]))
    if reuse:
        table = tuple(map(add, table, [reuse * value for value in earlier_means(part)]))
    return table


def _share(means: Table, rate: float, table: Table) -> Table:
    return tuple([rate * mean / value for mean, value in zip(means, table, strict=True)])


def _product(terms: Sequence[Table]) -> Table:
    whole = terms[0]
    for term in terms[1:]:
        whole = tuple(map(mul, whole, term))
    return whole
