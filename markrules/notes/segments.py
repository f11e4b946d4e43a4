"""A note cut where one thing ends and the next begins: commas, semicolons, lines, full stops."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from collections.abc import Set as AbstractSet

from markrules.late import FIGURES, late
from markrules.named_tuple import NamedTuple
from markrules.notes.months import is_month
from markrules.notes.tokens import QUOTED

LONGEST_SEGMENT = 600
"""Characters of one segment: nobody writes so many without a comma or a full stop."""
PICTURES = "\U0001f300-\U0001faff✨✅✔☑❗❌➡➤►▶▪▫●■◆❖⭐"
"""Signs, as the inside of a class, that set off what is told and stand on no piece."""
DASH = r"(?<=\S)[^\S\n\r]+[-–—~·]+[^\S\n\r]+(?=\S)"
"""A dash that parts as a comma does."""
_CUT = re.compile(
    rf"(?P<quote>{QUOTED})"
    r"|(?P<cut>,(?![0-9])|(?<![0-9]),|[;\n\r•|]|[!?](?=\s+(?:[^\W\d_][a-z]|[a-z]\s)))"
    rf"|(?P<dash>{DASH})"
    r"|(?P<stop>\.(?=\s|$))"
)
_LOOSE_CUT = late(
    r"(?P<dots>(?<=[a-z0-9\"”)])(?:\.{2,}|…)(?=\s+[\w\"“(]|[a-z]))"
    r"|(?P<tight>(?<=[a-z\"”)])[–—](?=[a-z0-9\"“(])|(?<=[A-Z0-9])[–—](?=[a-z]))"
    rf"|(?P<sign>[\t{PICTURES}]+️?)"
    r"|(?P<shout>(?<=[\w\"”])!+(?=\s+[0-9\"“(A-Z]))"
)
"""What parts things in quick notes, as a comma does: dots, tight dashes, pictures, tabs, shouts."""
_SLASH = late(
    r"(?P<before>(?:\w|(?<=\w)[\"'”.?)])+)(?P<gap>[^\S\n\r]?)/(?=(?P=gap)(?P<after>[\w\"'“©(]\w*))"
)
"""A slash between words, with a space on both sides or on none."""
_FIELDS = late(r"(?<=\S) / (?=[^\W\d_]|[0-9]+ [^\W\d_])")
"""A slash between two fields."""
_OTHER_COMMAS = (
    (late(r"(?<=[\w\"”.)'])\s?\+\s?(?=[^\W\d_]|[0-9]+ ?[a-z]|[\"“(])"), 2),
    (late(r"(?<=\S)[ \u00a0]{2,}(?=\S)"), 2),
)
"""Further signs that stand for commas in notes without any, and how often they do at least."""
_DASH = late(DASH)
_MAYBE_LOOSE = re.compile(rf"\.\.|[…–—\t!{PICTURES}]")
_BULLET = late(r"^[^\S\n]*[*·>–—-]+[^\S\n]+(?=\S)", re.MULTILINE)
_LIST_NUMBER = late(r"^[^\S\n]*\(?([0-9]{1,2})[.)][^\S\n]+(?=\S)", re.MULTILINE)
FEWEST_SLASHES = 3
"""Slashes between words in a note in which they stand for commas: two words may share one."""
_NUMBER_SIGN = late(r"no", re.IGNORECASE)
_FIGURE = late(r"\s*\S?[0-9]")
_DAY_BEFORE = late(
    r"(?:\b([^\W\d_]{3,9})\.?\s*[0-9]{1,2}(?:st|nd|rd|th)?"
    r"|\b[0-9]{1,2}(?:st|nd|rd|th)?\.?\s+(?:of\s+)?([^\W\d_]{3,9})\.?)\s*$",
    re.IGNORECASE,
)
_YEAR_AFTER = late(
    r"\s*(?:(?:1[5-9]|20)[0-9]{2}(?![0-9])|['’]?[0-9]{2}(?![0-9])(?=\s*(?:$|[,;.)\"”])))",
    among=FIGURES,
)
"""What a comma or full stop within a date stands before: a year, or its last two figures."""
_DAY_AFTER = late(r"\s*(?:[1-9]|[12][0-9]|3[01])(?:st|nd|rd|th)?[.,\s]+['’]?[0-9]{2}")
"""A day and a year behind a month: ` 7. 85`."""
_LONGEST_DAY = 24
"""Characters before a comma in which the day of a date is looked for: `30th of September`."""

LONGEST_SHORT = 5
"""Letters of an abbreviation before a number are fewer: `inv.`, `ref.`."""
_FIGURE_AFTER = late(r"\s*[0-9]")
_SENTENCE = late(r"\s+(?:[A-Z][a-z]+(?:['’][a-z]+)?|I|A)\s+[a-z]{2,}\s+[a-z0-9]")
"""A word with a capital and two without: `The box is`, and not `Fabrique de Paris`."""
_FOLLOWING = late(r"\s*(\w?)(\w?)")


SHORTEST_RUN_ON = 8
"""Words from which on a stretch may be of several things; set on invented notes whose commas were
taken out, as short as cuts no phrase of the labelled corpus.
"""


class Segment(NamedTuple):
    """A stretch of a note.

    `goes_on`: only a comma parts it from the one before; `runs_on`: not even that. `led_by` are the
    words of the one before that hold for this one too: the damage with which a list began.
    """

    text: str
    goes_on: bool
    runs_on: bool = False
    led_by: str = ""

    @property
    def may_run_on(self) -> bool:
        """Whether it is long enough to tell of several things without a comma between."""
        return self.text.count(" ") + 1 >= SHORTEST_RUN_ON


def no_names(_note: str) -> Sequence[tuple[int, int]]:
    """That no names of a note are to be kept whole."""
    return ()


def segments_of(
    note: str,
    abbreviations: Callable[[], AbstractSet[str]],
    numbering: Callable[[], AbstractSet[str]] = frozenset,
    whole: Callable[[str], Sequence[tuple[int, int]]] = no_names,
) -> list[Segment]:
    """The segments of a note, in order and stripped; empty ones are left out.

    Dots, tight dashes, tabs and pictures part as commas do, and so do plus signs and wide gaps
    where there are no commas, nor dashes in their place.

    A dash with a space on both sides cuts as a comma does, but not between two numbers
    (`1950 - 1960`) or between capitals (`EISEN - BERG`), unless the whole note is in capitals.

    A comma inside a number, a date (`Sept. 16, 1873`) or a quoted text does not cut, nor does the
    full stop inside a date (`Mar. 30. 75`), of an initial, between two words in capitals, or of
    one of the `abbreviations` (in lower case; a function, because they are seldom needed), nor
    before a figure that of a word of `numbering`: `ref. 1912`. Nothing cuts within the places
    that `whole` gives, as (start, end), for what is left of the note: names of several words.
    """
    if "\n" in note:
        note = _without_bullets(note)
    if _MAYBE_LOOSE.search(note) is not None:
        note = _LOOSE_CUT.sub(_as_comma, note)
    if note.count(" / ") >= FEWEST_SLASHES:  # Catch: C / Stones: paste, foiled / Marks: none
        note = _FIELDS.sub("; ", note)
    if "," not in note:
        note = _with_commas(note)
    pieces: list[Segment] = []
    kept = whole(note)
    begin, goes_on = 0, False
    for match in _CUT.finditer(note):
        if match.lastgroup == "quote":
            continue
        if match.lastgroup == "dash" and _joins(note, match.start(), match.end()):
            continue
        if any(start < match.start() < end for start, end in kept):
            continue
        if match[0] in (",", ".") and _in_a_date(note, match.start()):
            continue
        if match.lastgroup == "stop" and (
            not _ends(note, match.start(), abbreviations)
            or _numbers(note, match.start(), numbering)
        ):
            continue
        end = match.end() if match[0] == "?" else match.start()
        pieces.append(Segment(note[begin:end].strip(), goes_on))
        begin, goes_on = match.end(), match[0] in ",?" or match.lastgroup == "dash"
    pieces.append(Segment(note[begin:].strip().rstrip("!"), goes_on))
    return [part for piece in pieces if piece.text for part in _short_enough(piece)]


def _with_commas(note: str) -> str:
    """A note whose writer parts its things by slashes, with commas in their place.

    `brooch/gilt metal/rollover catch/unsigned`. One that stands in a short form or a fraction
    (`g/t`, `1/20`), or beside one space, parts nothing, and few of them part nothing either
    (`silver/gold`), unless spaces set them off between things of several words.
    """
    by_dashes = sum(1 for _ in _DASH.finditer(note)) > 1
    for sign, fewest in () if by_dashes else _OTHER_COMMAS:
        if sum(1 for _ in sign.finditer(note)) >= fewest:
            note = sign.sub(", ", note)
    if "/" not in note:
        return note
    places = [
        match.end() - 1
        for match in _SLASH.finditer(note)
        if match["gap"] or len(match["before"]) > 2 or len(match["after"]) > 2
        if not (match["before"].isdigit() and match["after"].isdigit())
    ]
    if len(places) < FEWEST_SLASHES and not _of_several_words(note):
        return note
    parted = list(note)
    for place in places:
        parted[place] = ","
    return "".join(parted)


def _of_several_words(note: str) -> bool:
    """Whether two slashes between spaces part things of several words: `gilt pin / huge letter D /
    signed`, and not `pink / white / blue beads`.
    """
    parts = note.split(" / ")
    return len(parts) > FEWEST_SLASHES - 1 and sum(" " in each.strip() for each in parts) > 1


def _without_bullets(note: str) -> str:
    """The lines of a list without what stands before each: `* gilt`, `1. gilt` and `2. bent`."""
    note = _BULLET.sub("", note)
    heads = [match[1] for match in _LIST_NUMBER.finditer(note)]
    in_order = heads == [str(int(heads[0]) + at) for at in range(len(heads))] if heads else False
    return _LIST_NUMBER.sub("", note) if in_order and len(heads) > 1 else note


def _as_comma(match: re.Match[str]) -> str:
    """A comma for a loose sign; dots behind a word with a capital are a torn text: `Trif...`."""
    if match.lastgroup == "dots":
        before = match.string[: match.start()]
        word = before[before.rfind(" ") + 1 :]
        if word[:1].isupper() and len(word) < len(before):
            return match[0]
    return ", "


def _short_enough(segment: Segment) -> list[Segment]:
    """The segment, or its parts where it is too long, cut at a space if there is one."""
    parts: list[Segment] = []
    text, goes_on = segment.text, segment.goes_on
    while len(text) > LONGEST_SEGMENT:
        cut = text.rfind(" ", 1, LONGEST_SEGMENT)
        cut = cut if cut > 0 else LONGEST_SEGMENT
        parts.append(Segment(text[:cut].rstrip(), goes_on))
        text, goes_on = text[cut:].lstrip(), False
    return [*parts, Segment(text, goes_on)]


def _joins(note: str, begin: int, end: int) -> bool:
    """Whether a dash joins what stands on both sides of it: two figures, or the text of a mark."""
    before, after = note[begin - 1], note[end]
    if before.isdigit() and after.isdigit():
        return True
    if not (before.isupper() and after.isupper()):
        return False
    word = note[note.rfind(" ", 0, begin) + 1 : begin]
    following = note[end:].split(maxsplit=1)[0]
    return word.isupper() and following.isupper() and not note.isupper()


def _in_a_date(note: str, at: int) -> bool:
    """Whether the comma or full stop at this place parts the day of a date from its year."""
    if _YEAR_AFTER.match(note, at + 1) is None:
        return False
    day = _DAY_BEFORE.search(note, max(0, at - _LONGEST_DAY), at)
    if day is None:
        return False
    return is_month(day[1] or day[2])


def _numbers(note: str, stop: int, numbering: Callable[[], AbstractSet[str]]) -> bool:
    """Whether the full stop at this place stands between a number and what it is of."""
    if _FIGURE_AFTER.match(note, stop + 1) is None:
        return False
    begin = stop
    while begin > 0 and stop - begin < LONGEST_SHORT and note[begin - 1].isalpha():
        begin -= 1
    return stop - begin < LONGEST_SHORT and note[begin:stop].casefold() in numbering()


def _ends(note: str, stop: int, abbreviations: Callable[[], AbstractSet[str]]) -> bool:
    """Whether the full stop at this place ends a sentence."""
    begin = stop
    while begin > 0 and stop - begin < 24 and note[begin - 1].isalpha():
        begin -= 1
    word = note[begin:stop]
    if len(word) == 1 and not note[begin - 1 : begin].isdigit():
        # An initial, but no unit behind its number: `12 g. condition: good`
        return (
            word.islower() and note[begin - 1 : begin] == " " and note[: begin - 1][-1:].isdigit()
        )
    if not word:  # dots stand for letters of a mark, unless a sentence begins behind them
        return note[begin - 1 : begin] != "." or _SENTENCE.match(note, stop + 1) is not None
    if _NUMBER_SIGN.fullmatch(word) and not _FIGURE.match(note, stop + 1):
        return True  # `glued? no. rollover catch`
    if word.casefold() in abbreviations():
        return False
    if len(word) > 2 and is_month(word) and _DAY_AFTER.match(note, stop + 1):
        return False  # `PAT. APL. 7. 85`
    if len(word) > 2 and note.isupper():
        return True
    following = _FOLLOWING.match(note, stop + 1)
    capitals = following is not None and following[1].isupper() and not following[2].islower()
    return not (word.isupper() and len(word) < 6 and capitals)
