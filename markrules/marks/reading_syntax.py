"""How a person writes down what is left of a mark, and what that text means.

    TR?F... / STER[LI]ING, crown over T, script, raised

`?` is one letter unread, `...` or `*` a run unread, `[CG]` one of these, `[C>G>O]` one of these
with the likeliest first, `[C:7 G:3]` the same with weights, `~` after a letter says that it is
doubtful, `/` is a line break. What follows a comma, or stands in round brackets, describes the mark
in words. `=` in front says that upper and lower case count.
"""

from __future__ import annotations

import re
from dataclasses import field

from markrules.frozen import dataclass
from markrules.late import late
from markrules.marks.letters import folded, visible

HELP = (
    "for a doubtful letter write up to four that it may be, [CGOQ], rather than ?; the likeliest "
    "first, [C>G>O], or weighed, [C:7 G:3]; ? one letter unread, ... or * a run unread, "
    "C~ doubtful, / line break, = case counts; after a comma: what else is seen (crown over T, "
    "script, raised, Denmark)"
)
LONGEST_TEXT = 400
MOST_CELLS = 80
RANKED = 0.4
"""In `[C>G>O]` each letter is this many times as likely as the one before. Set by reason: what
looks likeliest is right somewhat more often than all else together."""

_IN_SET = late(r":\s*(?P<weight>[0-9]{1,3}(?:\.[0-9]{1,2})?)%?|.", re.DOTALL)

DOUBTFUL_WEIGHT = 0.6
"""Weight of a doubtful letter (`C~`); the rest goes to what it may have been worn from."""


class MarkSyntaxError(ValueError):
    """What was written cannot be read as a mark. `column` counts from 1; 0 is the whole text."""

    def __init__(self, message: str, column: int = 0) -> None:
        """Say what is wrong, in the writer's words, and in which column."""
        super().__init__(f"column {column}: {message}" if column else message)
        self.column = column


@dataclass(frozen=True, slots=True)
class Cell:
    """One place in a reading.

    `kind` is `letter`, `unread` (one letter, not known which) or `gap` (a run of any length,
    or nothing). `letters` are the letters it may be, upper case, with weights that sum to 1;
    a doubtful letter weighs DOUBTFUL_WEIGHT. `shown` is how it was written.
    """

    kind: str
    letters: tuple[tuple[str, float], ...] = ()
    shown: str = ""


GAP = Cell("gap", (), "…")
UNREAD = Cell("unread", (), "?")


@dataclass(frozen=True, slots=True)
class CellRun:
    """A run of cells without a space; `line` counts line breaks before it, `text` as written."""

    cells: tuple[Cell, ...]
    text: str
    line: int

    @property
    def is_plain(self) -> bool:
        """Whether every letter of it is known."""
        return all(len(cell.letters) == 1 and cell.letters[0][1] == 1 for cell in self.cells)

    @property
    def plain(self) -> str:
        """The letters, where all are known; empty otherwise."""
        return "".join(cell.letters[0][0] for cell in self.cells) if self.is_plain else ""


@dataclass(frozen=True, slots=True)
class MarkQuery:
    """A parsed reading of a mark.

    `tokens` are the letters in order, `described` the phrases that say what else is seen,
    `as_written` is True where upper and lower case count.
    """

    text: str
    tokens: tuple[CellRun, ...]
    described: tuple[str, ...] = ()
    as_written: bool = False
    cells: tuple[Cell, ...] = field(init=False)

    def __post_init__(self) -> None:
        """Set `cells`: those of all tokens in order."""
        object.__setattr__(self, "cells", joined(self.tokens))

    @property
    def in_full(self) -> bool:
        """Whether every letter was read for certain: no `?`, run unread, bracket or `~`."""
        return all(token.is_plain for token in self.tokens)


def joined(tokens: tuple[CellRun, ...]) -> tuple[Cell, ...]:
    """The cells of several tokens, two gaps side by side made one."""
    cells: list[Cell] = []
    for token in tokens:
        for cell in token.cells:
            if not (cell.kind == "gap" and cells and cells[-1].kind == "gap"):
                cells.append(cell)
    return tuple(cells)


_BRACKETED = late(r"\(((?:[^()]|\([^()]*\))*)\)", among="(")
_BRACKETS_WITHIN = late(r"[()]+")
_DESCRIPTION_COMMA = late(r",(?=\s|$)")
PLACE = late(
    r"""(?P<star>(?<=\w\ )\*(?=\ \w)|(?<![^\s])\*(?=\d))  # CS * FS, *1AR: a star as struck
      | (?P<gap>\*+|…|\.{2,})
      | (?P<unread>[?_\ufffd])
      | (?P<set>\[(?P<inside>[^\[\]]*)\])
      | (?P<open>[\[\]])
      | (?P<doubt>~)
      | (?P<line>/)
      | (?P<space>\s+)
      | (?P<sign>[©®™℠])
      | (?P<letter>.)""",
    re.VERBOSE,
)


