"""Whether what some clues say of the years lies before what others say."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import repeat
from operator import mul, truediv

from markrules.frozen import dataclass
from markrules.inference.curves import Curve, curve_of
from markrules.inference.explanation import WeighedClue
from markrules.inference.fired import Fired, SharedFate, part_of
from markrules.inference.posterior import Posterior, by_marks
from markrules.inference.priors import PriorYears
from markrules.inference.year_tables import PieceKind, YearTables
from markrules.knowledge.observation import MARK, Observation
from markrules.language.spans import Named
from markrules.language.tree import ALL_ELSE, Order
from markrules.named_tuple import NamedTuple


@dataclass(frozen=True, slots=True)
class SpokenTogether:
    """All that an order of years is judged by: what speaks in a reading, and what came of it."""

    tables: YearTables
    prior: PriorYears
    kinds: Sequence[PieceKind]
    voices: Sequence[WeighedClue]
    seen: Sequence[Observation]
    found: Posterior


class Standing(NamedTuple):
    """How two sides stand to each other.

    `probability` is that of two years, drawn apart, in the order asked for. `agreement` tells how
    many times as likely what both sides say is of one year as of two drawn apart, from the years
    of such pieces: below 1 they contradict each other; a broad clue may lie later than the rest
    in most draws and yet agree with it.
    """

    probability: float
    agreement: float


NOTHING_SAID = Standing(0.0, 1.0)


def standing_of(order: Order, spoken: SpokenTogether) -> Standing:
    """How what the named clues say stands to what the other side says.

    The one is taken as read off parts as old as the piece; the other is what the other side says,
    or, for all else, the posterior without any clue that rests on what was named. `NOTHING_SAID`
    where a side says nothing.
    """
    sides = [names_of(order.earlier), names_of(order.later)]
    both = frozenset().union(*sides)
    curves: list[Curve | None] = [None, None]
    # All else takes the most time, and is asked for only where the other side says something.
    for at in sorted((0, 1), key=lambda at: sides[at] == {ALL_ELSE}):
        side = sides[at]
        curve = _all_else(both, spoken) if side == {ALL_ELSE} else _said_by(side, spoken)
        if curve is None:
            return NOTHING_SAID
        curves[at] = curve
    earlier, later = curves
    assert earlier is not None
    assert later is not None
    total = later.sums[-1]
    apart = [total - each for each in later.sums[order.years :]]
    return Standing(
        float(sum(map(mul, earlier.table, apart))),
        _agreement(earlier.table, later.table, spoken.prior.table),
    )


def _agreement(one: Sequence[float], other: Sequence[float], prior: Sequence[float]) -> float:
    """The sum over the years of p(year | one) p(year | other) / p(year): a Bayes factor."""
    both = map(mul, one, other)
    # A prior that rules out no year, the usual one, needs no test at each; a year that cannot be
    # has no part in the sum, and would divide by 0.
    if min(prior) > 0:
        apart: float = sum(map(truediv, both, prior))
    else:
        apart = sum(a / q for a, q in zip(both, prior, strict=True) if q > 0)
    return apart * sum(prior)


def names_of(names: Collection[Named]) -> frozenset[str]:
    """The bare names."""
    return frozenset(each.name for each in names)


def _said_by(names: Collection[str], spoken: SpokenTogether) -> Curve | None:
    """The years by these clues alone, on pieces of this type; None where none speaks.

    What a mark says is the years of the makers and marks that may stand behind it.
    """
    weights: Sequence[float] = spoken.prior.table
    own = [each.fired for each in spoken.voices if _rests_on_no_more(each.fired, names, spoken)]
    for each in own:
        weights = list(map(mul, weights, each.voice.suits))
    # With the unknown maker alone a mark says nothing of the years.
    marked = MARK in names and len(spoken.found.hypotheses) > 1
    if marked and sum(weights) > 0:
        weights = by_marks(curve_of(weights), spoken.found.hypotheses)
    return curve_of(weights) if (own or marked) and sum(weights) > 0 else None


def _all_else(names: Collection[str], spoken: SpokenTogether) -> Curve | None:
    """The posterior of the years without the clues on these names; None where none is left.

    The joint is a product over the parts, so that dividing a part's factor out, or putting
    another in its place, is exact.
    """
    out = [each for each in spoken.voices if _rests_on(each.fired, names, spoken)]
    marked = len(spoken.found.hypotheses) > 1 and MARK not in names
    if len(out) == len(spoken.voices) and not marked:
        return None
    joints: list[Sequence[float]] = list(spoken.found.by_kind)
    if not marked:
        joints = _of_unknown_maker(joints, spoken.found)
    parts = list({id(each.part): each.part for each in out}.values())
    for part in parts:
        gone = [each for each in out if each.part is part]
        kept = [fired for fired in part.fired if all(each.fired is not fired for each in gone)]
        joints = [
            list(map(mul, joint, ratio))
            for joint, ratio in zip(joints, _without(part, gone, kept, spoken), strict=True)
        ]
    weights = list(map(sum, zip(*joints, strict=True)))
    return curve_of(weights) if sum(weights) > 0 else None


def _without(
    part: SharedFate, gone: Sequence[WeighedClue], kept: Sequence[Fired], spoken: SpokenTogether
) -> list[Sequence[float]]:
    """For each kind of piece, the part's factor without some clues over that with them."""
    # That ratio is known already: the engine keeps it for each clue, for the account of the
    # reading.
    if len(gone) == 1 and kept:
        return [each.without for each in gone[0].voices()]
    if not kept:
        return [list(map(truediv, repeat(1.0), each.table)) for each in part.factors]
    entry = spoken.tables.base.fittings[part.name]
    fate = (entry.refit, entry.reuse)
    other = part_of(spoken.tables, part.name, kept, fate, spoken.seen, spoken.kinds)
    return [
        list(map(truediv, new.table, old.table))
        for new, old in zip(other.factors, part.factors, strict=True)
    ]


def _of_unknown_maker(joints: list[Sequence[float]], found: Posterior) -> list[Sequence[float]]:
    """The joints of all makers as they would be if the maker were unknown."""
    if found.construction is found.curve:
        return joints
    pairs = zip(found.construction.table, found.curve.table, strict=True)
    by = [built / all_of if all_of > 0 else 0.0 for built, all_of in pairs]
    return [list(map(mul, each, by)) for each in joints]


def _features(fired: Fired, spoken: SpokenTogether) -> list[str]:
    return [spoken.seen[at].feature for at in fired.used] or [fired.voice.facts.feature]


def _rests_on(fired: Fired, names: Collection[str], spoken: SpokenTogether) -> bool:
    return fired.voice.facts.clue.name in names or any(
        feature in names for feature in _features(fired, spoken)
    )


def _rests_on_no_more(fired: Fired, names: Collection[str], spoken: SpokenTogether) -> bool:
    return fired.voice.facts.clue.name in names or all(
        feature in names for feature in _features(fired, spoken)
    )
