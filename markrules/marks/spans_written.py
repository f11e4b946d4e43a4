"""Years as people write them beside a mark: `1900-1920`, `1955-60`, `c. 1910`, `late 1950s`."""

from __future__ import annotations

from functools import lru_cache

from markrules.knowledge.parts_of_time import third_of
from markrules.late import late
from markrules.named_tuple import NamedTuple


class WrittenSpan(NamedTuple):
    """The first and the last year; None where that end is open."""

    first: int | None
    last: int | None


_ONE = (
    r"(?:(?P<part{0}>early|mid|late)[ -]+)?"
    r"(?P<year{0}>(?:1[0-9]|20)[0-9]{{2}})(?P<decade{0}>['’]?s)?"
)
_ABOUT = r"(?:(?:c|ca|circa|about|approx|approximately|around|um)\.?\s*)?(?:the\s+)?"
_SPAN = late(
    rf"{_ABOUT}(?:between\s+)?{_ONE.format(1)}\s*(?:-|–|—|/|to|till|until|and|bis)\s*{_ABOUT}"
    rf"(?:{_ONE.format(2)}|(?P<short>[0-9]{{2}})(?P<tens>['’]?s)?)"
)
_ENDED = late(
    rf"(?:(?P<before>until|till|to|up to|before|bis|<|-|–|—)|(?P<after>from|since|after|ab|>))?\s*"
    rf"{_ABOUT}{_ONE.format(1)}\s*(?P<on>onwards?|on|and later|or later|-|–|—|\+)?"
)
_THIRDS = ("early", "mid", "late")


@lru_cache(maxsize=4096)
def written_span(text: str) -> WrittenSpan | None:
    """The years that a text tells; None where it tells none, or no years alone. The first may come
    after the last: what to say of that is the caller's.
    """
    plain = " ".join(text.casefold().split()).strip(" .()")
    found = _SPAN.fullmatch(plain)
    if found is not None:
        first, _ = _years(found["year1"], found["part1"], found["decade1"])
        if found["short"]:
            year = found["year1"][:2] + found["short"]
            _, last = _years(year, None, found["tens"])
        else:
            _, last = _years(found["year2"], found["part2"], found["decade2"])
        return WrittenSpan(first, last)
    found = _ENDED.fullmatch(plain)
    if found is None or (found["on"] and found["before"]):
        return None
    first, last = _years(found["year1"], found["part1"], found["decade1"])
    if found["before"]:
        return WrittenSpan(None, last)
    return WrittenSpan(first, None if found["after"] or found["on"] else last)


def _years(year: str, part: str | None, decade: str | None) -> tuple[int, int]:
    """The first and last year of a year, a decade or a part of one; `1900s` are ten years."""
    begins = int(year)
    if not decade and not part:
        return begins, begins
    if part:
        return third_of(begins - begins % 10, 10, _THIRDS.index(part))
    return begins, begins + 9
