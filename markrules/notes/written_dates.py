"""Dates as people write them, made one that everything else in a note reads: `25. XII. 1900`."""

from __future__ import annotations

import re
from collections.abc import Mapping

from markrules.late import FIGURES, late
from markrules.notes.months import ENGLISH, MONTH_OF
from markrules.notes.tokens import QUOTED

_ROMAN = ("I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI", "XII")
_FEASTS = (
    *("new year's eve", "new year's day", "new year", "easter sunday", "easter", "whitsun"),
    *("michaelmas", "christmas eve", "christmas day", "christmas", "xmas", "noël", "weihnachten"),
)
"""Days that have a name: beside a year they tell when, and nothing of what is shown."""
_LISTED_SINCE = 1990
"""From here on a weekday before a day is that of a sale or a listing, and stays."""

_YEAR = r"(?:1[6-9]|20)[0-9]{2}(?![0-9])"
_DAY = r"(?:0?[1-9]|[12][0-9]|3[01])"
_MONTH = r"(?:0?[1-9]|1[0-2])"
_NAMED_MONTH = "|".join(sorted(map(re.escape, MONTH_OF), key=len, reverse=True))
_NUMBERS_BEFORE = r"(?<![\w.,/-])(?<!no\. )(?<!no )(?<!number )(?<!numbered )(?<!edition )"
_UNLESS_MEASURE = r"(?!\s*(?:mm|cm|g|gr|grams?|ct|cts|carats?|in|inch|inches)\b)(?![\w/-])"

