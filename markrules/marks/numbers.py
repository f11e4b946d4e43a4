"""Numbers stamped on a piece: patents, registered designs, trade marks, and dates of patents.

The tables, the spellings and what they mean stand in the rules; here is only the grammar of
numbers and dates.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.language.tree import Feature, Register
from markrules.marks.mark_shares import number_shares
from markrules.marks.number_grammar import StampedDate, StampedNumber, number_slots
from markrules.marks.registers import Bracket, letter_rows, number_tables, spread
from markrules.marks.stamped import (
    Match,
    Spelling,
    Spellings,
    StampedToken,
    packed_spellings,
    spelling,
    tokens,
)

COPYRIGHT_YEAR, INSCRIBED_YEAR = "copyright-year", "inscribed-year"
"""What a bare date in a text is taken for: that of the design, or one that was cut in."""
_DAY_MONTH_YEAR = 3
_LAST_CENTURY = 1900
OPEN_END = 2100
"""Stands for "not known" as the last year of an observation whose bracket is open."""


@dataclass(frozen=True, slots=True)
class NumberReading:
    """One number, letter or date read off a piece, and the years that it stands for.

    `register` names the register, or the feature of kind year for a date. `number` is the
    number as read (digits and `?`), `first` and `last` the years of issue, `last` None where
    the table ends before. `years` holds (year, relative likelihood) where there are several
    years apart; `dated` marks a date written out. `weight` is the share of this reading among
    all that the text allows; `alternatives` are the others, likeliest first. `start` and `end`
    are places in the text.
    """

    register: str
    number: str
    first: int
    last: int | None
    what: str
    note: str
    words: str
    start: int
    end: int
    weight: float = 1.0
    years: tuple[tuple[int, float], ...] = ()
    sources: tuple[str, ...] = ()
    dated: bool = False
    alternatives: tuple[NumberReading, ...] = ()


def observations_from_numbers(
    base: KnowledgeBase, readings: Sequence[NumberReading]
) -> tuple[Observation, ...]:
    """What the numbers say, as observations on their registers, the likeliest reading of each.

    A reading that had rivals is less sure, and says what was assumed.
    """
    return tuple(_observation(base, reading) for reading in readings)


def _observation(base: KnowledgeBase, reading: NumberReading) -> Observation:
    shares, weight = number_shares(base), reading.weight
    certainty = "sure" if weight >= shares.sure else "fair" if weight >= shares.fair else "guess"
    rivals = ", ".join(f"{each.what} of {_span(each)}" for each in reading.alternatives)
    assumed = f"taken for a {reading.what} of {_span(reading)}; could be a {rivals}"
    last = OPEN_END if reading.last is None else reading.last
    single = reading.dated and reading.last == reading.first
    return Observation(
        reading.register,
        reading.number,
        number=float(reading.first) if single else None,
        years=(reading.first, last),
        certainty=certainty,
        words=reading.words,
        assumed=assumed if rivals else "",
        weights=reading.years,
    )


def _span(reading: NumberReading) -> str:
    if reading.last is None:
        return f"{reading.first} or later"
    single = reading.first == reading.last
    return str(reading.first) if single else f"{reading.first}–{reading.last}"


__all__ = ["NumberReading", "find_numbers", "observations_from_numbers", "weighed_years"]


def find_numbers(text: str, base: KnowledgeBase) -> tuple[NumberReading, ...]:
    """The register numbers and patent dates in a stamped text or a note, in order.

    Where one spelling fits several registers, the likeliest reading holds the others as
    `alternatives`. Unread digits (`1,7?8,867`) give the years of all that they could be.
    Only the first 4,000 characters are looked at. Never raises.
    """
    read = tokens(text)
    found: list[NumberReading] = []
    at = 0
    while at < len(read):
        reading, match = _first_fitting(base, text, read, at)
        if reading is None or match is None:
            at += 1
            continue
        found.append(reading)
        more = list(_more(base, text, read, match))
        found += [one for one, _ in more]
        at = more[-1][1] if more else match.after
    return tuple(found)


def _first_fitting(
    base: KnowledgeBase, text: str, read: Sequence[StampedToken], at: int
) -> tuple[NumberReading | None, Match[Register | Feature] | None]:
    """The reading of the longest spelling at this token that a register can place in time."""
    for matches in _spellings(base).at(read, at, number_slots(base)):
        reading = _best(base, text, read, matches)
        if reading is not None:
            return reading, matches[0]
    return None, None


@lru_cache(maxsize=8)
def _spellings(base: KnowledgeBase) -> Spellings[Register | Feature]:
    # Registers are long tables: one is only made when a spelling of its own is met.
    kept = base.workings.parts("numbers", lambda: packed_spellings(_all_spellings(base)))

    def owner(name: str) -> Register | Feature:
        return base.registers[name] if name in base.registers else base.features[name]

    return Spellings(kept, owner)


def _all_spellings(base: KnowledgeBase) -> Iterator[Spelling[Register | Feature]]:
    for register in base.registers.values():
        for read in register.reads:
            mark = "#" if register.kind == "number" else "{letter}"
            yield spelling(register, read.replace("#", mark))
    for feature in base.features.values():
        if feature.kind == "year":
            for word in feature.also:
                yield spelling(feature, word + " {date}")


def _more(
    base: KnowledgeBase, text: str, read: Sequence[StampedToken], first: Match[Register | Feature]
) -> Iterator[tuple[NumberReading, int]]:
    """Further numbers after the first with nothing but `and` or commas between."""
    at = first.after
    while at < len(read) and isinstance(first.slots.get("#"), StampedNumber):
        at += read[at].kind == "word" and read[at].text in {"AND", "ET", "NO", "NOS"}
        slot = number_slots(base)["#"]
        taken = slot(read, at) if at < len(read) else None
        if taken is None or not isinstance(taken[1], StampedNumber) or taken[1].high < 10_000:
            return
        match = replace(first, first=at, after=taken[0], slots={"#": taken[1]}, letters=9)
        reading = _best(base, text, read, (match,))
        if reading is None:
            return
        yield reading, match.after
        at = match.after


def _best(
    base: KnowledgeBase,
    text: str,
    read: Sequence[StampedToken],
    matches: Sequence[Match[Register | Feature]],
) -> NumberReading | None:
    possible = [_reading(base, text, read, match) for match in matches]
    each_once = {(one.register, one.number): one for one in possible if one is not None}
    weights = {key: _usual(base, one) for key, one in each_once.items()}
    years = {one.number for one in each_once.values() if one.dated}
    for key, one in each_once.items():
        if not one.dated and one.number in years:  # `Regd 1900`: a year, and no number 1900
            weights[key] *= base.setting("number-like-a-year", 1.0)
    total = sum(weights.values())
    ranked = sorted(
        (replace(one, weight=weights[key] / total) for key, one in each_once.items()),
        key=lambda one: -one.weight,
    )
    return replace(ranked[0], alternatives=tuple(ranked[1:])) if ranked else None


def _usual(base: KnowledgeBase, reading: NumberReading) -> float:
    """How usual it was, in those years, to stamp such a number: halved per so many years off."""
    first = base.setting(f"{reading.register}-usual-from", reading.first)
    last = base.setting(f"{reading.register}-usual-to", OPEN_END)
    end = OPEN_END if reading.last is None else reading.last
    outside = max(0.0, first - end, reading.first - last)
    return float(0.5 ** (outside / base.setting("usual-halving")))


def _reading(
    base: KnowledgeBase, text: str, read: Sequence[StampedToken], match: Match[Register | Feature]
) -> NumberReading | None:
    owner = match.owner
    start, end = read[match.first].start, read[match.after - 1].end
    blank = NumberReading(owner.name, "", 0, None, "", "", text[start:end], start, end)
    if isinstance(owner, Feature):
        return _dated(base, blank, owner, match)
    if owner.kind == "letter":
        return _lettered(blank, owner, text, match.slots)
    return _numbered(base, blank, owner, match)


def _numbered(
    base: KnowledgeBase,
    blank: NumberReading,
    register: Register,
    match: Match[Register | Feature],
) -> NumberReading | None:
    number = match.slots["#"]
    if not isinstance(number, StampedNumber) or number.digits < _least_digits(match.letters):
        return None
    table = number_tables(base)[register.name]
    bracket = table.years(number.low, number.high)
    if bracket is None and number.text.endswith("?"):
        number = number.without_doubt()
        bracket = table.years(number.low, number.high)
    year = match.slots.get("year")
    if bracket is not None and isinstance(year, StampedDate):
        bracket = _within(bracket, year)
    if bracket is None:
        return None
    notes = [row.note for row in bracket.rows if row.note] + [register.note]
    sources = [cite.source.name for row in bracket.rows for cite in row.cites]
    return replace(
        blank,
        number=number.text,
        first=bracket.first,
        last=bracket.last,
        what=register.title,
        note=" ".join(note for note in notes if note),
        sources=tuple(dict.fromkeys(sources)),
    )


def _least_digits(letters: int) -> int:
    """Digits that a number needs: a single letter before it (D 30) proves little."""
    return 5 if letters <= 1 else 3


def _within(bracket: Bracket, year: StampedDate) -> Bracket | None:
    """The year written beside the number, where it lies in the bracket."""
    last = OPEN_END if bracket.last is None else bracket.last
    fitting = [each for each in year.years if bracket.first <= each <= last]
    return Bracket(fitting[0], fitting[-1], bracket.rows) if fitting else None


def weighed_years(base: KnowledgeBase, date: StampedDate) -> tuple[tuple[int, float], ...]:
    """How likely each year of a date is; before 1900 a day in figures alone is seldom met."""
    old = [year for year in date.years if year < _LAST_CENTURY]
    later = len(date.years) - len(old)
    parts = date.text.split()
    if not (old and later and len(parts) == _DAY_MONTH_YEAR and all(map(str.isdecimal, parts))):
        return tuple((year, 1 / len(date.years)) for year in date.years)
    share = number_shares(base).old_figures
    return tuple(
        (year, share / len(old) if year < _LAST_CENTURY else (1 - share) / later)
        for year in date.years
    )


def _was_cut_in(base: KnowledgeBase, date: StampedDate) -> bool:
    """Whether a bare date is no copyright but cut in: it is from before that sign stood on such
    things, or has its day, which nobody puts beside the sign.
    """
    if INSCRIBED_YEAR not in base.features:
        return False
    with_day = len(date.text.split()) == _DAY_MONTH_YEAR
    return with_day or date.years[-1] < base.setting("copyright-year-from")


def _dated(
    base: KnowledgeBase,
    blank: NumberReading,
    feature: Feature,
    match: Match[Register | Feature],
) -> NumberReading | None:
    date = match.slots["date"]
    if not isinstance(date, StampedDate):
        return None
    if feature.name == COPYRIGHT_YEAR and _was_cut_in(base, date):
        feature = base.features[INSCRIBED_YEAR]
    return replace(
        blank,
        register=feature.name,
        number=date.text,
        first=date.years[0],
        last=date.years[-1],
        what=feature.name.replace("-", " "),
        years=weighed_years(base, date) if len(date.years) > 1 else (),
        sources=tuple(cite.source.name for cite in feature.cites),
        dated=True,
    )


def _lettered(
    blank: NumberReading, register: Register, text: str, slots: Mapping[str, object]
) -> NumberReading | None:
    letter = slots["letter"]
    rows = letter_rows(register, letter) if isinstance(letter, str) else ()
    beside = text[blank.end : blank.end + 40].casefold()
    told = [row for row in rows if any(_tells(beside, words) for _, words in row.qualifiers)]
    years = spread((row, 1.0) for row in told or rows)
    if not years:
        return None
    return replace(
        blank,
        number=str(letter),
        first=years[0][0],
        last=years[-1][0],
        what=register.title,
        note=" ".join([*(row.note for row in told or rows if row.note), register.note]).strip(),
        years=years,
        sources=tuple(dict.fromkeys(c.source.name for row in told or rows for c in row.cites)),
    )


def _tells(beside: str, qualifier: str) -> bool:
    """Whether the last word of a column's text stands beside the letter ("… at the top")."""
    words = qualifier.casefold().split()
    return bool(words) and words[-1] in beside.replace(",", " ").replace(".", " ").split()
