"""A reading as a page of text for the terminal, in at most the width asked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import field

from markrules.cli.drawing import Inks, draw
from markrules.frozen import dataclass
from markrules.inference.chances import percent
from markrules.inference.engine import NO_EVIDENCE, NOT_COUNTED
from markrules.inference.reading import (
    Citation,
    ClueReading,
    DateRange,
    Dating,
    MakerShare,
    OriginReading,
    Reading,
)
from markrules.knowledge.observation import Accounted, Observation
from markrules.marks.metal import MetalReading
from markrules.telling.limits import firm_limits, limits_of_parts, mass_of_years
from markrules.telling.misleading import against, to_bear_in_mind
from markrules.telling.signatures import (
    LEAST_NAMED,
    UNLISTED,
    as_signed,
    how_to_add,
    how_to_search,
    likely_of_none,
    nearest_listed,
    read_as,
    who_shares,
)
from markrules.telling.words import (
    cells,
    fate_of_part,
    in_lines,
    likeliest,
    printable,
    window_years,
    years,
    years_of,
)


@dataclass(slots=True)
class TerminalNotes:
    """Numbers citations in the order in which they are first used."""

    numbers: dict[tuple[str, str], int] = field(default_factory=dict)
    texts: list[str] = field(default_factory=list)

    def mark(self, cites: Iterable[Citation]) -> str:
        """The bracketed numbers of the citations, as `[1][3]`."""
        return "".join(f"[{self._number(cite)}]" for cite in cites)

    def _number(self, cite: Citation) -> int:
        key = (cite.source, cite.place)
        if key not in self.numbers:
            self.numbers[key] = len(self.numbers) + 1
            place = f", {cite.place}" if cite.place else ""
            self.texts.append(printable(f"{cite.title}{place}"))
        return self.numbers[key]


def page(
    reading: Reading,
    width: int,
    inks: Inks,
    metals: Sequence[MetalReading] = (),
    findings: Sequence[str] = (),
) -> list[str]:
    """The whole page: how the note was understood, the answer, the drawing, the reasons, and
    what to do.
    """
    notes = TerminalNotes()
    sections = [
        account_lines(reading.account, width),
        [*answer_lines(reading, width), *_wider(reading, width)],
        signed_lines(reading, width),
        maker_lines(reading, width),
        draw(reading, width, inks),
        against_lines(reading, width),
        _next(reading, width),
        _clues(reading, width, notes),
        _findings(findings, width),
        metal_lines(metals, width),
        _make_and_condition(reading, width, notes),
        _cautions(reading, width, notes),
        word_lines(reading, width),
        _sources(notes, width),
    ]
    lines: list[str] = []
    for section in sections:
        if section:
            lines += [*section, ""]
    return [*lines, f"knowledge {reading.knowledge_version}"]


def account_lines(account: Sequence[Accounted], width: int) -> list[str]:
    """How each word of a note was understood: as what, guessed, neutral, or not at all."""
    lines: list[str] = []
    for fate, head in (
        ("understood", ""),
        ("guessed", "guessed: "),
        ("neutral", "changes nothing: "),
        ("not-understood", "not understood: "),
    ):
        told = [each for each in account if each.fate == fate and not each.little]
        if told:
            said = "; ".join(dict.fromkeys(map(_accounted, told)))
            lines += wrapped(f"{head}{said}", width, "  ", "      ")
    return ["AS UNDERSTOOD", *lines] if lines else []


def _accounted(each: Accounted) -> str:
    if not each.meaning or each.fate == "neutral":
        return each.words
    return f"{each.words} = {each.meaning}"


def answer_lines(reading: Reading, width: int = 80) -> list[str]:
    """When it was made, how sure that is, and what bounds it."""
    date = reading.date
    lines = [f"{reading.piece_type or 'piece'}: {_set_of_years(date)}"]
    for each in reading.types:
        lines += wrapped(f"type: {printable(each.title)}", width, "", "    ")
    if not reading.evidence:
        bare = "Nothing seen speaks of a date; these are the years of such pieces in general."
        lines += wrapped(bare, width, "", "    ")
    middle = f"{likeliest(date)}, middle {date.median}, EDTF {date.edtf}"
    lines += wrapped(middle, width, "", "    ")
    if date.second is not None and len(date.years) < 2:
        lines.append(f"or else {_range(date.second)}")
    firm = firm_limits(reading)
    if firm != (None, None):
        lines.append(f"hard limits: {years(*firm)}")
    for said in limits_of_parts(reading):
        lines += wrapped(f"limit of a part: {printable(said)}", width, "", "    ")
    return lines


def _set_of_years(date: Dating) -> str:
    """The years of the answer and the probability that they hold."""
    mass = mass_of_years(date)
    return f"{years_of(date)} ({percent(mass)})"


def _wider(reading: Reading, width: int) -> list[str]:
    """Where the piece is taken to come from, what else it may be, and how copies differ."""
    lines: list[str] = []
    origin = reading.origin
    if origin is not None:
        other = "; ".join(f"{name}: {_range(span)}" for name, span in origin.others)
        text = f"{_taken_from(origin)}{f' (from {other})' if other else ''}"
        lines += wrapped(printable(text), width, "", "    ")
    for each in reading.exceptions:
        text = f"perhaps {each.title} ({percent(each.probability)}): {each.say}"
        lines += wrapped(printable(text), width, "", "    ")
    for kind in reading.types:
        for copy in kind.copies:
            lines += wrapped(f"later copies of this type, {printable(copy)}", width, "", "    ")
    return lines


def _taken_from(origin: OriginReading) -> str:
    if origin.said:
        return f"taken as from {origin.title}"
    return f"taken as most likely from {origin.title}, as nobody said"


def wider_in_short(reading: Reading, width: int) -> list[str]:
    """The same in a line each: where the piece is taken to come from, if somebody said so or
    another origin would give other years (the one that differs most), and what else it may be.
    """
    lines: list[str] = []
    origin, mine = reading.origin, reading.date.span
    if origin is not None and (origin.said or origin.others):
        text = _taken_from(origin)
        if origin.others:

            def apart(other: tuple[str, DateRange]) -> int:
                return abs(other[1].first - mine.first) + abs(other[1].last - mine.last)

            name, span = max(origin.others, key=apart)
            text = f"{text}; from {name}: {years(span.first, span.last)}"
        lines += wrapped(printable(text), width, "", "    ")
    for each in reading.exceptions:
        text = f"perhaps {each.title} ({percent(each.probability)})"
        lines += wrapped(printable(text), width, "", "    ")
    return lines


def _range(stretch: DateRange) -> str:
    return f"{years(stretch.first, stretch.last)} ({percent(stretch.mass)})"


def signed_lines(reading: Reading, width: int) -> list[str]:
    """Each text that may be a maker's, how it was read, and of an unlisted one the nearest."""
    if not reading.marks:
        return []
    lines = ["SIGNED"]
    for mark in reading.marks:
        text = f"{printable(as_signed(mark))}, {read_as(mark)}"
        if not mark.unlisted:
            of_none = likely_of_none(reading, mark)
            lines += wrapped(f"{text}: {of_none}." if of_none else text, width, "  ", "      ")
            if of_none:
                nearest = f"The nearest in the lists: {printable(how_to_search(mark))}"
                lines += wrapped(nearest, width, "      ", "      ")
            if sharing := who_shares(mark):
                lines += wrapped(printable(sharing), width, "      ", "      ")
            continue
        lines += wrapped(f"{text}: {UNLISTED}.", width, "  ", "      ")
        lines += wrapped(printable(nearest_listed(mark)), width, "      ", "      ")
        lines += wrapped(
            f"If you know the maker: {printable(how_to_add(mark))}", width, "      ", "      "
        )
    return lines


