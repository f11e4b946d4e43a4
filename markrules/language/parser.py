"""Rule text to a tree and located problems: `parse`. A bad line costs that line, no more."""

from __future__ import annotations

from threading import Lock
from typing import TYPE_CHECKING, Any

from markrules.language.building import Builder
from markrules.language.collector import paused
from markrules.language.grammar import END, Grammar, Stack, grammar
from markrules.language.kinds import KINDS
from markrules.language.line_words import (
    DEEPEST_NESTING,
    LARGEST_FILE,
    MOST_PROBLEMS,
    NAME,
    Layout,
    Line,
    Word,
)
from markrules.language.lines import logical_lines, too_deep
from markrules.language.problems import Problem
from markrules.language.spans import Span
from markrules.language.tree import Book, Entry

if TYPE_CHECKING:
    from markrules.language.raw import RawEntry

# Even where a name can stand, these are not one: so that `not not` is told where it stands.
NEVER_NAMES = ("and", "or", "not", "is")
# What rules become is made by the grammar's one shaper, which is told the file: one text at a time.
_ONE_AT_A_TIME = Lock()


def parse(text: str, file: str) -> tuple[Book, tuple[Problem, ...]]:
    """The entries of a rule text and the problems met on the way, in the order of the text.

    `file` is the name to show in messages. Any text whatever gives a book and problems,
    never an exception; an entry with a bad line is kept where the rest of it makes sense,
    and named in `Book.broken`.
    """
    if len(text) > LARGEST_FILE:
        message = f"this file has {len(text):,} characters; at most {LARGEST_FILE:,} are read"
        return Book(file, ()), (Problem("file-too-large", message, Span(file, 1, 1, 2)),)
    with _ONE_AT_A_TIME, paused():
        reader = _EntryReader(grammar(), file)
        raw = reader.read(text)
    builder = Builder(hurt=reader.hurt)
    entries: list[Entry] = [built for each in raw if (built := builder.entry(each)) is not None]
    problems = sorted(
        reader.layout.problems + reader.problems + builder.problems,
        key=lambda problem: (problem.place.line, problem.place.column),
    )
    broken = tuple(reader.lost + builder.broken)
    return Book(file, tuple(entries), broken), tuple(_first(problems))


def _first(problems: list[Problem]) -> list[Problem]:
    if len(problems) <= MOST_PROBLEMS:
        return problems
    message = f"{len(problems) - MOST_PROBLEMS:,} or more further problems in this file"
    last = problems[MOST_PROBLEMS - 1].place
    return [*problems[:MOST_PROBLEMS], Problem("more-problems", message, last)]


