"""How a mark was read, and what is nearest to one that is not listed, in words."""

from __future__ import annotations

from markrules.inference.chances import percent
from markrules.inference.reading import IN_PART, NOT_READ, MarkReading, Reading

UNLISTED = "not in these rules"
A_MARK = "a mark"
_READ_AS = {"heard": "heard of, not seen", NOT_READ: "there, but not read"}

_MOST_CHANGES = 4
"""More than this that would have to be misread is not told one by one."""


LEAST_NAMED = 0.01
"""A listed maker that is less likely is not named."""
_MOSTLY = 0.5


def likely_of_none(reading: Reading, mark: MarkReading) -> str:
    """Of a mark read in part, that most likely no listed maker had it; else empty.

    One read in full says so itself: it is `unlisted`.
    """
    open_ones = [each for each in reading.makers if each.maker]
    of_none = next((each.probability for each in reading.makers if not each.maker), 0.0)
    if mark.how != IN_PART or of_none < _MOSTLY:
        return ""
    if any(each.probability >= LEAST_NAMED for each in open_ones):
        return ""
    return f"most likely of a maker {UNLISTED} ({percent(of_none)})"


def how_to_add(mark: MarkReading) -> str:
    """The command that adds the maker of an unlisted mark to one's own rules.

    It runs as it stands, and says nothing that is not known; what else is known goes behind it.
    """
    known = "(where known with --years, --country, --from)"
    return f"markrules rules add-maker {_typed(mark.text)} {known}"


def how_to_search(mark: MarkReading) -> str:
    """The command that shows which listed marks come nearest to one read in part."""
    return f"markrules marks {_typed(mark.text)}"


def _typed(text: str) -> str:
    """A text as one word of a command."""
    quoted = text.replace("'", "'\\''")
    return f"'{quoted}'"


def read_as(mark: MarkReading) -> str:
    """How a text was read: `read in full`, `read in part`, `not read`, `heard of, not seen`."""
    return _READ_AS.get(mark.how, f"read {mark.how}")


_MOST_SHARING = 6
"""More makers with the same letters are counted, and not named."""


def who_shares(mark: MarkReading) -> str:
    """That several listed makers have a mark of these letters, and who; empty where none share."""
    if not mark.shared_by:
        return ""
    names = [name.partition(" (")[0] for _, name in mark.shared_by]
    more = len(names) - _MOST_SHARING
    told = [*names[:_MOST_SHARING], *([f"{more} more"] if more > 0 else [])]
    listed = f"{', '.join(told[:-1])} or {told[-1]}"
    return f"One of {listed}, or of a maker {UNLISTED}: they share these letters."


def as_signed(mark: MarkReading) -> str:
    """The text of a mark in quotes; of one of which nothing was read, that it is there."""
    return A_MARK if mark.how == NOT_READ else f'"{mark.text}"'


def nearest_listed(mark: MarkReading) -> str:
    """The listed mark nearest to an unlisted one, and what would have to be misread for it."""
    if not mark.maker:
        return "No listed mark is near."
    named = f'"{mark.mark_text}" of {mark.title}' if mark.mark_text else mark.title
    changes = mark.only_if
    if not changes:
        return f"Nearest listed: {named}, with the same letters."
    told = "; ".join(changes[:_MOST_CHANGES])
    more = f"; and {len(changes) - _MOST_CHANGES} more" if len(changes) > _MOST_CHANGES else ""
    return f"Nearest listed: {named}, only if {told}{more}."
