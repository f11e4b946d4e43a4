"""The part of a sheet that holds what follows from the evidence by the rules."""

from __future__ import annotations

from typing import Any

from markrules.inference.reading import ClueReading, DateRange, MakerShare
from markrules.marks.metal import MetalReading
from markrules.sheets.attribution import attribution, rests_on_told
from markrules.sheets.drawing import date_drawing, strongest
from markrules.sheets.listing import mark_is_false, replaced
from markrules.sheets.matter import Footnotes, MarkBeside, SheetMatter
from markrules.telling.limits import firm_limits, limits_of_parts, mass_of_years
from markrules.telling.misleading import against
from markrules.telling.words import (
    bounds,
    capital,
    chance,
    likeliest,
    plain,
    visible,
    window_years,
    years_of,
)

LEAST_SHARE = 0.01
"""Makers below this probability are not named."""
MOST_MAKERS = 4

Data = dict[str, Any]
_STAMPED = "Metal, as stamped: a claim, not a test"
_STAMPED_FALSELY = "What the mark would claim of the metal: it is likely false, and bears no claim"


def concluded_part(matter: SheetMatter, notes: Footnotes) -> Data:
    """Date, makers, marks, clues, contradictions, repairs and make, as plain data."""
    reading = matter.reading
    return {
        "date": _date(matter),
        "grounds": "what was seen and told"
        if rests_on_told(matter.base, reading)
        else "what was seen",
        "drawing": date_drawing(reading),
        "attribution": capital(attribution(matter.base, reading).words),
        "makers": _makers(matter),
        "marks": [_mark(each, notes) for each in matter.marks],
        "metals": [_metal(each) for each in matter.metals],
        "metals_heading": _STAMPED_FALSELY if mark_is_false(matter) else _STAMPED,
        "clues": [_clue(matter, each, notes) for each in strongest(reading.clues)],
        "clues_left_out": max(0, len(reading.clues) - len(strongest(reading.clues))),
        "against": [visible(each) for each in against(reading)],
        "repairs": [
            f"{capital(plain(each.feature))}: {chance(matter.base, each.branches.refit)} that it"
            " was replaced"
            for each in replaced(matter.base, reading.clues)
        ],
        "make": [
            {
                "direction": each.direction,
                "strength": each.strength,
                "say": visible(each.say),
                "cites": notes.numbers_of(each.cites),
            }
            for each in reading.signs
            if each.direction != "neutral"
        ],
    }


def _date(matter: SheetMatter) -> Data:
    date = matter.reading.date
    first, last = firm_limits(matter.reading)
    limits = "" if first is None and last is None else bounds(first, last)
    if first is not None and last is not None:
        limits = f"no earlier than {first} and no later than {last}"
    return {
        "range": years_of(date),
        "chance": chance(matter.base, mass_of_years(matter.reading.date)),
        "likeliest": "" if _is_wide(matter) else likeliest(date),
        "median": date.median,
        "edtf": date.edtf,
        "second": _second(matter, date.second) if len(date.years) < 2 else "",
        "limits": limits,
        "parts": [visible(each) for each in limits_of_parts(matter.reading)],
        "evidence": matter.reading.evidence,
    }


def _is_wide(matter: SheetMatter) -> bool:
    """Whether the range is so wide that no year in it stands out far enough to be named."""
    stretch = matter.reading.date.range
    return stretch.last - stretch.first + 1 > matter.base.setting("widest-range")


def _second(matter: SheetMatter, stretch: DateRange | None) -> str:
    if stretch is None:
        return ""
    return f"{bounds(stretch.first, stretch.last)}, {chance(matter.base, stretch.mass)}"


def _makers(matter: SheetMatter) -> list[list[str]]:
    shares = [each for each in matter.reading.makers if each.probability >= LEAST_SHARE]
    if not any(each.maker for each in shares):
        return []
    return [_maker(matter, each) for each in shares[:MOST_MAKERS]]


def _maker(matter: SheetMatter, share: MakerShare) -> list[str]:
    name = visible(share.title) if share.maker else "another maker, or not known"
    mark = f"mark “{visible(share.mark_text)}”" if share.mark_text and share.maker else ""
    when = bounds(share.first, share.last) if share.maker and share.first is not None else ""
    how = ", ".join(part for part in (mark, when) if part)
    return [name, chance(matter.base, share.probability), how]


def _mark(mark: MarkBeside, notes: Footnotes) -> Data:
    return {
        "text": visible(mark.text),
        "maker": visible(mark.maker),
        "recorded": visible(mark.recorded),
        "read": visible(mark.read),
        "agreement": visible(mark.agreement),
        "struck": visible(mark.struck),
        "cites": notes.numbers_of(mark.cites),
    }


def _metal(metal: MetalReading) -> Data:
    return {
        "words": visible(metal.words),
        "say": visible(metal.say),
        "law": visible(metal.law),
    }


def _clue(matter: SheetMatter, clue: ClueReading, notes: Footnotes) -> Data:
    return {
        "name": visible(plain(clue.clue)),
        "years": window_years(clue),
        "why": visible(clue.why),
        "trust": clue.trust,
        "doubt": _doubt(matter, clue),
        "cites": notes.numbers_of(clue.cites),
    }


def _doubt(matter: SheetMatter, clue: ClueReading) -> str:
    branches = clue.branches
    for share, words in (
        (branches.refit, "that the part or mark is later"),
        (branches.reuse, "that an older part was used again"),
        (branches.misread, "that it misleads"),
    ):
        if share >= 0.5:
            return f"{chance(matter.base, share)} {words}"
    return ""
