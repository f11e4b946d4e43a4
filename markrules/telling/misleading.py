"""What misleads about a piece, in one sentence for every face."""

from __future__ import annotations

from collections.abc import Sequence

from markrules.inference.reading import MisleadingReading
from markrules.telling.conditions import plain
from markrules.telling.years_shown import percent


def misleading_words(each: MisleadingReading) -> str:
    """`Part replaced (catch): taken for …; probably … (60%). Look: …`."""
    part = f" ({', '.join(map(plain, each.part))})" if each.part else ""
    sure = "probably" if each.stated else "perhaps"
    return (
        f"{each.heading.capitalize()}{part}: taken for {each.taken}; {sure} {each.truth} "
        f"({percent(each.probability)}). Look: {each.look}"
    )


def against(found: Sequence[MisleadingReading], contradictions: Sequence[str]) -> list[str]:
    """What does not fit: what misleads comes first, then what contradicts the rest."""
    return [*(misleading_words(each) for each in found if each.stated), *contradictions]


def to_bear_in_mind(found: Sequence[MisleadingReading]) -> list[str]:
    """What may mislead about such pieces, and less often than not does."""
    return [misleading_words(each) for each in found if not each.stated]
