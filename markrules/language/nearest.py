"""The known name that a writer may have meant."""

from __future__ import annotations

from collections.abc import Iterable


def nearest(name: str, known: Iterable[str], likeness: int = 60) -> str | None:
    """The known name most like `name`, or None where none is `likeness` per cent alike."""
    from rapidfuzz import fuzz, process

    best = process.extractOne(name, list(known), scorer=fuzz.ratio, score_cutoff=likeness)
    return best[0] if best is not None else None
