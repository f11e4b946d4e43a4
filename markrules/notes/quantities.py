"""Measures and years in a note: `5.5 cm`, `2 1/2 in`, `5 x 6 cm`, `1955-60`, `the 1950s`."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from markrules.knowledge.parts_of_time import third_of
from markrules.late import late
from markrules.notes.items import WrittenMeasure, WrittenYears
from markrules.notes.months import is_month
from markrules.notes.tokens import INCH_SIGNS, Tokens, ends_an_ordinal
from markrules.notes.vocabulary import LONG_UNIT, UNITS, Vocabulary

_FRACTIONS = {"½": 0.5, "¼": 0.25, "¾": 0.75, "⅓": 1 / 3, "⅔": 2 / 3}
_FRACTIONS |= {"⅛": 0.125, "⅜": 0.375, "⅝": 0.625, "⅞": 0.875}
_BETWEEN = late(r"\s*[-–—x×*]\s*|\s+")
_NUMERIC_DAY = late(
    r"(?P<one>[0-9]{1,2})[./](?P<two>[0-9]{1,2})[./](?P<year>[0-9]{4})"
    r"|(?P<first>[0-9]{4})[./](?P<three>[0-9]{1,2})[./](?P<four>[0-9]{1,2})"
)
_SPAN = late(r"([0-9]{4})/([0-9]{1,2})")
_SHORT_DAY = late(r"([0-9]{1,2})([./])([0-9]{1,2})\2([0-9]{2})")
_DAY_BY_DASHES = late(r"[0-9]{1,2}-[0-9]{1,2}-[0-9]{2}")
_DAY_AND_YEAR = late(r"([0-9]{1,2})\.([0-9]{4}|[0-9]{2})")
MONTHS_OF_A_YEAR, LONGEST_MONTH = 12, 31
SINCE_2000 = 30
"""Two figures behind an apostrophe up to this may be of the present century."""
EARLIEST, LATEST = 1600, 2099
"""Numbers of four digits between these may be years."""


def measure_at(vocabulary: Vocabulary, tokens: Tokens, start: int) -> WrittenMeasure | None:
    """The measure that begins at this token, or None."""
    factors: list[tuple[float, str]] = []
    span = False
    index = start
    while len(factors) < 3 and index < len(tokens) and tokens.numeric[index]:
        number = _number(vocabulary, tokens, index)
        if number is None:
            return None
        value, index = number
        unit, index = _unit(vocabulary, tokens, index)
        factors.append((value, unit))
        following = _next_number(vocabulary, tokens, index)
        if following is None:
            break
        span = span or following[1]
        index = following[0]
    if len(factors) > 1 and not span and not factors[-1][1] and index == len(tokens):
        factors[-1] = (factors[-1][0], factors[-2][1])  # `4.5cm x 3`
    return _measured(factors, index, span)


def measure_in_words(vocabulary: Vocabulary, tokens: Tokens, start: int) -> WrittenMeasure | None:
    """The measure without figures that begins here: `quarter inch`, `an inch and a half`."""
    value, index = _fraction_at(vocabulary, tokens, start) or (1.0, start)
    if index >= len(tokens) or len(tokens.folded[index]) < LONG_UNIT:
        return None
    found = vocabulary.words.first(tokens.folded[index])
    units = found.meaning.senses if found is not None else ()
    unit = next((sense.name for sense in units if sense.kind == "unit"), "")
    if unit not in UNITS:
        return None
    more, after = _and_fraction(vocabulary, tokens, index + 1)
    if index == start and not more:
        return None
    kind, factor = UNITS[unit]
    return WrittenMeasure(after, ((value + more) * factor,), kind, False)


def _and_fraction(vocabulary: Vocabulary, tokens: Tokens, index: int) -> tuple[float, int]:
    """What `and a quarter` adds that stands at this token, and the token after it."""
    if index + 1 < len(tokens) and tokens.folded[index] == "and":
        found = _fraction_at(vocabulary, tokens, index + 1)
        if found is not None and found[0] < 1:
            return found
    return 0.0, index


def _fraction_at(vocabulary: Vocabulary, tokens: Tokens, index: int) -> tuple[float, int] | None:
    """The part of a unit that words at this token tell, and the token after them."""
    if index >= len(tokens):
        return None
    for words, part in vocabulary.fractions.get(tokens.folded[index], ()):
        if tokens.folded[index : index + len(words)] == words:
            return part, index + len(words)
    return None


def _measured(factors: list[tuple[float, str]], end: int, span: bool) -> WrittenMeasure | None:
    unit = factors[-1][1] if factors else ""
    if not unit:
        return None
    dimension = UNITS[unit][0]
    numbers = []
    for value, own in factors:
        kind, factor = UNITS[own or unit]
        if kind != dimension:
            return None
        numbers.append(value * factor)
    return WrittenMeasure(end, tuple(numbers), dimension, span)


def _number(vocabulary: Vocabulary, tokens: Tokens, index: int) -> tuple[float, int] | None:
    """The number at this token and the token after it: 2 1/2, 2 ½, 2½, 5,5, 1,200."""
    value = number_of(tokens.raw(index), tokens.folded[index])
    if value is None:
        return None
    after = index + 1
    if after < len(tokens) and value == int(value) and _is_fraction(tokens, after):
        more = number_of(tokens.raw(after), tokens.folded[after])
        gap = tokens.text[tokens.ends[index] : tokens.starts[after]]
        if more is not None and more < 1 and (gap.isspace() or gap == "-"):
            return value + more, after + 1
    half = half_at(vocabulary, tokens, after)
    if half:
        return value + 0.5, after + half
    more, end = _and_fraction(vocabulary, tokens, after)
    if more and _unit(vocabulary, tokens, end)[0]:
        return value + more, end
    return value, after


def _is_fraction(tokens: Tokens, index: int) -> bool:
    return "/" in tokens.folded[index] or tokens.raw(index) in _FRACTIONS


def half_at(vocabulary: Vocabulary, tokens: Tokens, index: int) -> int:
    """How many tokens from this one on are `and a half` or the like; 0 where none are."""
    return _stands(tokens, index, vocabulary.halves)


def _stands(tokens: Tokens, index: int, phrases: Sequence[tuple[str, ...]]) -> int:
    """How many tokens the first of these phrases takes that stands at this token, or 0."""
    for phrase in phrases:
        if tuple(tokens.folded[index : index + len(phrase)]) == phrase:
            return len(phrase)
    return 0


def number_of(raw: str, fold: str) -> float | None:
    """The number that a token stands for, or None."""
    text = raw if raw[:1].isdigit() or raw[:1] in _FRACTIONS or raw[:1] == "." else fold
    extra = _FRACTIONS.get(text[-1:], 0.0)
    text = text[:-1] if extra else text
    if not text:
        return extra or None
    if re.fullmatch(r"\d+,\d{1,2}", text):  # a decimal comma
        text = text.replace(",", ".")
    if mixed := re.fullmatch(r"(\d{1,3}),(\d{1,2})/(\d{1,3})", text):  # 2,1/2, written for 2 1/2
        extra, text = float(mixed[1]), f"{mixed[2]}/{mixed[3]}"
    above, slash, below = text.replace(",", "").partition("/")
    try:
        number = extra + (float(above) / float(below) if slash else float(above))
    except (ValueError, ZeroDivisionError):
        return None
    return number if math.isfinite(number) else None


def _unit(vocabulary: Vocabulary, tokens: Tokens, index: int) -> tuple[str, int]:
    """The unit at this token and the token after it; an empty unit where there is none."""
    end = tokens.ends[index - 1]
    if tokens.text.startswith(INCH_SIGNS, end):
        return "in", index
    if index >= len(tokens):
        return "", index
    found = vocabulary.words.longest(tokens.folded, tokens.numeric, index)
    if found is None:
        return "", index
    after, meaning = found
    unit = next((sense.name for sense in meaning.senses if sense.kind == "unit"), "")
    if unit == "in" and _may_be_year(tokens, index - 1):
        return "", index
    if unit not in UNITS or (len(meaning.senses) > 1 and _goes_on(vocabulary, tokens, after)):
        return "", index
    return unit, after


def _may_be_year(tokens: Tokens, index: int) -> bool:
    """Whether `in` stands behind a year: `1935 in raised figures` is no length."""
    fold = tokens.folded[index]
    return len(fold) == 4 and fold.isdigit() and EARLIEST <= int(fold) <= LATEST


def _goes_on(vocabulary: Vocabulary, tokens: Tokens, index: int) -> bool:
    """Whether what follows shows that a doubtful unit (`in`) was the little word after all."""
    if index >= len(tokens):
        return False
    return tokens.folded[index] in vocabulary.passed_over or tokens.raw(index)[:1].isupper()


def _next_number(vocabulary: Vocabulary, tokens: Tokens, index: int) -> tuple[int, bool] | None:
    """The token of a further number joined by x, by or a dash, and whether it ends a range."""
    if index >= len(tokens):
        return None
    gap = tokens.text[tokens.ends[index - 1] : tokens.starts[index]].strip(" \"”″'")
    if tokens.numeric[index]:
        if gap in ("×", "*"):
            return index, False
        return (index, True) if gap in ("-", "–", "—") else None
    if index + 1 < len(tokens) and tokens.numeric[index + 1] and _joins(vocabulary, tokens, index):
        return index + 1, False
    most = index + _stands(tokens, index, vocabulary.ups)
    if most > index and most < len(tokens) and tokens.numeric[most]:
        return most, True
    return None


def _joins(vocabulary: Vocabulary, tokens: Tokens, index: int) -> bool:
    if tokens.folded[index] == "x":
        return True
    node = vocabulary.words.first(tokens.folded[index])
    return node is not None and any(
        sense.kind == "role" and sense.name == "times" for sense in node.meaning.senses
    )


def years_at(tokens: Tokens, start: int) -> WrittenYears | None:
    """The year, decade or range of years that begins at this token, or None."""
    fold = tokens.folded[start]
    if fold == "c":
        return _about(tokens, start)
    if len(fold) == 2 and fold.isascii() and fold.isdigit():
        return (
            _short_decade(tokens, start) or _short_year(tokens, start) or _of_a_day(tokens, start)
        )
    if not (len(fold) == 4 and fold.isascii() and fold.isdigit()):
        return _day_or_span(fold, start) or _behind_its_month(tokens, start)
    first, end = int(fold), start + 1
    if not EARLIEST <= first <= LATEST or not _stands_whole(tokens, start):
        return None
    if _is_decade(tokens, start):
        decades = _decades_end(tokens, end + 1, first)
        if decades is not None:
            return decades
        return WrittenYears(end + 1, first, first + (99 if first % 100 == 0 else 9), False)
    last = _range_end(tokens, end, first)
    if last is not None and last % 10 == 0 and _is_decade(tokens, end):  # `1920-30s`
        return WrittenYears(end + 2, first, last + 9, False)
    if last is not None:
        return WrittenYears(end + 1, first, last, False)
    return WrittenYears(end, first, first, True)


def years_told(vocabulary: Vocabulary, tokens: Tokens, start: int) -> WrittenYears | None:
    """As `years_at`; of a decade or century only the third that the word before tells:
    the late 1800s.
    """
    years = years_at(tokens, start)
    third = vocabulary.parts_of_time.get(tokens.folded[start - 1]) if years and start else None
    if years is None or third is None:
        return years
    length = years.last - years.first + 1
    if length not in (10, 100):
        return years
    first, last = third_of(years.first, length, third)
    return years._replace(first=first, last=last)


def _stands_whole(tokens: Tokens, start: int) -> bool:
    """Whether nothing but the figures was written, or a full stop that ends a word: `c.1887`."""
    raw, fold = tokens.raw(start), tokens.folded[start]
    return raw == fold or (
        raw == f".{fold}" and start > 0 and tokens.ends[start - 1] == tokens.starts[start]
    )


def _day_or_span(fold: str, start: int) -> WrittenYears | None:
    """`4.10.1887`, `17/10/1868` and `1887.10.4`, days; `1880/90`, years one behind the other."""
    day = _NUMERIC_DAY.fullmatch(fold)
    if day is not None:
        year = int(day["year"] or day["first"])
        parts = sorted(int(day[each]) for each in ("one", "two", "three", "four") if day[each])
        fits = EARLIEST <= year <= LATEST and 1 <= parts[0] <= 12 and parts[-1] <= 31
        return WrittenYears(start + 1, year, year, True) if fits else None
    short = _SHORT_DAY.fullmatch(fold)
    if short is not None and all(_is_day(short[at]) for at in (1, 3)):
        fits = min(int(short[1]), int(short[3])) <= MONTHS_OF_A_YEAR
        return _of_two_figures(int(short[4]), start) if fits else None
    span = _SPAN.fullmatch(fold)
    if span is None:
        return None
    first = int(span[1])
    places = 10 ** len(span[2])
    last = first // places * places + int(span[2])
    fits = EARLIEST <= first < last <= LATEST
    return WrittenYears(start + 1, first, last, False) if fits else None


def _range_end(tokens: Tokens, index: int, first: int) -> int | None:
    if index >= len(tokens) or not tokens.folded[index].isdigit():
        return None
    gap = tokens.text[tokens.ends[index - 1] : tokens.starts[index]].strip()
    if gap not in ("-", "–", "—"):
        return None
    fold = tokens.folded[index]
    last = int(fold) if len(fold) == 4 else first // 100 * 100 + int(fold) if len(fold) == 2 else 0
    return last if first < last <= LATEST else None


def _is_decade(tokens: Tokens, index: int) -> bool:
    """Whether the figures at this token have the s of a decade right behind them."""
    after = index + 1
    return (
        after < len(tokens)
        and tokens.folded[after] == "s"
        and tokens.ends[index] + 1 >= tokens.starts[after]
    )


def _decades_end(tokens: Tokens, index: int, first: int) -> WrittenYears | None:
    """`1950s-60s` and `1950s/1960s`: the years from one decade to the end of the other."""
    if index >= len(tokens) or not _is_decade(tokens, index) or first % 100 == 0:
        return None
    gap = tokens.text[tokens.ends[index - 1] : tokens.starts[index]].strip()
    fold = tokens.folded[index]
    if gap not in ("-", "–", "—", "/") or not fold.isdigit() or len(fold) not in (2, 4):
        return None
    last = int(fold) if len(fold) == 4 else first // 100 * 100 + int(fold)
    fits = last % 10 == 0 and first < last <= LATEST
    return WrittenYears(index + 2, first, last + 9, False) if fits else None


def _about(tokens: Tokens, start: int) -> WrittenYears | None:
    """`c1950s` and `c. 1900`, the c with its year; `C19th`, a century."""
    after = start + 1
    if after >= len(tokens) or not tokens.numeric[after]:
        return None
    gap = tokens.text[tokens.ends[start] : tokens.starts[after]]
    fold = tokens.folded[after]
    if gap.strip(" .") or not fold.isdigit():
        return None
    if len(fold) == 2 and tokens.folded[after + 1 : after + 2] == ["th"] and not gap:
        first = (int(fold) - 1) * 100
        return WrittenYears(after + 2, first, first + 99, False) if first >= EARLIEST else None
    return years_at(tokens, after) if len(fold) == 4 else None


def _short_year(tokens: Tokens, start: int) -> WrittenYears | None:
    """`'62`: a year of the twentieth century, or, where it has come again, of either."""
    before = tokens.text[: tokens.starts[start]]
    if before[-1:] not in ("'", "’") or before[-2:-1].isalnum():
        return None
    short = int(tokens.folded[start])
    if short > SINCE_2000:
        return WrittenYears(start + 1, 1900 + short, 1900 + short, True)
    return WrittenYears(start + 1, 1900 + short, 2000 + short, False)


def _of_two_figures(short: int, start: int) -> WrittenYears:
    """The year of a day, which may as well be of the nineteenth century: `17/10/68`."""
    return WrittenYears(start + 1, 1800 + short, 1900 + short, False)


def _of_a_day(tokens: Tokens, start: int) -> WrittenYears | None:
    """The year of a day, in two figures: `Oct. 3rd 05`, `3 Oct 05`, `10-3-05`."""
    before: list[int] = []
    at = start - 1
    while at >= 0 and len(before) < 2:
        gap = tokens.text[tokens.ends[at] : tokens.starts[at + 1]]
        if gap.strip(" .,-"):
            return None
        if not ends_an_ordinal(tokens, at) and tokens.folded[at] != "of":
            before.append(at)
        at -= 1
    if len(before) < 2 or tokens.text[tokens.ends[start] :][:1].isalnum():
        return None
    late, early = (tokens.folded[place] for place in before)
    short = int(tokens.folded[start])
    if _is_day(late) and _is_day(early):
        figures = tokens.text[tokens.starts[before[1]] : tokens.ends[start]]
        written = _DAY_BY_DASHES.fullmatch(figures) is not None
        clear = tokens.folded[start][0] == "0" or short > LONGEST_MONTH
        fits = written and clear and min(int(late), int(early)) <= MONTHS_OF_A_YEAR
        return _of_two_figures(short, start) if fits else None
    if (_is_day(late) and is_month(tokens.raw(before[1]))) or (
        _is_day(early) and is_month(tokens.raw(before[0]))
    ):
        return _of_two_figures(short, start)
    return None


def _behind_its_month(tokens: Tokens, start: int) -> WrittenYears | None:
    """The day and year in `OCT.3.1905`, which are one number to the eye."""
    day = _DAY_AND_YEAR.fullmatch(tokens.folded[start])
    if day is None or start == 0 or not _is_day(day[1]) or not is_month(tokens.raw(start - 1)):
        return None
    if len(day[2]) == 2:
        return _of_two_figures(int(day[2]), start)
    year = int(day[2])
    return WrittenYears(start + 1, year, year, True) if EARLIEST <= year <= LATEST else None


def _is_day(fold: str) -> bool:
    return fold.isascii() and fold.isdigit() and len(fold) <= 2 and 1 <= int(fold) <= LONGEST_MONTH


def _short_decade(tokens: Tokens, start: int) -> WrittenYears | None:
    """`50s` and `'60s`: the decade of the twentieth century."""
    after = start + 1
    if after < len(tokens) and tokens.folded[after] == "s" and tokens.folded[start][1] == "0":
        first = 1900 + int(tokens.folded[start])
        return WrittenYears(after + 1, first, first + 9, False)
    return None