def maker_lines(reading: Reading, width: int, most: int = 5) -> list[str]:
    """The makers that come in question, the likeliest first."""
    known = [share for share in reading.makers if share.maker and share.probability >= LEAST_NAMED]
    if not known:
        return []
    lines = ["MAKER"]
    for share in reading.makers[:most]:
        if share.probability < LEAST_NAMED:
            continue
        lines += wrapped(_maker_line(share), width, "  ", "      ")
    return lines


def _maker_line(share: MakerShare) -> str:
    if not share.maker:
        return f"{percent(share.probability):>8}  a maker not in these rules"
    mark = f', mark "{share.mark_text}"' if share.mark_text else ""
    when = f", {years(share.first, share.last)}" if share.first is not None else ""
    return f"{percent(share.probability):>8}  {share.title}{mark}{when}"


def against_lines(reading: Reading, width: int) -> list[str]:
    """What does not fit."""
    lines: list[str] = []
    for text in against(reading):
        lines += wrapped(text, width, "  ! ", "    ")
    if lines:
        lines.insert(0, "WHAT DOES NOT FIT")
    notes = to_bear_in_mind(reading)
    if notes:
        lines += ["", "TO BEAR IN MIND"] if lines else ["TO BEAR IN MIND"]
    for text in notes:
        lines += wrapped(text, width, "  - ", "    ")
    return lines


def _clues(reading: Reading, width: int, notes: TerminalNotes) -> list[str]:
    if not reading.clues:
        return []
    lines = ["WHY"]
    for clue in sorted(reading.clues, key=lambda each: -each.bits):
        lines += wrapped(_clue_head(clue), width, "  ", "      ")
        text = f"{clue.why} {notes.mark(clue.cites)}"
        lines += wrapped(text, width, "      ", "      ")
    return lines


def _clue_head(clue: ClueReading) -> str:
    name = clue.clue.replace("-", " ")
    head = f"{name}: {window_years(clue)}, {clue.bits:.1f} bits, trust {clue.trust}"
    return head + fate_of_part(clue)


