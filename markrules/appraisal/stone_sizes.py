"""Sizes of round stones, both ways: from a code to millimetres, and from millimetres to codes."""

from __future__ import annotations

import re
from collections.abc import Iterator

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Row


@dataclass(frozen=True, slots=True)
class StoneSize:
    """A code, the millimetres from `low_mm` to `high_mm`, and how far a measure lies outside.

    `off_mm` is 0 where the measure lies inside. `sure` is False for a row from memory.
    """

    code: str
    low_mm: float
    high_mm: float
    off_mm: float = 0.0
    sure: bool = True
    note: str = ""

    @property
    def middle_mm(self) -> float:
        """The middle of the range."""
        return (self.low_mm + self.high_mm) / 2


def stone_size(base: KnowledgeBase, code: str) -> StoneSize | None:
    """The millimetres of a code such as `SS16`, `ss 16`, `16ss`, `PP 24`; None if not listed."""
    wanted = _plain(code)
    return next((size for size in _sizes(base) if _plain(size.code) == wanted), None)


def nearest_sizes(
    base: KnowledgeBase, size_mm: float, near_mm: float | None = None
) -> tuple[StoneSize, ...]:
    """The codes that a measured stone or setting can have, best first.

    Those whose range holds the measure come first, then those within `near_mm` of it (the
    setting `stone-size-near` if not given); if there are none, the one nearest. Empty only
    for a measure that is not above zero.
    """
    if not 0 < size_mm < float("inf"):
        return ()
    reach = base.setting("stone-size-near") if near_mm is None else near_mm
    measured = sorted(
        (_measured(size, size_mm) for size in _sizes(base)),
        key=lambda size: (size.off_mm, abs(size.middle_mm - size_mm)),
    )
    close = tuple(size for size in measured if size.off_mm <= reach + 1e-9)
    return close or tuple(measured[:1])


def _measured(size: StoneSize, size_mm: float) -> StoneSize:
    off = max(0.0, size.low_mm - size_mm, size_mm - size.high_mm)
    return StoneSize(size.code, size.low_mm, size.high_mm, round(off, 6), size.sure, size.note)


def _sizes(base: KnowledgeBase) -> Iterator[StoneSize]:
    for register in base.registers.values():
        if register.kind == "size":
            yield from (_size(row) for row in register.rows if row.low_mm is not None)


def _size(row: Row) -> StoneSize:
    low = row.low_mm if row.low_mm is not None else 0.0
    high = row.high_mm if row.high_mm is not None else low
    return StoneSize(row.key, low, high, sure=row.trust is None, note=row.note)


def _plain(code: str) -> str:
    """Letters before figures, capitals, nothing between: `16 ss` is SS16."""
    parts = re.findall(r"[A-Z]+|[0-9]+(?:\.[0-9]+)?", code[:20].upper())
    return "".join(sorted(parts, key=lambda part: not part.isalpha()))