_DATE = late(
    rf"(?P<quote>{QUOTED})"
    # 1900-12-25, 1900/12/25
    rf"|{_NUMBERS_BEFORE}(?P<y1>{_YEAR})(?P<sep>[-/.])(?P<m1>{_MONTH})(?P=sep)(?P<d1>{_DAY})(?![\w/-])"
    # 25 XII 1900, 25.XII.1900, 25-xii-1900
    rf"|(?<![\w.,/-])(?P<d2>{_DAY})\s?[./ -]\s?(?P<r2>(?-i:X?I{{1,3}}|I?[VX]|VI{{1,3}}))"
    rf"\s?[./ -]\s?(?P<y2>{_YEAR})"
    # 1. 6. 1900
    rf"|(?<![\w.,/-])(?P<d3>{_DAY})\. (?P<m3>{_DAY})\. (?P<y3>{_YEAR})"
    # 25. Dezember 1900, 25 de diciembre de 1900, 1er mai 1900, 25 dec 1900
    rf"|(?<![\w.,/-])(?P<d4>{_DAY})(?:\.|er|st|nd|rd|th)?[ -]?(?:de |di |of )?"
    rf"(?P<n4>{_NAMED_MONTH})"
    rf"\.?,?[ -]?(?:de )?(?P<y4>{_YEAR})"
    # October 17th, 1900, July the 4th, 1900; Oct. 17, 1900 is left to its readers
    rf"|(?<!\w)(?P<n11>{_NAMED_MONTH})\.? (?:the )?(?P<d11>{_DAY})(?:st|nd|rd|th),?"
    rf" (?:of )?(?P<y11>{_YEAR})"
    # 4.JUL.68, 4-Jul-1968, with stops or lines between
    rf"|(?<![\w.,/-])(?P<d12>{_DAY})(?:st|nd|rd|th)?(?P<sep12>[./-])(?P<n12>{_NAMED_MONTH})"
    r"\.?(?P=sep12)"
    rf"['’]?(?P<y12>{_YEAR}|[0-9]{{2}}(?![\w.,/-]*[0-9]))"
    # 4.7.'16, 4/7/'16: a day all the same
    rf"|(?<![\w.,/-])(?P<d13>{_DAY})(?P<sep13>[./-])(?P<m13>{_MONTH})(?P=sep13)"
    r"['’](?P<y13>[0-9]{2})(?![\w/-])"
    # © (1991), © - 1944 -, © MCMLXXVIII
    rf"|(?:(?<=[©®])|(?<=\(c\)))\s?[(\[·•*-]\s?(?P<y14>{_YEAR})\s?[)\]·•*-]"
    # · 1944 ·
    rf"|(?P<dot>[·•*])\s?(?P<y15>{_YEAR})\s?(?P=dot)"
    # MDCCCLXXXVII
    r"|(?<![\w'’.-])(?P<roman>(?-i:M[MDCLXVI]{4,}))(?![\w'’-])"
    # août 1900; October, 1900; other English months are left to their readers
    rf"|(?<!\w)(?P<n5>{_NAMED_MONTH})\.?,? (?:de )?(?P<y5>{_YEAR})"
    # 9/1873, 09.1873
    rf"|{_NUMBERS_BEFORE}(?P<m6>{_MONTH})/(?P<y6>1[6-9][0-9]{{2}}){_UNLESS_MEASURE}"
    rf"|{_NUMBERS_BEFORE}(?P<m7>0[1-9]|1[0-2])\.(?P<y7>{_YEAR}){_UNLESS_MEASURE}"
    # Christmas 1900, Easter of 1900
    rf"|(?<![\w-])(?P<feast>{'|'.join(_FEASTS)}),? (?:of )?"
    rf"(?P<y8>{_YEAR})"
    # in the summer of 1900, anno 1900, A.D. 1900, in the year of our Lord 1900
    rf"|(?<![\w-])(?:(?P<in>in )?(?:the )?(?:spring|summer|autumn|fall|winter)(?: of)?"
    rf"|anno(?: domini)?"
    rf"|a\.d\.|(?-i:AD)|(?P<inyear>in the year)(?: of our lord)?) (?P<y9>{_YEAR})"
    # between 1890 and 1900, 1890 to 1900, 1900 or 1901
    rf"|(?<![\w.,/-])(?P<between>between )?(?P<from>{_YEAR})"
    rf" (?:to|until|till|or|(?P<and>and)) (?P<to>{_YEAR})(?![\w/'’-])"
    # 1962/63, 1962/3: one year and the next
    rf"|(?<![\w.,/-])(?P<this>{_YEAR})/(?P<next>[0-9]{{1,2}})(?![\w/-])"
    # 1890's
    r"|(?<![\w.,/-])(?P<decade>(?:1[6-9]|20)[0-9]0)['’]s\b"
    # 189?, 189-: the last figure cannot be read
    r"|(?<![\w.,/#-])(?P<part>1[7-9][0-9]|20[0-2])(?:\?|_|-(?=\s*(?:$|[,;.)])))(?![\w?])"
    # Tuesday 25 December 1900
    r"|(?<!\w)(?:mon|tues|wednes|thurs|fri|satur|sun)day,? (?:the )?"
    rf"(?P<dated>{_DAY}(?:st|nd|rd|th)? (?:of )?(?:{_NAMED_MONTH})\.?,? (?P<y10>{_YEAR}))",
    re.IGNORECASE,
)
_MAY_BE = late(
    r"1[6-9][0-9]{2}|20[0-9]{2}|1[7-9][0-9][?_-]|[0-9][./-](?:[A-Za-z]{3}|[0-9]{1,2}[./-]['’])"
    r"|M[MDCLXVI]{4}",
    among=f"{FIGURES}M",
)
"""Figures of a year or a day, without which a note has no date that is made plain here."""
_INITIAL = re.compile(r"\b[A-Z]\. ?$")
"""A letter for a name: of a day behind it, the day would be taken for part of the name."""
_NUMBERED = late(
    r"(?:\b(?:pat|patd|patent|no|nos|number|rd|regd|reg|des|design)\.?|['’]d|#) ?$", re.IGNORECASE
)
"""What stands before a number of which a figure is unread."""


def with_dates_plain(note: str) -> tuple[str, Mapping[str, str]]:
    """The note with dates in forms that nothing else reads put in one that is read, and for each
    date that was put otherwise how it was written.

    A day comes as `25.12.1900`, which is one number to the eye, a month as its year, a span as
    `1890-1900`, a decade as `1890s`. What stands in quotes is left as it is: it stands so on the
    piece.
    """
    if _MAY_BE.search(note) is None:
        return note, {}
    written: dict[str, str] = {}

    def plain(found: re.Match[str]) -> str:
        put = _plain(found)
        if put != found[0]:
            written.setdefault(put, found[0])
        return put

    text = _DATE.sub(plain, note)
    # Of a year that stands there more than once nobody can tell afterwards which it was.
    return text, {put: as_typed for put, as_typed in written.items() if text.count(put) == 1}