class _EntryReader:
    """Feeds the words of a text to the parser, line by line, and steps back over bad lines."""

    def __init__(self, grammar: Grammar, file: str) -> None:
        self._grammar = grammar
        self._file = file
        self._stack = Stack(grammar)
        grammar.shaper.file = file
        self.layout = Layout(file)
        self.problems: list[Problem] = []
        self.hurt: set[tuple[str, int]] = set()  # name and line of entries that lost a line
        self.lost: list[tuple[str, str]] = []  # kind and name of entries that lost their head
        self._levels = [0]  # how far each open level is indented
        self._owners = [""]  # the kind of entry or part that each open level belongs to
        self._above = ""  # the first word of the last good line
        self._current = self._before = ("", 0)  # name and line of this entry and the last one
        self._skipping = -1  # lines further in than this hang below a bad line; -1: none do

    def read(self, text: str) -> tuple[RawEntry, ...]:
        """The raw entries of the text."""
        for line in logical_lines(text, self.layout):
            if len(self.problems) + len(self.layout.problems) > MOST_PROBLEMS:
                break
            self._line(line)
        self._close(1)
        self._stack.feed(END, None)
        entries: tuple[RawEntry, ...] = self._stack.values[-1]
        return entries

    def _line(self, line: Line) -> None:
        if self._skipping >= 0:
            if line.indent > self._skipping:
                return
            self._skipping = -1
        if not self._readable(line) or not self._placed(line):
            self._lose(line)

    def _readable(self, line: Line) -> bool:
        if line.sound and (bracket := too_deep(line)) is not None:
            message = f"brackets stand more than {DEEPEST_NESTING} deep here"
            self._problem("too-deep", message, bracket)
            return False
        return line.sound

    def _placed(self, line: Line) -> bool:
        """Read a line at the level where it stands; False if it cannot be read."""
        if line.indent == 0:
            self._close(1)
            return self._head(line)
        if line.indent > self._levels[-1]:
            if "INDENT" in self._stack.actions():
                return self._first_below(line)
            self._problem("indent", self._too_far_in(), line.words[0])
        else:
            while len(self._levels) > 2 and line.indent < self._levels[-1]:
                self._close(len(self._levels) - 1)
            if line.indent != self._levels[-1]:
                message = f"this line does not stand below another: indent it by {self._levels[-1]}"
                self._problem("indent", message, line.words[0])
        return self._words(line)

    def _too_far_in(self) -> str:
        if len(self._levels) == 1:
            return "this line belongs to no entry: an entry starts at the left margin"
        return (
            f"this line stands further in than the one above, but `{self._above}` takes no lines "
            "below it; a text goes on with another quoted text"
        )

    def _head(self, line: Line) -> bool:
        words = line.words
        self._before = self._current
        self._current = (words[1].text, words[1].line) if len(words) > 1 else ("", 0)
        return self._words(line)

    def _first_below(self, line: Line) -> bool:
        """Open a level for a line; if the line is bad, the level stays shut."""
        kept = self._kept()
        self._stack.feed("INDENT", None)
        self._levels.append(line.indent)
        self._owners.append(self._above)
        if self._words(line):
            return True
        self._levels.pop()
        self._owners.pop()
        self._stack.states, self._stack.values = kept
        return False

    def _close(self, count: int) -> None:
        """Shut levels until `count` are open."""
        while len(self._levels) > count:
            self._stack.feed("DEDENT", None)
            self._levels.pop()
            self._owners.pop()

    def _words(self, line: Line) -> bool:
        """Feed the words of a line; False, and the parser as before, if one does not fit."""
        states, values = self._kept()
        feed, terminal = self._stack.feed, self._terminal
        fed = 0
        for word in line.words:
            if not feed(terminal(word), word):
                break
            fed += 1
        else:
            if feed("NEWLINE", line.words[-1]):
                self._above = line.words[0].text
                return True
        self._stack.states, self._stack.values = states[:], values[:]
        self.problems.append(self._explain(line, fed))
        self._stack.states, self._stack.values = states, values
        return False

    def _explain(self, line: Line, at: int) -> Problem:
        """What is wrong at word number `at`: the words before it are fed once more."""
        from markrules.language.expecting import Explainer

        for word in line.words[:at]:
            self._stack.feed(self._terminal(word), word)
        wanted = self._stack.accepted()
        return Explainer(self._grammar, self._file).explain(line, at, wanted, self._owners[-1])

    def _terminal(self, word: Word) -> str:
        """Which terminal a word is, given what the parser can take now."""
        kind, text = word[0], word[1]
        row = self._stack.actions()
        if kind == "name":
            terminal = self._grammar.terminals.get(text)
            if terminal is not None and (terminal in row or text in NEVER_NAMES):
                return terminal
            return "NAME" if NAME.fullmatch(text) else "NO-NAME"
        if kind == "text":
            return "TEXT"
        if kind == "number":
            whole = text.isdigit()
            if whole and len(text) == 4 and "YEAR" in row:
                return "YEAR"
            return "COUNT" if whole and "COUNT" in row else "NUMBER"
        return "SHARE" if kind == "share" else self._grammar.terminals[text]

    def _kept(self) -> tuple[list[int], list[Any]]:
        """The parser as it is now, to step back to: values are never changed, only added."""
        return self._stack.states[:], self._stack.values[:]

    def _lose(self, line: Line) -> None:
        """Note that a line is lost, and with it all that hangs below it."""
        self._skipping = line.indent
        if line.indent:
            self.hurt.add(self._current)
            return
        if line.words[0].text not in KINDS:
            self.hurt |= {self._before, self._current}
        if len(line.words) > 1:
            self.lost.append((line.words[0].text, line.words[1].text))

    def _problem(self, code: str, message: str, word: Word) -> None:
        place = Span(self._file, word.line, word.column, word.end_column)
        self.problems.append(Problem(code, message, place))
