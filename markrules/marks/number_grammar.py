"""The grammar of stamped numbers and dates: digits in groups, digits unread, days of the year."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.roman_figures import roman_year
from markrules.late import FIGURES, late
from markrules.marks.figure_limits import number_limits
from markrules.marks.stamped import Slot, StampedToken, tokens

_MONTHS = ("JAN", "FEB", "MAR", "APR", "MAY", "JUN", "JUL", "AUG", "SEP", "OCT", "NOV", "DEC")
_MONTH_WORDS = (
    *("JANUARY", "FEBRUARY", "MARCH", "APRIL", "MAY", "JUNE", "JULY", "AUGUST"),
    *("SEPTEMBER", "OCTOBER", "NOVEMBER", "DECEMBER", "SEPT", "MCH", "FEBY", "JANY"),
    *("APL", "AUGT", "SEPR", "OCTR", "NOVR", "DECR"),
)
_ROMAN_MONTHS = ("I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI", "XII")
_DOTTED = late(r"\.?([0-9]{1,2})\.([0-9]{1,2})\.([0-9]{4}|[0-9]{2})", among=FIGURES)
_DAY_AND_YEAR = late(r"\.?([0-9]{1,2})\.([0-9]{4}|[0-9]{2})")
"""The day and year of `OCT.3.1905`, behind the month."""
_GROUPED = late(r"[0-9?]{1,3}([.,][0-9?]{3})+|[0-9?]+")
_LONGEST_MONTH = 31
_ORDINALS = frozenset({"ST", "ND", "RD", "TH", "OF"})


@dataclass(frozen=True, slots=True)
class StampedNumber:
    """A number as read, with `?` for a digit unread, and the least and most it can be."""

    text: str
    low: int
    high: int

    @property
    def digits(self) -> int:
        """How many digits it has, read or unread."""
        return len(self.text)

    def without_doubt(self) -> StampedNumber:
        """The number when the `?` at its end only means doubt, and is no digit."""
        text = self.text.rstrip("?")
        return StampedNumber(text, int(text.replace("?", "0")), int(text.replace("?", "9")))


@dataclass(frozen=True, slots=True)
class StampedDate:
    """A date as read and the years that it can mean: one, or one in each century."""

    text: str
    years: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class YearsMeant:
    """Which years a stamped date can mean: `first` and `last` are the ends, and two figures alone
    are of the century that begins with `century` or of a later one.
    """

    first: int
    last: int
    century: int


@lru_cache(maxsize=8)
def stamped_years(base: KnowledgeBase) -> YearsMeant:
    """The years of a knowledge base: from the first of the grid to the last that is stamped."""
    limits = number_limits(base)
    return YearsMeant(int(base.setting("first-year")), limits.last_year, limits.first_century)


@lru_cache(maxsize=8)
def number_slots(base: KnowledgeBase) -> Mapping[str, Slot]:
    """The slots of register spellings; two-digit years are taken from the years of the grid."""
    limits = number_limits(base)
    known = stamped_years(base)

    def number(read: Sequence[StampedToken], at: int) -> tuple[int, StampedNumber] | None:
        return _number(read, at, limits.most_digits)

    def year(read: Sequence[StampedToken], at: int) -> tuple[int, StampedDate] | None:
        found = _years(read[at].text, known) if _is_number(read, at) else ()
        return (at + 1, StampedDate(read[at].text, found)) if found else None

    def date(read: Sequence[StampedToken], at: int) -> tuple[int, StampedDate] | None:
        return _date(read, at, known)

    return {"#": number, "letter": _letter, "year": year, "date": date}


def stamped_number(text: str, most_digits: int) -> StampedNumber | None:
    """`1,7?8,867` and the like; None where it is no whole number of so many digits or fewer."""
    plain = text.lstrip(".")
    if not _GROUPED.fullmatch(plain):
        return None
    digits = plain.replace(",", "").replace(".", "")
    if len(digits) > most_digits or not any(sign.isdigit() for sign in digits):
        return None
    return StampedNumber(digits, int(digits.replace("?", "0")), int(digits.replace("?", "9")))


def _number(
    read: Sequence[StampedToken], at: int, most_digits: int
) -> tuple[int, StampedNumber] | None:
    """A number, in one piece or in groups of three set apart by spaces."""
    if not _is_number(read, at):
        return None
    groups = [read[at].text]
    after = at + 1
    while len(groups[0]) <= 3 and _is_group(read, after):
        groups.append(read[after].text)
        after += 1
    number = stamped_number("".join(groups), most_digits)
    return (after, number) if number else None


def _is_group(read: Sequence[StampedToken], at: int) -> bool:
    return (
        _is_number(read, at)
        and re.fullmatch(r"[0-9?]{3}", read[at].text) is not None
        and read[at].start - read[at - 1].end == 1
    )


def _is_number(read: Sequence[StampedToken], at: int) -> bool:
    return at < len(read) and read[at].kind == "number"


def whole_date(base: KnowledgeBase, text: str) -> StampedDate | None:
    """The date that a text is, from end to end: `17/10/68`, `25-XII-1944`, `MDCCCLXXXVII`.

    A year in figures alone is none: it may as well be a number.
    """
    plain = text.strip()
    known = stamped_years(base)
    year = roman_year(plain, number_limits(base).shortest_roman)
    if year is not None:
        return StampedDate(plain, (year,)) if known.first <= year <= known.last else None
    read = [each for each in tokens(plain) if each.kind != "slash"]
    taken = _date(read, 0, known) if len(read) != 1 or _DOTTED.fullmatch(read[0].text) else None
    return taken[1] if taken is not None and taken[0] == len(read) else None


def _letter(read: Sequence[StampedToken], at: int) -> tuple[int, str] | None:
    """A single letter, with the number that is struck close behind it (`Z7`), or what stands
    for a season: two figures, alone or before a letter (`95 P`, `95 CC P`), or parted (`2 CC 6`).
    """
    season = _season(read, at)
    if season is not None:
        return season
    if at >= len(read) or read[at].kind != "word" or len(read[at].text) != 1:
        return None
    close = _is_number(read, at + 1) and read[at + 1].start == read[at].end
    if close and read[at + 1].text.isdigit():
        return at + 2, read[at].text + read[at + 1].text
    return at + 1, read[at].text


def _season(read: Sequence[StampedToken], at: int) -> tuple[int, str] | None:
    if not _is_number(read, at) or not re.fullmatch(r"[0-9]{1,2}", read[at].text):
        return None
    figures = read[at].text
    word = read[at + 1].text if at + 1 < len(read) and read[at + 1].kind == "word" else ""
    if len(figures) == 2:
        behind = read[at + 2].text if at + 2 < len(read) and read[at + 2].kind == "word" else ""
        if len(word) == 2 and len(behind) == 1:  # `02 CC P`
            return at + 3, figures + behind
        return (at + 2, figures + word) if len(word) == 1 else (at + 1, figures)
    if not word and _is_number(read, at + 1) and re.fullmatch(r"[0-9]", read[at + 1].text):
        return at + 2, figures + read[at + 1].text  # `2 8`, the initials between left out
    if len(word) == 2 and _is_number(read, at + 2) and len(read[at + 2].text) == 1:
        return at + 3, figures + word + read[at + 2].text
    return None


def _years(text: str, known: YearsMeant) -> tuple[int, ...]:
    """The years that four or two digits can mean, none before the first year of the grid."""
    plain = text.lstrip(".")
    if re.fullmatch(r"[0-9]{4}", plain):
        return (int(plain),) if known.first <= int(plain) <= known.last else ()
    if re.fullmatch(r"[0-9]{2}", plain):
        years = range(known.century + int(plain), known.last + 1, 100)
        return tuple(year for year in years if known.first <= year)
    return ()


def _date(
    read: Sequence[StampedToken], at: int, known: YearsMeant
) -> tuple[int, StampedDate] | None:
    """`MAR 31 1931`, `31ST MARCH 1931`, `MAR. 1931`, `3-31-31`, `8.9.81`, `25-XII-44`, `1931`,
    `OCT.3.1905`, `3/10/05`, `OCT. '05`.

    Without a day the year must have four digits, or an apostrophe: `MAR 31` is a day.
    """
    dotted = _DOTTED.fullmatch(read[at].text) if _is_number(read, at) else None
    if dotted is not None and max(map(int, dotted.groups()[:2])) <= _LONGEST_MONTH:
        years = _years(dotted[3], known)
        return (at + 1, StampedDate(" ".join(dotted.groups()), years)) if years else None
    close = _DAY_AND_YEAR.fullmatch(read[at + 1].text) if _is_number(read, at + 1) else None
    if close is not None and _date_parts(read[at]) == "M" and int(close[1]) <= _LONGEST_MONTH:
        years = _years(close[2], known)
        text = f"{read[at].text} {close[1]} {close[2]}"
        return (at + 2, StampedDate(text, years)) if years else None
    near = range(at, min(at + 6, len(read)))
    slashes = {at + 1, at + 3} if _by_slashes(read, at) else set()
    places = [place for place in near if place not in slashes and read[place].text not in _ORDINALS]
    parts = [_date_parts(read[place]) for place in places]
    for form in ("MDy", "DMy", "DRy", "DDy", "MY", "MS", "Y", "S"):
        if len(parts) >= len(form) and all(
            part in allowed for part, allowed in zip(form, parts, strict=False)
        ):
            return _dated(read, places[: len(form)], known)
    return None


def _by_slashes(read: Sequence[StampedToken], at: int) -> bool:
    """Whether slashes part three numbers here: `3/10/05`."""
    kinds = [each.kind for each in read[at : at + 6]]
    return kinds[:5] == ["number", "slash"] * 2 + ["number"] and kinds[5:] != ["slash"]


def _date_parts(token: StampedToken) -> str:
    """What a token can be in a date: M month, R month in Roman figures, D day, y year of any
    length, Y year in full, S its last two figures behind an apostrophe.
    """
    if token.kind == "word" and token.text in _ROMAN_MONTHS:
        return "R"
    if token.kind == "word":
        return "M" if token.text in _MONTHS or token.text in _MONTH_WORDS else ""
    plain = token.text.lstrip(".")
    if token.kind != "number" or not plain.isdigit():
        return ""
    if token.short:
        return "yS"
    day = "D" if len(plain) <= 2 and 1 <= int(plain) <= 31 else ""
    return day + {2: "y", 4: "yY"}.get(len(plain), "")


def _dated(
    read: Sequence[StampedToken], places: Sequence[int], known: YearsMeant
) -> tuple[int, StampedDate] | None:
    years = _years(read[places[-1]].text, known)
    if not years:
        return None
    text = " ".join(read[place].text.lstrip(".") for place in places)
    return places[-1] + 1, StampedDate(text, years)
