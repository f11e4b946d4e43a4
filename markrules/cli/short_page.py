"""A reading in one screen: when, by whom, how sure, what does not fit, what next; then why.

What must not be lost stands in full: what does not fit, dangers, and words not understood. Of
the rest as much is said as fits; what is folded is counted in the last line, and `--full` says it.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from dataclasses import field

from markrules.cli.drawing import Inks, draw
from markrules.cli.page import (
    account_lines,
    against_lines,
    answer_lines,
    maker_lines,
    metal_lines,
    signed_lines,
    wider_in_short,
    word_lines,
    wrapped,
)
from markrules.frozen import dataclass
from markrules.inference.reading import ClueReading, Reading
from markrules.marks.metal import MetalReading
from markrules.telling.words import count_of, fate_of_part, listed, window_years

MOST_LINES = 40
LEAST_BITS = 0.05
"""A clue that tells less says nothing here."""
HAZARD = "hazard"


@dataclass(frozen=True, slots=True)
class Room:
    """How much of each part is said, in items; `account`, `words` and `metal` in lines."""

    account: int
    makers: int
    looks: int
    why: int
    also: int
    make: int
    care: int
    words: int
    drawn: bool = True
    metal: int = 5


ROOMS = (
    Room(4, 3, 3, 4, 4, 6, 4, 6),
    Room(4, 3, 2, 3, 2, 5, 2, 4),
    Room(3, 2, 2, 3, 1, 4, 1, 3),
    Room(3, 2, 1, 2, 0, 3, 0, 3),
    Room(2, 2, 1, 2, 0, 2, 0, 2, drawn=False),
    Room(2, 1, 1, 1, 0, 1, 0, 2, drawn=False),
    Room(2, 1, 1, 1, 0, 1, 0, 2, drawn=False, metal=2),
)


LOOKS_SHOWN = max(room.looks for room in ROOMS)
"""So many next looks are asked for where the page is short: each further one takes its time."""


@dataclass(slots=True)
class _Folded:
    """What was left out, by kind."""

    counts: dict[str, int] = field(default_factory=dict)

    def out_of(self, kind: str, every: Sequence[str], most: int) -> Sequence[str]:
        """The first so many; the others are counted."""
        if len(every) > most:
            self.counts[kind] = self.counts.get(kind, 0) + len(every) - most
        return every[:most]


def short_page(
    reading: Reading,
    width: int,
    inks: Inks,
    metals: Sequence[MetalReading] = (),
    findings: Sequence[str] = (),
) -> list[str]:
    """The page in at most `MOST_LINES` lines, where what must be said leaves it that room."""
    for room in ROOMS:
        lines = _composed(reading, width, inks, metals, findings, room)
        if len(lines) <= MOST_LINES:
            break
    return lines


def _composed(
    reading: Reading,
    width: int,
    inks: Inks,
    metals: Sequence[MetalReading],
    findings: Sequence[str],
    room: Room,
) -> list[str]:
    folded = _Folded()
    hazards = [each.say for each in reading.cautions if each.level == HAZARD]
    others = [f"{each.level}: {each.say}" for each in reading.cautions if each.level != HAZARD]
    others += [f"care: {each.caution}" for each in reading.faults if each.caution]
    make = [f"- {each.severity}: {each.say}" for each in reading.faults]
    make += [f"{_SIGNS[each.direction]} {each.say}" for each in reading.signs]
    telling = [each for each in _by_weight(reading.clues) if each.bits >= LEAST_BITS]
    if len(telling) < len(reading.clues):
        folded.counts["clue"] = len(reading.clues) - len(telling)
    sections = [
        _account(reading, width, room.account),
        [*answer_lines(reading), *wider_in_short(reading, width)],
        draw(reading, width, inks, rows=2, windows=False) if room.drawn else [],
        signed_lines(reading, width),
        maker_lines(reading, width, room.makers),
        against_lines(reading, width),
        _looks(reading, width, room.looks),
        _part("WHY", folded.out_of("clue", list(map(_clue, telling)), room.why), width),
        _part("ALSO", folded.out_of("finding", findings, room.also), width, "  * "),
        _most(metal_lines(metals, width), room.metal, width),
        _part("MAKE AND CONDITION", folded.out_of("point of make", make, room.make), width),
        _part("TAKE CARE", hazards, width, "  ! ", lines=99),
        _part(
            "" if hazards else "TAKE CARE",
            folded.out_of("point of care or law", others, room.care),
            width,
            "  ! ",
        ),
        _most(word_lines(reading, width), room.words, width),
    ]
    body: list[str] = []
    for section in sections:
        body += section
    folded.counts["source"] = len(_sources(reading))
    more = [
        count_of(number, kind, kind.replace("point", "points") if " " in kind else "")
        for kind, number in folded.counts.items()
        if number
    ]
    last = f"knowledge {reading.knowledge_version}"
    if more:
        last += f"; with --full also {listed(more)}"
    return [*body, *wrapped(last, width, "", "    ")]


def _account(reading: Reading, width: int, most: int) -> list[str]:
    """How the note was understood; what was not is never left out."""
    lines: list[str] = []
    for fates, room in (
        (("understood", "guessed"), most),
        (("neutral",), 1),
        (("not-understood",), sys.maxsize),
    ):
        told = [each for each in reading.account if each.fate in fates]
        head, *rest = account_lines(told, width) or [""]
        lines += [*([] if lines else [head]), *_most(rest, room, width)] if rest else []
    return [*lines, ""] if lines else []


_SIGNS = {"better": "+", "poorer": "-", "neutral": "="}


def _by_weight(clues: Iterable[ClueReading]) -> list[ClueReading]:
    return sorted(clues, key=lambda each: -each.bits)


def _clue(clue: ClueReading) -> str:
    said = f"{clue.clue.replace('-', ' ')}: {window_years(clue)}{fate_of_part(clue)}"
    return f"{said}. {clue.why}"


def _looks(reading: Reading, width: int, most: int) -> list[str]:
    asked = [f"{each.ask} {each.look}" for each in reading.next[:most]]
    if asked:
        asked[0] = f"(would narrow it most) {asked[0]}"
    return _part("LOOK NEXT", asked, width, "  ? ")


def _part(
    head: str, items: Sequence[str], width: int, mark: str = "  ", lines: int = 2
) -> list[str]:
    """A heading, where there is one, with its items, each of at most so many lines."""
    if not items:
        return []
    said = [head] if head else []
    for each in items:
        said += _most(list(wrapped(each, width, mark, "      ")), lines, width)
    return said


def _most(lines: list[str], most: int, width: int) -> list[str]:
    """The first so many lines; the last of them ends with `…` where more follow."""
    if len(lines) <= most:
        return lines
    return [*lines[: most - 1], f"{lines[most - 1][: width - 2].rstrip()} …"]


def _sources(reading: Reading) -> set[tuple[str, str]]:
    parts = (reading.clues, reading.signs, reading.faults, reading.cautions)
    return {(c.source, c.place) for part in parts for each in part for c in each.cites}
