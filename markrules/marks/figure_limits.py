"""What a stamped figure can be: a karat, a fraction, a fineness, a year. Settings of the rules."""

from __future__ import annotations

from functools import lru_cache

from markrules.frozen import dataclass
from markrules.knowledge.base import Count, KnowledgeBase


@dataclass(frozen=True, slots=True)
class MetalLimits:
    """What figures of marks of metal can be, each the setting `metal-NAME`, with hyphens.

    `least_karat`: the fewest parts in 24 that are stamped as a karat. `most_parts`, `least_part`:
    of `1/20` and the like, the largest figure above the line and below it. `least_fineness`: the
    fewest thousandths that are stamped as a fineness. `most_microns`: the thickest layer.
    """

    least_karat: Count
    most_parts: Count
    least_part: Count
    least_fineness: Count
    most_microns: Count


@dataclass(frozen=True, slots=True)
class NumberLimits:
    """What stamped numbers and years can be, each the setting `number-NAME`, with hyphens.

    `most_digits`: digits of a number of a register. `shortest_roman`: letters of a year in Roman
    figures. `first_century`: the first of which two figures alone may be a year. `last_year`: what
    is later is part of a number. The first year is that of the grid, the setting `first-year`.
    """

    most_digits: Count
    shortest_roman: Count
    first_century: Count
    last_year: Count


@lru_cache(maxsize=8)
def metal_limits(base: KnowledgeBase) -> MetalLimits:
    """The limits of a knowledge base. Raises UnfitSetting, as does the other."""
    return base.settings_as(MetalLimits, "metal-")


@lru_cache(maxsize=8)
def number_limits(base: KnowledgeBase) -> NumberLimits:
    """What stamped numbers and years can be."""
    return base.settings_as(NumberLimits, "number-")
