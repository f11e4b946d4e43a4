"""What a sheet says, as plain data: one form for the page and for print, so that both say the same.

The three parts are kept apart: `seen` holds what somebody saw, `concluded` what follows from it
by the rules, `told` what somebody said. Every text here is ready to be shown: what cannot be
printed has been made visible. Escaping is the work of whatever writes the data out.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from markrules.inference.reading import ClueReading, DateRange, MakerShare
from markrules.marks.metal import MetalReading
from markrules.sheets.attribution import attribution, date_words
from markrules.sheets.drawing import date_drawing, strongest
from markrules.sheets.fingerprint import fingerprint, short
from markrules.sheets.footnotes import Footnotes
from markrules.sheets.listing import replaced
from markrules.sheets.matter import MarkBeside, Owner, SeenLine, SheetMatter, SheetPhoto
from markrules.sheets.object_id import completeness
from markrules.sheets.words import capital, chance, day, percent, plain, value_words, visible, years

LEAST_SHARE = 0.01
"""Makers below this probability are not named."""
MOST_MAKERS = 4
MOST_CAUTIONS = 6
LONGEST = 1200
"""Characters of a note or of what was told that a sheet shows: beyond, it says that it goes on."""

Data = dict[str, Any]


def content(matter: SheetMatter) -> Data:
    """All that a sheet says, as dictionaries, lists and strings, ready for `json.dumps`."""
    notes = Footnotes(matter.base)
    digest = fingerprint(matter)
    seen = _seen_part(matter, notes)
    concluded = _concluded(matter, notes)
    cautions = _cautions(matter, notes)
    return {
        "heading": heading(matter),
        "subheading": _subheading(matter),
        "identity": _identity(matter),
        "fingerprint": short(digest),
        "digest": digest,
        "knowledge": visible(matter.reading.knowledge_version),
        "seen": seen,
        "concluded": concluded,
        "told": _told(matter),
        "cautions": cautions,
        "missing": [[each.name, each.ask] for each in completeness(matter) if each.missing],
        "sources": notes.texts,
    }


def heading(matter: SheetMatter) -> str:
    """The name of the piece: its own title, or what kind of piece it is."""
    return visible(matter.title) or capital(plain(matter.reading.piece_type)) or "Piece of jewelry"


def _subheading(matter: SheetMatter) -> str:
    found = attribution(matter.base, matter.reading)
    kind = plain(matter.reading.piece_type)
    parts = [kind if matter.title else "", found.words, date_words(matter.base, matter.reading)]
    return capital(", ".join(part for part in parts if part))


def _identity(matter: SheetMatter) -> list[list[str]]:
    number = f", piece {matter.number}" if matter.number is not None else ""
    rows = [
        ["Place", f"{visible(matter.box)}{number}" if matter.box else ""],
        ["Identifier", visible(matter.uid)],
        ["Sheet made", visible(matter.made_on)],
    ]
    return [row for row in rows if row[1]]


# --- Seen ---------------------------------------------------------------------------------------


def _seen_part(matter: SheetMatter, notes: Footnotes) -> Data:
    lines = [each for each in matter.seen if not each.observation.heard]
    faults = [
        {
            "say": visible(each.say),
            "severity": each.severity,
            "cites": notes.numbers_of(each.cites),
        }
        for each in matter.reading.faults
    ]
    return {
        "rows": [_seen_row(matter, each) for each in lines],
        "who": _who(lines),
        "photos": [_photo(number, each) for number, each in enumerate(matter.photos, 1)],
        "faults": faults,
        "not_understood": [visible(each) for each in matter.reading.not_understood],
    }


def _seen_row(matter: SheetMatter, line: SeenLine) -> Data:
    observation = line.observation
    said = value_words(matter.base, observation)
    words = observation.words
    own = words if words and words.casefold() not in said.casefold() else ""
    return {
        "what": visible(plain(observation.feature)),
        "said": visible(said),
        "words": visible(own),
        "sure": "" if observation.certainty == "sure" else visible(observation.certainty),
        "who": visible(line.who),
        "when": visible(day(line.when)),
        "photo": str(line.photo + 1) if line.photo is not None else "",
    }


def _who(lines: Sequence[SeenLine]) -> str:
    """Who saw it and when, where that is the same for every line; else empty."""
    told = {(each.who, day(each.when)) for each in lines}
    if len(told) != 1:
        return ""
    who, when = told.pop()
    by = f"by {visible(who)}" if who else ""
    on = f"on {visible(when)}" if when else ""
    return " ".join(part for part in (by, on) if part) or "by whom and when is not recorded"


def _photo(number: int, photo: SheetPhoto) -> Data:
    return {
        "number": number,
        "place": visible(photo.place),
        "width": photo.width,
        "height": photo.height,
        "pins": [
            {"x": round(100 * x, 1), "y": round(100 * y, 1), "words": visible(words)}
            for x, y, words in photo.pins
        ],
    }


# --- Concluded ----------------------------------------------------------------------------------


def _concluded(matter: SheetMatter, notes: Footnotes) -> Data:
    reading = matter.reading
    return {
        "date": _date(matter),
        "drawing": date_drawing(reading),
        "attribution": capital(attribution(matter.base, reading).words),
        "makers": _makers(matter),
        "marks": [_mark(each, notes) for each in matter.marks],
        "metals": [_metal(each) for each in matter.metals],
        "clues": [_clue(matter, each, notes) for each in strongest(reading.clues)],
        "clues_left_out": max(0, len(reading.clues) - len(strongest(reading.clues))),
        "against": [visible(each) for each in reading.contradictions],
        "repairs": [
            f"{capital(plain(each.feature))}: {chance(matter.base, each.branches.refit)} that it"
            " was replaced"
            for each in replaced(reading.clues)
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
    limits = years(date.not_before, date.not_after)
    told = date.not_before is not None or date.not_after is not None
    if date.not_before is not None and date.not_after is not None:
        limits = f"no earlier than {date.not_before} and no later than {date.not_after}"
    return {
        "range": years(date.range.first, date.range.last),
        "chance": chance(matter.base, date.range.mass),
        "likeliest": date.likeliest,
        "median": date.median,
        "edtf": date.edtf,
        "second": _second(matter, date.second),
        "limits": limits if told else "",
        "evidence": matter.reading.evidence,
    }


def _second(matter: SheetMatter, stretch: DateRange | None) -> str:
    if stretch is None:
        return ""
    return f"{years(stretch.first, stretch.last)}, {chance(matter.base, stretch.mass)}"


def _makers(matter: SheetMatter) -> list[list[str]]:
    shares = [each for each in matter.reading.makers if each.probability >= LEAST_SHARE]
    if not any(each.maker for each in shares):
        return []
    return [_maker(matter, each) for each in shares[:MOST_MAKERS]]


def _maker(matter: SheetMatter, share: MakerShare) -> list[str]:
    name = visible(share.title) if share.maker else "a maker not in these rules"
    mark = f"mark “{visible(share.mark_text)}”" if share.mark_text and share.maker else ""
    when = years(share.first, share.last) if share.maker and share.first is not None else ""
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
        "may": visible(metal.claim),
        "never": visible(metal.never),
    }


def _clue(matter: SheetMatter, clue: ClueReading, notes: Footnotes) -> Data:
    return {
        "name": visible(plain(clue.clue)),
        "years": years(clue.first, clue.last),
        "why": visible(clue.why),
        "trust": clue.trust,
        "bits": f"{clue.bits:.2f}",
        "doubt": _doubt(matter, clue),
        "cites": notes.numbers_of(clue.cites),
    }


def _doubt(matter: SheetMatter, clue: ClueReading) -> str:
    branches = clue.branches
    for share, words in (
        (branches.refit, "that the part was fitted later"),
        (branches.reuse, "that an older part was used again"),
        (branches.misread, "that it misleads"),
    ):
        if share >= 0.5:
            return f"{chance(matter.base, share)} {words}"
    return ""


# --- Told, and cautions ---------------------------------------------------------------------------


def _told(matter: SheetMatter) -> Data:
    """What was told, each thing once; a note taken over whole holds more than that."""
    told = "" if matter.told.strip() == matter.note.strip() else matter.told
    heard = [
        each
        for each in matter.seen
        if each.observation.heard and (each.observation.words or each.observation.value) not in told
    ]
    lines = [
        {
            "text": visible(each.observation.words or each.observation.value),
            "who": visible(each.who),
            "when": visible(day(each.when)),
        }
        for each in heard
    ]
    return {
        "text": visible(_cut(told)),
        "lines": lines,
        "note": visible(_cut(matter.note)),
        "chain": [_owner(each) for each in matter.owners],
    }


def _cut(text: str) -> str:
    if len(text) <= LONGEST:
        return text
    return f"{text[:LONGEST]} … (goes on for {len(text) - LONGEST:,} more characters)"


def _owner(owner: Owner) -> Data:
    what = "with the whole box" if owner.of_box else ""
    parts = [
        visible(owner.where),
        f"from {visible(owner.who_from)}" if owner.who_from else "",
        what,
        visible(owner.note),
    ]
    return {
        "when": visible(owner.when) or "undated",
        "how": ", ".join(part for part in parts if part),
    }


def _cautions(matter: SheetMatter, notes: Footnotes) -> list[Data]:
    order = {"hazard": 0, "law": 1, "care": 2}
    found = sorted(matter.reading.cautions, key=lambda each: order.get(each.level, 3))
    return [
        {
            "level": each.level,
            "say": visible(each.say),
            "cites": notes.numbers_of(each.cites),
        }
        for each in found[:MOST_CAUTIONS]
    ]


def share_words(probability: float) -> str:
    """A probability in figures alone, for lists with little room."""
    return percent(probability)
