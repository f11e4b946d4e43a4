"""What misleads about a piece, in one sentence for every face."""

from __future__ import annotations

from collections.abc import Collection

from markrules.inference.chances import percent
from markrules.inference.reading import MisleadingReading, Reading

MOST_NAMED = 3
"""Of features none of which was noted so many are named at most: more are no place to look."""


def misleading_words(each: MisleadingReading, noted: Collection[str] = ()) -> str:
    """`Part replaced (catch): taken for …; probably … (60%). Look: …`.

    What whoever told of the piece knows is told back and accuses nothing: `Part replaced (clasp):
    as told, …. Look: …`. Of the features that it blames those are named that were `noted` on the
    piece, since what was not seen is not what misleads; where none was, as of a part that is only
    said to be replaced, all are, if they are few.
    """
    from markrules.telling.conditions import plain

    named = [name for name in each.part if name in noted]
    if not named and len(each.part) <= MOST_NAMED:
        named = list(each.part)
    part = f" ({', '.join(map(plain, named))})" if named else ""
    if each.openly_told:
        return f"{each.heading.capitalize()}{part}: as told, {each.truth}. Look: {each.look}"
    sure = "probably" if each.stated else "perhaps"
    return (
        f"{each.heading.capitalize()}{part}: taken for {each.taken}; {sure} {each.truth} "
        f"({percent(each.probability)}). Look: {each.look}"
    )


def against(reading: Reading) -> list[str]:
    """What does not fit: what misleads comes first, then what contradicts the rest."""
    return [*_told(reading, stated=True), *reading.contradictions]


def to_bear_in_mind(reading: Reading) -> list[str]:
    """What may mislead about such pieces and less often than not does, and what was told openly."""
    return _told(reading, stated=False)


def _told(reading: Reading, *, stated: bool) -> list[str]:
    noted = {each.feature for each in reading.observations}
    return [misleading_words(each, noted) for each in reading.misleading if each.stated == stated]
