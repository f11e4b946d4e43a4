"""One line of rule text to words with their places; what cannot be a word is a problem."""

from __future__ import annotations

import re
from dataclasses import field

from markrules.frozen import dataclass
from markrules.language.problems import Problem
from markrules.language.spans import Span
from markrules.named_tuple import NamedTuple

LONGEST_LINE = 20_000  # characters, for a line and for a line joined from several
DEEPEST_NESTING = 40  # brackets inside brackets
LARGEST_FILE = 16 * 1024 * 1024  # characters
LONGEST_NUMBER = 15  # digits: a double holds that many exactly
MOST_PROBLEMS = 500  # problems told for one file


class Word(NamedTuple):
    """One word, number, quoted text or sign: its `kind`, how it is written, and where.

    `kind` is text, share, number, name or sign. A quoted text keeps its quotes.
    """

    kind: str
    text: str
    line: int
    column: int
    end_column: int


class Comment(NamedTuple):
    """A comment with its `#`; `alone` where nothing stands before it on its line."""

    text: str
    line: int
    column: int
    alone: bool


@dataclass(slots=True)
class Line:
    """A logical line. `indent` counts columns before it; `sound` is False after a problem."""

    number: int
    indent: int
    words: list[Word]
    sound: bool = True
    size: int = 0
    depth: int = 0


@dataclass(slots=True)
class Layout:
    """What a text holds beside its logical lines: comments, and what is wrong with its signs."""

    file: str
    joins_texts: bool = True  # quoted texts that meet become one
    comments: list[Comment] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    def problem(self, code: str, message: str, line: int, column: int, end: int) -> None:
        """Note a problem at columns `column` to `end` of `line`."""
        self.problems.append(Problem(code, message, Span(self.file, line, column, end)))


_WORD = re.compile(
    r"""[ \t]*(?:
      (?P<text>"[^"\\]*(?:\\.[^"\\]*)*")
    | (?P<share>[0-9]+(?:\.[0-9]+)?%)
    | (?P<number>[0-9]+(?:\.[0-9]+)?(?![\w-]))
    | (?P<name>\w(?:[\w-]*\w)?)
    | (?P<sign>[(),+-])
    | (?P<comment>\#.*)
    | (?P<bad>[^ \t])
    )""",
    re.VERBOSE,
)
# C0 and C1 controls, line and paragraph separators, directional overrides and isolates,
# zero-width no-break space, lone surrogates: none has a use in a rule.
_CONTROL = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff\ud800-\udfff]"
)
_BAD_ESCAPE = re.compile(r'\\[^"\\]')
NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


def has_control_signs(text: str) -> bool:
    """True if a text holds a sign that has no use in a rule."""
    return _CONTROL.search(text) is not None


def read_line(layout: Layout, number: int, line: str, suspect: bool) -> Line:
    """One physical line as words; what cannot be one becomes a problem."""
    if len(line) > LONGEST_LINE:
        layout.problem(
            "line-too-long",
            f"this line has {len(line):,} characters; at most {LONGEST_LINE:,} are read",
            *(number, LONGEST_LINE + 1, LONGEST_LINE + 2),
        )
        return Line(number, len(line) - len(line.lstrip()), [_STAND_IN], sound=False)
    if suspect and (control := _CONTROL.search(line)):
        layout.problem(
            "control-character",
            f"a control character (U+{ord(control.group()):04X}) stands here; take it out",
            *(number, control.start() + 1, control.end() + 1),
        )
        return Line(number, len(line) - len(line.lstrip()), [_STAND_IN], sound=False)
    found = Line(number, _indent(layout, number, line), [], size=len(line))
    _words(layout, found, line)
    return found


_STAND_IN = Word("bad", "", 0, 0, 0)


def _indent(layout: Layout, number: int, line: str) -> int:
    width = len(line) - len(line.lstrip(" \t"))
    lead = line[:width]
    if "\t" in lead:
        at = lead.index("\t") + 1
        layout.problem(
            "tab",
            "a tab stands before this line; use four spaces for each step",
            *(number, at, at + 1),
        )
        return len(lead.expandtabs(4))
    return width


def _words(layout: Layout, found: Line, line: str) -> None:
    number = found.number
    words = found.words
    for match in _WORD.finditer(line):
        kind = match.lastgroup
        if kind is None:  # pragma: no cover - every way through the pattern is named
            continue
        start, end = match.span(kind)
        if kind == "comment":
            alone = not words and found.sound
            layout.comments.append(Comment(line[start:].rstrip(), number, start + 1, alone))
            return
        if kind == "bad":
            words.append(Word("bad", line[start:end], number, start + 1, end + 1))
            found.sound = False
            _stray(layout, line, number, start)
            return
        word = Word(kind, line[start:end], number, start + 1, end + 1)
        words.append(word)
        if kind == "sign":
            found.depth += (word.text == "(") - (word.text == ")")
        elif kind != "name" and not _sound(layout, word):
            found.sound = False


def _stray(layout: Layout, line: str, number: int, start: int) -> None:
    """Tell of a sign that has no meaning here; the rest of its line is not read."""
    sign = line[start]
    if sign == '"':
        layout.problem(
            "open-text",
            "this text has no closing quote on its line; a long text is several quoted texts, "
            "one below the other",
            *(number, start + 1, len(line.rstrip()) + 1),
        )
        return
    if sign in "“”„«»'‘’":
        message = 'a text stands in straight double quotes, "like this"'
    elif sign == "=":
        message = 'write `is` where "=" stands'
    elif sign in "[]{}":
        message = f"only round brackets ( ) are used outside a text, not {sign}"
    elif sign == "\\":
        message = "a backslash stands only inside a text"
    elif sign in ":;":
        message = f'"{sign}" has no meaning here; a key is followed by a space and its value'
    else:
        message = f'"{sign}" has no meaning here; put quotes around a text'
    layout.problem("stray-sign", message, number, start + 1, start + 2)


def _sound(layout: Layout, word: Word) -> bool:
    """True if a text or number is well written."""
    if word.kind == "text":
        return _sound_text(layout, word)
    if len(word.text) > LONGEST_NUMBER:
        layout.problem(
            "number-too-long",
            f"a number has at most {LONGEST_NUMBER} digits",
            *word[2:],
        )
        return False
    return True


def _sound_text(layout: Layout, word: Word) -> bool:
    if "\t" in word.text:
        at = word.column + word.text.index("\t")
        layout.problem("tab", "a tab stands inside this text; use a space", word.line, at, at + 1)
        return False
    if "\\" in word.text:
        for escape in re.finditer(r"\\.", word.text):
            if _BAD_ESCAPE.match(escape.group()):
                at = word.column + escape.start()
                layout.problem(
                    "bad-escape",
                    r"a backslash in a text is written \\, and a quote \"",
                    *(word.line, at, at + 2),
                )
                return False
    return True