def parse(text: str) -> MarkQuery:
    """What a person wrote, as a query.

    Raises MarkSyntaxError for a text that is too long, holds no letter and no description, or
    breaks the syntax; the message says where and what would do.
    """
    if len(text) > LONGEST_TEXT:
        raise MarkSyntaxError(
            f"this is {len(text):,} characters long, and a mark with its description is at most "
            f"{LONGEST_TEXT}; write only what stands on the piece"
        )
    shown = visible(text)
    letters, described = letters_and_words(shown)
    as_written = letters.startswith("=")
    tokens = _tokens(letters.removeprefix("="))
    query = MarkQuery(shown, tokens, described, as_written)
    if len(query.cells) > MOST_CELLS:
        raise MarkSyntaxError(
            f"this has {len(query.cells)} letters and wildcards, and at most {MOST_CELLS} are "
            "searched; write ... for a run unread"
        )
    if not described and all(cell.kind != "letter" for cell in query.cells):
        raise MarkSyntaxError("no letter was read; write at least one, or what the mark shows")
    return query


def read_text(text: str) -> MarkQuery | None:
    """A text taken from a note as a query, or None where no letter can be searched."""
    try:
        return parse(text)
    except MarkSyntaxError:
        pass
    letters = folded(visible(text[:LONGEST_TEXT]).replace("?", ""))
    return parse(letters) if 0 < len(letters) <= MOST_CELLS else None


def letters_and_words(text: str) -> tuple[str, tuple[str, ...]]:
    """The letters, and the phrases that describe."""
    within = (_BRACKETS_WITHIN.sub(" ", phrase).strip() for phrase in _BRACKETED.findall(text))
    described = [" ".join(phrase.split()) for phrase in within if phrase]
    first, *others = _DESCRIPTION_COMMA.split(_BRACKETED.sub(" ", text))
    letters = [first]
    for phrase in map(str.strip, others):
        if _describes(phrase):
            described.append(phrase)
        else:
            letters.append(phrase)
    return " ".join(letters).strip(), tuple(described)


def _describes(phrase: str) -> bool:
    """Whether a phrase after a comma is words about the mark: it holds a word in lower case, and no
    `&` as names of partners do.
    """
    if "&" in phrase:
        return False
    wordy = re.search(r"[a-z]{2}|^[A-Z][a-z]", phrase) is not None
    return wordy and not re.search(r"[?*\[~…]|\.\.", phrase)


def _tokens(text: str) -> tuple[CellRun, ...]:
    tokens: list[CellRun] = []
    cells: list[Cell] = []
    start = line = 0
    for found in PLACE.finditer(text):
        kind = found.lastgroup or ""
        if kind == "inside":
            kind = "set"
        if kind in ("line", "space", "sign", "star"):
            _close(tokens, cells, text[start : found.start()], line)
            start = found.end()
            line += kind == "line"
            if kind == "sign":
                tokens.append(CellRun((), found.group(), line))
        else:
            _add(cells, kind, found)
    _close(tokens, cells, text[start:], line)
    return tuple(tokens)


def _close(tokens: list[CellRun], cells: list[Cell], text: str, line: int) -> None:
    if cells:
        tokens.append(CellRun(tuple(cells), text.strip(), line))
        cells.clear()


def _add(cells: list[Cell], kind: str, found: re.Match[str]) -> None:
    column = found.start() + 1
    if kind == "gap":
        if not (cells and cells[-1].kind == "gap"):
            cells.append(GAP)
    elif kind == "unread":
        cells.append(UNREAD)
    elif kind == "set":
        cells.append(_one_of(found["inside"], column))
    elif kind == "open":
        raise MarkSyntaxError(
            f"'{found.group()}' has no partner; write [CG] for a letter that is C or G", column
        )
    elif kind == "doubt":
        _make_doubtful(cells, column)
    else:
        cells += [Cell("letter", ((letter, 1.0),), found.group()) for letter in folded(found[0])]


def _one_of(inside: str, column: int) -> Cell:
    """`[CG]`: each letter alike likely; `[C>G>O]`: each less likely than the one before;
    `[C:7 G:3]`: by the weights given. A doubtful letter (`[CG~]`) weighs less.
    """
    weights: dict[str, float] = {}
    last, ranked = "", 1.0
    for found in _IN_SET.finditer(inside):
        sign = found.group()
        if sign in "?_*":
            return UNREAD
        if sign == ">":
            ranked *= RANKED
        elif sign == "~" and last:
            weights[last] *= DOUBTFUL_WEIGHT
        elif found["weight"]:
            if last:
                weights[last] = float(found["weight"])
        else:
            for letter in folded(sign):
                weights[letter] = ranked
                last = letter
    total = sum(weights.values())
    if not weights or total <= 0:
        raise MarkSyntaxError("[ ] holds no letter; write [CG] for a letter that is C or G", column)
    kept = tuple((letter, weight / total) for letter, weight in weights.items() if weight > 0)
    return Cell("letter", kept, f"[{inside}]")


def _make_doubtful(cells: list[Cell], column: int) -> None:
    if not cells or cells[-1].kind == "gap":
        raise MarkSyntaxError("'~' stands after the letter that is doubtful, as in C~", column)
    last = cells[-1]
    if last.kind == "letter":
        lowered = tuple((letter, weight * DOUBTFUL_WEIGHT) for letter, weight in last.letters)
        cells[-1] = Cell("letter", lowered, f"{last.shown}~")
