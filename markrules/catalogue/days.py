"""Days as people write them on both sides of the Atlantic, read as ISO 8601.

`3/4/2024` is a day in April in one half of the world and in March in the other: a column tells
which it is wherever one of its days is past the 12th, and where none is, the reading is a choice
that is stated.
"""

from __future__ import annotations

import datetime
import re
from collections import Counter
from collections.abc import Iterable
from typing import Literal

from markrules.catalogue.problems import CatalogueProblem
from markrules.frozen import dataclass

Order = Literal["day-first", "month-first"]
ORDERS: tuple[Order, ...] = ("day-first", "month-first")

_MONTHS = (
    *(("jan", "gen", "ene"), ("feb", "fev", "fév"), ("mar", "mär", "maer"), ("apr", "avr", "abr")),
    *(("may", "mai", "mag"), ("jun", "juin", "giu"), ("jul", "juil", "lug"), ("aug", "aou", "aoû")),
    *(("sep", "set"), ("oct", "okt", "ott", "out"), ("nov",), ("dec", "dez", "dic", "déc")),
)
"""How the names of the months begin in English, German, French, Italian, Spanish, Portuguese."""
_MORE = {"ago": 8, "mrz": 3, "mai": 5}

_TIME = re.compile(
    r"(?:t|,?\s+)\d{1,2}:\d{2}(?::\d{2}(?:[.,]\d+)?)?\s*(?:[ap]\.?m\.?)?\s*"
    r"(?:z|utc|gmt|[+-]\d{2}:?\d{2})?$",
    re.IGNORECASE | re.ASCII,
)
_YEAR_FIRST = re.compile(r"(\d{4})([-/.])(\d{1,2})(?:\2(\d{1,2}))?", re.ASCII)
_YEAR_LAST = re.compile(r"(\d{1,2})([-/.]) ?(\d{1,2})\2 ?(\d{4}|\d{2})\.?", re.ASCII)
_MONTH_YEAR = re.compile(r"(\d{1,2})[-/.](\d{4})", re.ASCII)
_NAMED = (
    re.compile(r"(?P<d>\d{1,2})(?:st|nd|rd|th|\.|er)?[ -]*(?:of |de )?(?P<m>[^\W\d_]{3,12})\.?"
               r",?(?:[ -]*(?:de )?)(?P<y>\d{4}|\d{2})"),
    re.compile(r"(?P<m>[^\W\d_]{3,12})\.? *(?P<d>\d{1,2})(?:st|nd|rd|th)?(?:, *| +)(?P<y>\d{4})"),
    re.compile(r"(?P<m>[^\W\d_]{3,12})\.?,?[ -]*(?:de )?(?P<y>\d{4})"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class DayReading:
    """How the days of a column are read: the order, and the day and line that told it.

    `told_by` is empty where no day of the column tells; `open` counts those that have two readings.
    """

    order: Order
    told_by: str = ""
    line: int = 0
    open: int = 0

    @property
    def words(self) -> str:
        """The reading as a person is told it; empty where no day could be read in two ways."""
        form = "day/month/year" if self.order == "day-first" else "month/day/year"
        if self.told_by:
            return f"days read as {form}, for line {self.line} has {self.told_by}"
        if not self.open:
            return ""
        other = next(each for each in ORDERS if each != self.order)
        return f"days read as {form}, though none of them tells; --days {other} turns it"


def reading_of(days: Iterable[tuple[int, str]], wanted: Order | None = None) -> DayReading:
    """How a column of days, each with its line, is to be read; as `wanted`, if that is given.

    Where its days speak for both orders, the one that more of them speak for holds.
    """
    votes: Counter[Order] = Counter()
    first: dict[Order, tuple[str, int]] = {}
    undecided = 0
    for line, text in days:
        found = _YEAR_LAST.fullmatch(_without_time(text))
        if found is None or found[2] == ".":
            continue
        one, two = int(found[1]), int(found[3])
        order: Order | None = "day-first" if one > 12 else "month-first" if two > 12 else None
        if order is None:
            undecided += one != two
            continue
        votes[order] += 1
        first.setdefault(order, (text.strip(), line))
    if wanted is not None:
        return DayReading(wanted)
    if votes:
        most = max(ORDERS, key=lambda each: votes[each])
        return DayReading(most, *first[most], undecided)
    return DayReading("day-first", open=undecided)


def iso_day(text: str, order: Order = "day-first") -> str:
    """A day as ISO 8601: `2024-06-30`, or `2024-06` or `2024` where no more is said.

    With points between its numbers the day always stands first, as it does where that is custom.
    Of two digits of a year, 69 to 99 are of the last century (POSIX, strptime %y). Raises
    CatalogueProblem for anything else.
    """
    clean = _without_time(text)
    parts = _parts(clean.casefold(), order)
    if parts is not None:
        year, month, day = parts
        try:
            datetime.date(year, month or 1, day or 1)
        except ValueError:
            pass
        else:
            return "-".join([f"{year:04}", *(f"{each:02}" for each in (month, day) if each)])
    how = {"day-first": "day/month/year", "month-first": "month/day/year"}[order]
    raise CatalogueProblem(f'"{text[:40]}" is no day, read as {how}; write it like 2024-06-30')


def _without_time(text: str) -> str:
    return _TIME.sub("", text.strip())


def _parts(text: str, order: Order) -> tuple[int, int, int] | None:
    """Year, month and day; zero where not said."""
    if re.fullmatch(r"[12]\d{3}", text, re.ASCII):
        return int(text), 0, 0
    if re.fullmatch(r"[12]\d{7}", text, re.ASCII):
        return int(text[:4]), int(text[4:6]), int(text[6:])
    if found := _YEAR_FIRST.fullmatch(text):
        return int(found[1]), int(found[3]) or 99, int(found[4]) or 99 if found[4] else 0
    if found := _YEAR_LAST.fullmatch(text):
        one, two = int(found[1]) or 99, int(found[3]) or 99
        day, month = (two, one) if order == "month-first" and found[2] != "." else (one, two)
        return _year(found[4]), month, day
    if found := _MONTH_YEAR.fullmatch(text):
        return int(found[2]), int(found[1]) or 99, 0
    for form in _NAMED:
        named = form.fullmatch(text)
        month = _month(named["m"]) if named is not None else 0
        if named is not None and month:
            day = int(named["d"]) or 99 if "d" in form.groupindex else 0
            return _year(named["y"]), month, day
    return None


def _year(digits: str) -> int:
    if len(digits) == 4:
        return int(digits)
    return int(digits) + (1900 if int(digits) > 68 else 2000)


def _month(name: str) -> int:
    for number, starts in enumerate(_MONTHS, 1):
        if name.startswith(starts):
            return number
    return next((number for start, number in _MORE.items() if name.startswith(start)), 0)
