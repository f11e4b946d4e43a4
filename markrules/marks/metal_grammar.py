"""The grammar of the figures in metal-content marks: karats, fractions, thousandths, microns."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache, partial
from typing import TYPE_CHECKING

from markrules.knowledge.base import KnowledgeBase
from markrules.marks.figure_limits import MetalLimits, metal_limits
from markrules.marks.stamped import Slot, StampedToken

if TYPE_CHECKING:
    from fractions import Fraction

KARATS = 24
"""A karat is one part in 24; fine gold is 24 karat (16 CFR 23.3, Hallmarking Act 1973)."""
PURE = 1000
"""A fineness is told in thousandths."""

_ORDINALS = frozenset({"TH", "ST", "ND", "RD"})


def karat(
    limits: MetalLimits, read: Sequence[StampedToken], at: int
) -> tuple[int, Fraction] | None:
    """A number of 24ths, as `14` or `13.5`."""
    number = _decimal(read, at)
    if number is None or not limits.least_karat <= number <= KARATS:
        return None
    return at + 1, number


def fraction(
    limits: MetalLimits, read: Sequence[StampedToken], at: int
) -> tuple[int, Fraction] | None:
    """`1/20`, `1/20TH`, `1/10`: a part of the weight, below one."""
    parts = read[at : at + 3]
    if [token.kind for token in parts] != ["number", "slash", "number"]:
        return None
    top, bottom = _whole(parts[0].text), _whole(parts[2].text)
    if not top or not bottom or top > limits.most_parts or not top < bottom <= limits.least_part:
        return None
    from fractions import Fraction  # few marks hold a figure, and it takes its time to load

    after = at + 3
    ordinal = after < len(read) and read[after].text in _ORDINALS
    return after + ordinal, Fraction(top, bottom)


def fineness(
    limits: MetalLimits, read: Sequence[StampedToken], at: int
) -> tuple[int, Fraction] | None:
    """Thousandths: `925`, `.925`, `0.925`, `92.5`, `958.4` and `925/1000`."""
    if at >= len(read) or read[at].kind != "number":
        return None
    thousandths = _thousandths(read[at].text)
    if thousandths is None or not limits.least_fineness <= thousandths <= PURE:
        return None
    over = read[at + 1 : at + 3]
    if [token.text for token in over] == ["/", "1000"]:
        return at + 3, thousandths
    return at + 1, thousandths


def microns(
    limits: MetalLimits, read: Sequence[StampedToken], at: int
) -> tuple[int, Fraction] | None:
    """A thickness in thousandths of a millimetre."""
    number = _decimal(read, at)
    if number is None or not 0 < number <= limits.most_microns:
        return None
    return at + 1, number


METAL_SLOTS = {"karat": karat, "fraction": fraction, "fineness": fineness, "microns": microns}
"""What reads each slot of a spelling, within the limits of the rules."""


@lru_cache(maxsize=8)
def metal_slots(base: KnowledgeBase) -> Mapping[str, Slot]:
    """The slots of spellings of marks of metal, with the limits of a knowledge base."""
    limits = metal_limits(base)
    return {name: partial(slot, limits) for name, slot in METAL_SLOTS.items()}


def written(value: Fraction) -> str:
    """A figure as it is stamped: `14`, `13.5`, `1/20`, `583.33`."""
    if value.denominator == 1:
        return str(value.numerator)
    if value < 1:
        return f"{value.numerator}/{value.denominator}"
    return f"{float(value):.4g}"


def _decimal(read: Sequence[StampedToken], at: int) -> Fraction | None:
    if at >= len(read) or read[at].kind != "number":
        return None
    text = read[at].text.replace(",", ".").lstrip(".")
    if not re.fullmatch(r"[0-9]{1,3}(\.[0-9]{1,3})?", text):
        return None
    from fractions import Fraction

    return Fraction(text)


def _whole(text: str) -> int | None:
    plain = text.lstrip(".")
    return int(plain) if re.fullmatch(r"[0-9]{1,3}", plain) else None


def _thousandths(text: str) -> Fraction | None:
    from fractions import Fraction

    plain = text.replace(",", ".")
    if re.fullmatch(r"0?\.[0-9]{1,4}", plain):
        return Fraction("0" + plain if plain.startswith(".") else plain) * 1000
    if re.fullmatch(r"[0-9]{3}(\.[0-9])?", plain):
        return Fraction(plain)
    if re.fullmatch(r"[0-9]{2}\.[0-9]", plain):
        return Fraction(plain) * 10
    return Fraction(1000) if plain == "1000" else None
