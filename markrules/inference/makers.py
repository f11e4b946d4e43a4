"""Makers as hypotheses, and their shares of the posterior."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import exp, log

from markrules.inference.curves import curve_of
from markrules.inference.fired import Fired
from markrules.inference.posterior import Hypothesis, Posterior
from markrules.inference.priors import PriorYears
from markrules.inference.ranges import shortest_run
from markrules.inference.reading import DateRange, MakerShare
from markrules.inference.year_tables import YearTables
from markrules.knowledge.observation import LEAST_SHOWN, MarkEvidence
from markrules.language.tree import Maker, Mark

LEAST_LOG = -700.0
"""Floor of log likelihoods, near the least number that a float can hold."""


def hypotheses(
    tables: YearTables,
    marks: MarkEvidence | None,
    fired: Sequence[Fired],
    prior: PriorYears,
    disowned: float = 0.0,
) -> list[Hypothesis]:
    """The unknown maker, and every mark variant or maker that the evidence speaks of.

    With a mark read, its candidates stand beside the unknown maker, each weighted by the
    maker's commonness, shared among its variants by their years of use, times the likelihood
    of what was read. Without one, only makers that a matched clue points to stand there. Each
    pointing clue multiplies its makers' weight by `points_ratio`. With the chance `disowned`, below
    1, the name is not that of the maker: then nobody knows who that is, and all that speaks
    for the makers of the name speaks as well for an unknown one, of any year.
    """
    if marks is not None:
        # A name spelt as none is must not leave the piece without any maker at all.
        unknown_log = max(marks.unknown_log_likelihood, LEAST_LOG)
        read = {
            (each.maker, each.mark): each.log_likelihood
            for each in marks.candidates
            if each.imported is None
        }
    else:
        # Whoever a clue points at needs somebody to be weighed against: the unknown maker.
        unknown_log = 0.0
        read = {(maker, ""): 0.0 for each in fired for maker in sorted(each.voice.facts.points)}
    found = [Hypothesis("", "", log(tables.settings.unknown_maker) + unknown_log, None)]
    for (maker, mark), log_likelihood in read.items():
        weight = maker_weight(tables, maker)
        if mark:  # a maker of many marks is no likelier for having many
            weight *= tables.marks.variant_shares(maker, prior).get(mark, 1.0)
        # `not >` also drops a likelihood that is no number.
        if weight <= 0 or not log_likelihood > LEAST_LOG:
            continue
        pointed = sum(
            log_points_ratio(tables, each) for each in fired if maker in each.voice.facts.points
        )
        found.append(
            Hypothesis(
                maker,
                mark,
                log(weight) + log_likelihood + pointed,
                tables.marks.spell(maker, mark, prior),
            )
        )
    if marks is not None:
        found += [
            Hypothesis(
                each.maker,
                each.mark,
                log(each.imported.weight) + each.log_likelihood,
                tables.marks.spell_within(each.imported.years, prior),
                each.imported,
            )
            for each in marks.candidates
            if each.imported is not None and each.log_likelihood > LEAST_LOG
        ]
    return _with_the_name_disowned(found, disowned) if disowned > 0 else found


def _with_the_name_disowned(found: Sequence[Hypothesis], chance: float) -> list[Hypothesis]:
    """The hypotheses, the first of them the unknown maker, with what a false name adds to it."""
    unknown, *named = found
    if not named:
        return [unknown]
    # Taken off before `exp`, which would else underflow to 0 for all.
    top = max(each.log_weight for each in found)
    by_name = sum(exp(each.log_weight - top) for each in named)
    weight = exp(unknown.log_weight - top) + by_name * chance / (1.0 - chance)
    return [replace(unknown, log_weight=top + log(weight)), *named]


def maker_weight(tables: YearTables, maker: str) -> float:
    """The maker's weight before anything is seen, from its commonness."""
    entry = tables.base.makers.get(maker)
    common = entry.common.name if entry is not None and entry.common is not None else ""
    found = tables.base.commonness.get(common)
    return found.weight if found is not None else tables.settings.maker_weight


