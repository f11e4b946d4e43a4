"""Wear and unlisted marks by the fixed numbers of tests, so that rules may be tuned apart."""

from __future__ import annotations

from dataclasses import replace

from engine_numbers import setting_entries

from markrules.knowledge.base import KnowledgeBase
from markrules.marks.unlisted import UnlistedShares, unlisted_shares
from markrules.marks.wear import WearModel, WearRates, wear_model, worn_rates

NUMBERS_ALONE = KnowledgeBase("numbers", settings=setting_entries())
WORN: WearRates = worn_rates(NUMBERS_ALONE)
WORN_MODEL: WearModel = wear_model(NUMBERS_ALONE)
UNLISTED: UnlistedShares = unlisted_shares(NUMBERS_ALONE)


def rates(**own: float) -> WearRates:
    """The rates of a worn mark, with some of one's own."""
    return replace(WORN, **own)