def _plain(found: re.Match[str]) -> str:
    """One date put plainly: what the pattern met is told by the group that its year stands in."""
    part = {name: text for name, text in found.groupdict().items() if text}
    if "quote" in part:
        return found[0]
    if "y4" in part:
        return _named_day(found)
    if "roman" in part:
        return _roman(part["roman"])
    if "y14" in part or "y15" in part:
        return f" {part.get('y14') or part.get('y15')} "
    if "y5" in part:
        return _named_month(found, part["n5"], part["y5"])
    if "y9" in part:
        return f"in {part['y9']}" if "in" in part or "inyear" in part else part["y9"]
    if "from" in part:
        return _span(found)
    if "this" in part:
        return _and_the_next(found)
    if "part" in part:
        return _decade(found)
    if "y10" in part:
        return part["dated"] if int(part["y10"]) < _LISTED_SINCE else found[0]
    return _in_figures(part)


def _in_figures(part: Mapping[str, str]) -> str:
    """What needs nothing but its own figures: a day, a month and year, a year or a decade."""
    if "y1" in part:
        return _day(part["d1"], int(part["m1"]), part["y1"])
    if "y2" in part:
        return _day(part["d2"], _ROMAN.index(part["r2"].upper()) + 1, part["y2"])
    if "y3" in part:
        return _day(part["d3"], int(part["m3"]), part["y3"])
    if "y11" in part:
        return _day(part["d11"], MONTH_OF[part["n11"].lower()], part["y11"])
    if "y12" in part:
        return _day(part["d12"], MONTH_OF[part["n12"].lower()], part["y12"])
    if "y13" in part:
        return _day(part["d13"], int(part["m13"]), part["y13"])
    year = next((part[name] for name in ("y6", "y7", "y8") if name in part), "")
    return year or f"{part['decade']}s"


def _named_day(found: re.Match[str]) -> str:
    """A day with its month; one that an Englishman would write so stays as it was written."""
    month = found["n4"]
    number = MONTH_OF[month.lower()]
    known = month[0].isupper() and ENGLISH[number - 1].startswith(month) and found[0][-5] != "."
    known = known and _INITIAL.search(found.string[: found.start()]) is None
    return found[0] if known else _day(found["d4"], number, found["y4"])


def _decade(found: re.Match[str]) -> str:
    """The decade of a year whose last figure cannot be read, unless it is a stamped number."""
    before = found.string[: found.start()]
    return found[0] if _NUMBERED.search(before) else f"{found['part']}0-{found['part']}9"


def _day(day: str, month: int, year: str) -> str:
    return f"{int(day)}.{month}.{year}"


def _named_month(found: re.Match[str], month: str, year: str) -> str:
    """A month of another language with its year; an English one stays as it was written."""
    known = ENGLISH[MONTH_OF[month.lower()] - 1].lower().startswith(month.lower())
    return found[0].replace(",", "") if known else year


def _roman(figures: str) -> str:
    """The year in Roman figures, or the letters where they are none."""
    from markrules.knowledge.roman_figures import roman_year
    from markrules.notes.quantities import EARLIEST, LATEST

    year = roman_year(figures, len(figures))
    return str(year) if year is not None and EARLIEST <= year <= LATEST else figures


def _span(found: re.Match[str]) -> str:
    """`1890-1900`; two years with `and` between them are a span only behind `between`."""
    listed = found["and"] and not found["between"]
    if listed or int(found["from"]) >= int(found["to"]):
        return found[0]
    return f"{found['from']}-{found['to']}"


def _and_the_next(found: re.Match[str]) -> str:
    following = str(int(found["this"]) + 1)
    return f"{found['this']}-{following[-2:]}" if following.endswith(found["next"]) else found[0]