def variant_weights(tables: YearTables, maker: str, prior: PriorYears) -> Mapping[str, float]:
    """The weight of each mark variant: the maker's, shared as `variant_shares` says."""
    weight = maker_weight(tables, maker)
    return {
        name: weight * share for name, share in tables.marks.variant_shares(maker, prior).items()
    }


def log_points_ratio(tables: YearTables, fired: Fired) -> float:
    """ln of the likelihood ratio that a clue gives to the makers it points to.

    A clue with the chance m of misleading is taken to be met (1 − m) / m times as often on
    pieces of those makers as on others; at least 1, at most the setting `points-most`, and
    raised to the clue's tempered weight.
    """
    misread = fired.voice.rates.misread
    ratio = min(max((1.0 - misread) / misread, 1.0), tables.settings.points_most)
    return fired.weight * log(ratio)


def maker_shares(
    tables: YearTables, found: Posterior, mass: float, overall: DateRange, owned: float = 1.0
) -> tuple[MakerShare, ...]:
    """Makers in order of probability, the unknown maker always among them.

    Makers below the setting `maker-least` are left out, so the shares may sum to a little
    less than 1. The variant named is the likeliest of the maker's; the years are the
    shortest range holding `mass`, given the maker; `overall` is that of all together. `owned` is
    the most that the known makers have between them: what else they had is the unknown's.
    """
    if len(found.hypotheses) == 1:
        return (_maker_share(tables, found.hypotheses[0], 1.0, overall.first, overall.last),)
    by_maker: defaultdict[str, list[int]] = defaultdict(list)
    for at, each in enumerate(found.hypotheses):
        by_maker[each.maker].append(at)
    shares = [
        _share(tables, found, positions, mass)
        for maker, positions in by_maker.items()
        if not maker
        or sum(found.probabilities[at] for at in positions) >= tables.settings.maker_least
    ]
    shares = _within(shares, owned)
    return tuple(sorted(shares, key=lambda share: (-share.probability, share.maker)))


def _within(shares: list[MakerShare], most: float) -> list[MakerShare]:
    """The shares where those of known makers come to no more than this between them."""
    known = sum(each.probability for each in shares if each.maker)
    if known <= most:
        return shares
    return [
        replace(
            each,
            probability=each.probability * most / known
            if each.maker
            else each.probability + known - most,
        )
        for each in shares
    ]


def _share(tables: YearTables, found: Posterior, positions: list[int], mass: float) -> MakerShare:
    """The share of the maker of these hypotheses, of which the first is the likeliest."""
    probability = sum(found.probabilities[at] for at in positions)
    run = shortest_run(curve_of(found.share(positions)).sums, mass)
    best, years = _shown(found, positions), tables.years
    return _maker_share(tables, best, probability, years[run.first], years[run.last])


def _shown(found: Posterior, positions: list[int]) -> Hypothesis:
    """The hypothesis that stands for a maker: the likeliest mark, or the likeliest of all."""
    # Hypotheses stand by weight, so the first is the likeliest.
    best = positions[0]
    for at in positions:
        if found.hypotheses[at].mark:
            # Where the maker without a mark is far likelier, no mark is named for it.
            near = found.probabilities[at] >= LEAST_SHOWN * found.probabilities[best]
            return found.hypotheses[at if near else best]
    return found.hypotheses[best]


def _maker_share(
    tables: YearTables, best: Hypothesis, probability: float, first: int, last: int
) -> MakerShare:
    maker, mark = _entries(tables, best)
    if best.imported is not None:
        title, text = best.imported.title, best.imported.text
        return MakerShare(best.maker, title, best.mark, text, probability, first, last)
    return MakerShare(
        maker=best.maker,
        title=maker.title if maker is not None else best.maker or "unknown maker",
        mark=best.mark,
        mark_text=(mark.text or mark.symbol) if mark is not None else "",
        probability=probability,
        first=first,
        last=last,
    )


def _entries(tables: YearTables, of: Hypothesis) -> tuple[Maker | None, Mark | None]:
    maker = tables.base.makers.get(of.maker)
    if maker is None:
        return None, None
    return maker, next((mark for mark in maker.marks if mark.name == of.mark), None)
