"""Two stones that should mirror each other: one that differs was probably replaced."""

from __future__ import annotations

from markrules.appraisal.colours import colour_value, difference
from markrules.appraisal.shades import stone_colour
from markrules.appraisal.stone import Stone, alike, apart_mm, plain
from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase


@dataclass(frozen=True, slots=True)
class Differ:
    """Whether two stones that should mirror each other differ, in what, and how far in colour."""

    differ: bool
    words: tuple[str, ...]
    apart: float | None


def mirrored(base: KnowledgeBase, one: Stone, other: Stone) -> Differ:
    """Compare two stones that stand in mirror places: one that differs was probably replaced.

    Only what is known of both counts. Sizes differ beyond the tolerance of the size tables,
    colours beyond the setting `stone-mismatch`, or by name where neither was sampled.
    """
    words = [
        f"{what}: {left} and {right}"
        for what, left, right in (
            ("shape", one.shape, other.shape),
            ("cut", one.cut, other.cut),
            ("back", one.back, other.back),
        )
        if left and right and not alike(base, what, left, right)
    ]
    off = apart_mm(one.size_mm, other.size_mm)
    if off is not None and off > base.setting("stone-size-near") + 1e-9:
        words.append(f"size: {off:g} mm apart")
    apart = None
    if one.lab is not None and other.lab is not None:
        apart = difference(one.lab, other.lab)
        if apart > base.setting("stone-mismatch"):
            words.append(f"colour: {apart:.1f} apart")
    elif one.colour and other.colour and not _same_colour(base, one.colour, other.colour):
        words.append(f"colour: {one.colour} and {other.colour}")
    return Differ(bool(words), tuple(words), apart)


def _same_colour(base: KnowledgeBase, one: str, other: str) -> bool:
    left, right = stone_colour(base, one), stone_colour(base, other)
    if left.coat != right.coat or (left.shade and right.shade):
        return left.same(right)
    values = [colour_value(base, " ".join(each.casefold().split())) for each in (one, other)]
    return plain(one) == plain(other) or (values[0] is not None and values[0] == values[1])
