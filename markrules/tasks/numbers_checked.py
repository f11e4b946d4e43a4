"""Are the numbers of the rules all there, and can each be what it is said to be?"""

from __future__ import annotations

from collections.abc import Iterator

from markrules.appraisal.likeness import Fitting
from markrules.inference.settings import Settings
from markrules.knowledge.base import KnowledgeBase
from markrules.language.nearest import nearest
from markrules.language.problems import Place, Problem
from markrules.language.spans import NOWHERE
from markrules.marks.context import ContextRates
from markrules.marks.divisions import DivisionRates
from markrules.marks.figure_limits import MetalLimits, NumberLimits
from markrules.marks.mark_shares import LetterShares, MarkShares, MetalShares, NumberShares
from markrules.marks.metal_grammar import KARATS, PURE
from markrules.marks.unlisted import UnlistedShares
from markrules.marks.wear import FullRates, PartRates, WearRates

GROUPS: tuple[tuple[type, str], ...] = (
    (Settings, ""),
    (Fitting, "price-"),
    (MarkShares, "mark-"),
    (ContextRates, "mark-"),
    (WearRates, "wear-"),
    (PartRates, "part-"),
    (PartRates, "part-worn-"),
    (DivisionRates, "words-"),
    (FullRates, "full-"),
    (UnlistedShares, "unlisted-"),
    (MetalShares, "metal-"),
    (MetalLimits, "metal-"),
    (NumberShares, "number-"),
    (NumberLimits, "number-"),
    (LetterShares, "letter-"),
)
"""What the engine reads its numbers into, and what stands before their names in the rules."""

ONE_OF_THESE: tuple[tuple[str, ...], ...] = (
    ("wear-any-letter", "wear-turned-about"),
    ("wear-missing", "wear-spurious", "wear-doubled"),
    ("full-misread", "full-slip"),
    tuple(f"unlisted-initials-of-{each}" for each in ("one", "two", "three", "four")),
)
"""Settings of which at most one happens at a time, so that they sum to no more than 1."""

NO_MORE_THAN: tuple[tuple[str, float | str, str], ...] = (
    ("metal-least-karat", KARATS, "fine gold has 24 karats"),
    ("metal-least-fineness", PURE, "a fineness is told in thousandths"),
    ("metal-most-parts", "metal-least-part", "a fraction is less than the whole"),
    ("first-year", "number-last-year", "else no date that is stamped lies in the grid"),
    ("number-first-century", "number-last-year", "else two figures are never a year"),
)
"""Settings with what they are no more than, a number or another setting, and why."""

_ROUNDING = 1e-9


def check_numbers(base: KnowledgeBase) -> Iterator[Problem]:
    """An error for each setting that the engine needs and that is not there or makes no sense."""
    unfit: set[str] = set()
    for kind, prefix in GROUPS:
        for error in base.unfit_settings(kind, prefix):
            unfit.add(error.name)
            yield _problem(base, error.name, str(error))
    for names in ONE_OF_THESE:
        if unfit.isdisjoint(names):
            total = sum(base.setting(name) for name in names)
            if total > 1 + _ROUNDING:
                message = (
                    f"of {', '.join(names)} one happens at a time, and they sum to {total:.0%}"
                )
                yield _problem(base, names[-1], message)

    for name, most, why in NO_MORE_THAN:
        if unfit.isdisjoint((name, most)):
            limit = base.setting(most) if isinstance(most, str) else most
            told = f'"{most}", which is {limit:g}' if isinstance(most, str) else f"{limit:g}"
            if base.setting(name) > limit:
                message = f'setting "{name}" is to be no more than {told}: {why}'
                yield _problem(base, name, message)


def _problem(base: KnowledgeBase, name: str, message: str) -> Problem:
    """What is wrong with a setting, where it stands, or where the nearest name does."""
    entry = base.settings.get(name)
    if entry is not None:
        return Problem("senseless", message, entry.span)
    near = base.settings.get(nearest(name, base.settings) or "")
    also = (Place(near.span, "the nearest name stands here"),) if near is not None else ()
    return Problem("needed", message, near.span if near is not None else NOWHERE, also)