def _findings(findings: Sequence[str], width: int) -> list[str]:
    if not findings:
        return []
    lines = ["ALSO"]
    for text in findings:
        lines += wrapped(text, width, "  * ", "    ")
    return lines


def metal_lines(metals: Sequence[MetalReading], width: int) -> list[str]:
    """What the marks of metal claim."""
    if not metals:
        return []
    lines = ["METAL, AS STAMPED (a claim, not a test)"]
    for each in metals:
        lines += wrapped(f"{each.words}: {each.say}", width, "  ", "      ")
        share = share_of_metal(each)
        if share:
            lines += wrapped(f"precious metal by weight: {share}", width, "      ", "      ")
        if each.claim:
            lines += wrapped(f"may be said: {each.claim}", width, "      ", "      ")
        if each.never:
            lines += wrapped(f"may not be said: {each.never}", width, "      ", "      ")
    return lines


def share_of_metal(reading: MetalReading) -> str:
    """The share of fine metal in the weight of all metal, in words; empty where not told."""
    if reading.fine_share is None:
        return ""
    low, high = reading.fine_share
    if high == 0:
        return "none"
    return f"{low:.1%}" if round(low, 3) == round(high, 3) else f"{low:.1%} to {high:.1%}"


def _make_and_condition(reading: Reading, width: int, notes: TerminalNotes) -> list[str]:
    lines: list[str] = []
    if reading.signs:
        lines.append("MAKE")
        signs = {"better": "+", "poorer": "-", "neutral": "="}
        for sign in reading.signs:
            but = f" But: {sign.but}" if sign.but else ""
            text = f"{sign.direction}, {sign.strength}: {sign.say}{but} {notes.mark(sign.cites)}"
            lines += wrapped(text, width, f"  {signs[sign.direction]} ", "    ")
    if reading.faults:
        lines.append("CONDITION")
        for fault in reading.faults:
            mend = f" Mending: {fault.mend}. {fault.mend_how}" if fault.mend != "no" else ""
            text = f"{fault.severity}: {fault.say}{mend} {notes.mark(fault.cites)}"
            lines += wrapped(text, width, "  - ", "    ")
    return lines


def _cautions(reading: Reading, width: int, notes: TerminalNotes) -> list[str]:
    warnings = [(each.level, each.say, notes.mark(each.cites)) for each in reading.cautions]
    warnings += [("care", each.caution, "") for each in reading.faults if each.caution]
    if not warnings:
        return []
    lines = ["TAKE CARE"]
    for level, say, cites in warnings:
        lines += wrapped(f"{level}: {say} {cites}", width, "  ! ", "    ")
    return lines


def _next(reading: Reading, width: int) -> list[str]:
    if not reading.next:
        return []
    lines = ["LOOK NEXT"]
    for look in reading.next[:3]:
        text = f"{look.ask} {look.look}"
        lines += wrapped(text, width, "  ? ", "    ")
    return lines


def word_lines(reading: Reading, width: int) -> list[str]:
    """What was taken for granted, what was only told, and notes."""
    lines: list[str] = []
    assumed = [_assumed(each) for each in reading.observations if each.assumed]
    counted = reading.counted_told
    told = [each for each in reading.observations if each.heard]
    heard = [each.words or each.value for each in told if each.feature not in counted]
    named = [each.words or each.value for each in told if each.feature in counted]
    notes = [each for each in reading.notes if not each.startswith((NO_EVIDENCE, NOT_COUNTED))]
    for head, items in (
        ("Taken as", assumed),
        ("Told, not seen, and left out of the sums", heard),
        ("Told, not seen, and counted for a little", named),
        ("Not understood", () if reading.account else reading.not_understood),
        ("Note", notes),
    ):
        if items:
            lines += wrapped(f"{head}: {'; '.join(items)}", width, "", "    ")
    return lines


def _assumed(observation: Observation) -> str:
    return (
        f"{observation.words}: {observation.assumed}"
        if observation.words
        else (observation.assumed)
    )


def _sources(notes: TerminalNotes, width: int) -> list[str]:
    if not notes.texts:
        return []
    lines = ["SOURCES"]
    for number, text in enumerate(notes.texts, 1):
        lines += wrapped(text, width, f"  [{number}] ", "      ")
    return lines


def wrapped(text: str, width: int, first: str, rest: str) -> Iterator[str]:
    """The text in lines of at most `width`, what a terminal must not see taken out."""
    text = printable(text).strip()
    words = text.split(" ")
    room = width - max(len(first), len(rest))
    if any(not word.strip() or cells(word) > room for word in words):
        # Few readings have words that no line holds, blanks in a row, or no words at all.
        return iter(in_lines(text, width, first, rest) or [first.rstrip()])
    lines = [first + words[0]]
    for word in words[1:]:
        if cells(lines[-1]) + 1 + cells(word) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(rest + word)
    return iter(lines)
