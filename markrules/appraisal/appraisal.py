"""Condition, value, metal and decision of one piece, put together."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from markrules.appraisal.condition import Condition, condition_of
from markrules.appraisal.deciding import Decision, decide
from markrules.appraisal.figures import Figures, currency_of
from markrules.appraisal.likeness import LikenessSettings, Profile, profile_of, signed
from markrules.appraisal.melt import (
    METAL_OF_A_PART,
    PROVED_BASE,
    PROVED_PRECIOUS,
    Melt,
    melt_net,
    melt_of,
)
from markrules.appraisal.told_as_one import pieces_told, value_of_several
from markrules.appraisal.value import Valuation, not_below
from markrules.catalogue.records import Sale
from markrules.frozen import dataclass
from markrules.inference.reading import Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.marks.metal import MetalReading


@dataclass(frozen=True, slots=True)
class Appraisal:
    """All that is said of what a piece is worth and what to do with it."""

    reading: Reading
    condition: Condition
    profile: Profile
    valuation: Valuation
    melt: Melt | None
    decision: Decision


def as_signed(base: KnowledgeBase, reading: Reading) -> tuple[str, ...]:
    """That a piece counts as signed, and by whom; or as unsigned. Nothing where nobody looked."""
    counts = signed(base, reading)
    if counts is None:
        return ()
    if not counts:
        return ("It counts as unsigned.",)
    least = base.setting("maker-named")
    named = (each for each in reading.makers if each.maker and each.probability >= least)
    maker = next(named, None)
    if maker is not None:
        return (f"It counts as signed, by {maker.title}.",)
    unlisted = [f'"{each.text}"' for each in reading.marks if each.unlisted]
    if unlisted:
        return (f"It counts as signed, {' and '.join(unlisted)}: a maker not in these rules.",)
    return ("It counts as signed.",)


def appraise(
    compared: LikenessSettings,
    reading: Reading,
    metals: Sequence[MetalReading],
    sales: Sequence[Sale],
    figures: Figures,
    today: datetime.date,
    *,
    mates: int = 0,
    of_set: int = 0,
    paired: bool = False,
    set_gain: Fraction | None = None,
    going: int = 1,
) -> Appraisal:
    """The appraisal of a piece that was read; `metals` are its marks of metal content.

    `mates`, `of_set`, `paired`, `set_gain` and `going` are as in `decide`.

    Without a currency among the figures, the one most sales are in is used.
    """
    base = compared.base
    condition = condition_of(base, reading)
    profile = profile_of(base, reading, condition)
    currency = currency_of(figures, sales)
    several = pieces_told(compared, reading)
    valuation = value_of_several(compared, profile, several, sales, currency, today)
    valuation = replace(valuation, words=(*valuation.words, *as_signed(base, reading)))
    proved = PROVED_PRECIOUS in reading.findings
    melt = melt_of(
        base,
        metals,
        reading.observations,
        figures,
        proved=proved,
        of_a_part=METAL_OF_A_PART in reading.findings,
    )
    if PROVED_BASE not in reading.findings and figures.currency in ("", currency):
        brings = melt_net(melt, figures)
        valuation = not_below(
            valuation,
            float(brings) if brings is not None else None,
            proved=melt is not None and melt.tested,
        )
    decision = decide(
        base,
        reading,
        condition,
        valuation.estimate,
        figures,
        melt=melt,
        mates=mates,
        of_set=of_set,
        paired=paired,
        set_gain=set_gain,
        going=going,
    )
    return Appraisal(reading, condition, profile, valuation, melt, decision)
