"""What a rule text should have said at the word where the parser stopped, in a writer's words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from markrules.language.grammar import Grammar
from markrules.language.kinds import KINDS, SHAPES
from markrules.language.line_words import NAME, Line, Word
from markrules.language.nearest import nearest
from markrules.language.problems import Place, Problem
from markrules.language.spans import Span

# In the order in which a message lists them.
_PHRASES = {
    "YEAR": "a year, such as 1911",
    "SHARE": "a share, such as 12%",
    "NUMBER": "a number",
    "COUNT": "a whole number",
    "TEXT": "a text in double quotes",
    "COMMA": "a comma",
    "LPAR": "an opening bracket",
    "RPAR": "a closing bracket",
    "IS": "`is`",
    "BEFORE": "`before`",
    "AFTER": "`after`",
    "SAYS": "`says`",
    "OVER": "`over`",
    "UNDER": "`under`",
    "AT": "`at least`",
    "BETWEEN": "`between`",
    "AND": "`and`",
    "OR": "`or`",
    "FROM": "`from`",
    "MOSTLY": "`mostly`",
    "UNTIL": "`until`",
    "EXCEPT": "`except`",
    "FADE": "`fade`",
    "TO": "`to`",
    "ONWARD": "`onward`",
    "NEWLINE": "the end of the line",
}
_CONDITION = "a condition, such as catch is rollover"
# What a name names, by the word before it.
_NAMES = {
    "cite": "the name of a source",
    "trust": "a trust level, such as strong",
    "on": "a piece type",
    "points": "the name of a maker",
    "makers": "the name of a maker",
    "family": "the name of a family",
    "found": "the name of a finding",
    "under": "a piece type",
    "common": "a commonness, such as often",
    "given": "a note in quotes or a condition",
    "expect": "an expectation, such as clue open-c-catch",
    "means": "a feature",
    "columns": "the name of a column",
    "origin": "the name of an origin, such as box",
    "of": "a feature",
    "part": "a feature",
    "never": "a feature or a clue",
    "settle": "a feature",
    "order": "a feature or a clue",
    "type": "the name of a type",
}
_WINDOW_PARTS = ("from", "mostly", "until", "except", "fade")
_CONDITION_STARTS = ("when", "told", "unless", "and", "or", "given", "expect", "not", "(", ",")


class Explainer:
    """Tells what is wrong with a line. `owner` is the kind of entry or part that holds it."""

    def __init__(self, grammar: Grammar, file: str) -> None:
        """`file` is the name that problems carry."""
        self._grammar = grammar
        self._file = file

    def explain(self, line: Line, at: int, wanted: set[str], owner: str) -> Problem:
        """The problem of a line whose word number `at` cannot follow what stands before it.

        `wanted` are the terminals that could; `owner` the kind of entry or part that
        holds the line, empty for the first line of an entry.
        """
        word = line.words[at] if at < len(line.words) else _end(line)
        if at == 0:
            return self._bad_start(line, word, owner)
        return (
            self._trailing_comma(line, at, owner)
            or self._slip(line, at, word, wanted)
            or self._usual(line, at, word, wanted)
        )

    def _usual(self, line: Line, at: int, word: Word, wanted: set[str]) -> Problem:
        expected = self._wanted(line, at, wanted)
        comma = "," if ", " in expected.split(" or ")[-1] else ""
        message = f"expected {expected}{comma} after {_shown(line.words[at - 1])}"
        return self._problem("unexpected", message, word, self._near(word, wanted))

    def _problem(self, code: str, message: str, word: Word, near: str | None = None) -> Problem:
        place = Span(self._file, word.line, word.column, word.end_column)
        return Problem(code, message, place, (), near)

    # --- The first word of a line -----------------------------------------------------------

    def _bad_start(self, line: Line, word: Word, owner: str) -> Problem:
        if not owner:
            return self._bad_kind(word)
        if not SHAPES[owner].keys:
            message = f"nothing can stand below {_a(owner)}"
            return self._problem("unknown-line", message, word)
        keys = tuple(SHAPES[owner].keys)
        if word.text in KINDS and len(line.words) == 2 and line.words[1].kind == "name":
            message = f"an entry starts at the left margin: `{word.text}` is indented"
            return self._problem("indented-entry", message, word)
        message = f"{_shown(word)} is no line of {_a(owner)}; its lines are {', '.join(keys)}"
        return self._problem("unknown-line", message, word, nearest(word.text, keys))

    def _bad_kind(self, word: Word) -> Problem:
        near = nearest(word.text.lower(), KINDS)
        if word.kind == "text" or word.text in ("and", "or"):
            message, near = "a line that goes on from the one above is indented", None
        elif any(word.text in shape.keys for shape in SHAPES.values()):
            message = f"`{word.text}` stands at the left margin; the lines of an entry are indented"
            near = None
        else:
            known = "" if near else f"; the kinds are {', '.join(KINDS)}"
            message = f"{_shown(word)} is no kind of entry{known}"
        return self._problem("unknown-entry", message, word, near)

    # --- Slips that deserve a message of their own --------------------------------------------

    def _trailing_comma(self, line: Line, at: int, owner: str) -> Problem | None:
        """A new line of the entry that was taken for more of the one above."""
        keys = SHAPES[owner].keys if owner else {}
        for before, word in pairwise(line.words[: at + 1]):
            if before.text == "," and word.line > before.line and word.text in keys:
                message = "the line above ends in a comma, so this line goes on from it"
                return self._problem("unexpected", message, word)
        return None

    def _slip(self, line: Line, at: int, word: Word, wanted: set[str]) -> Problem | None:
        before = line.words[at - 1]
        goes_on = word.line > before.line
        if word.kind == "name" and "NAME" in wanted and not NAME.fullmatch(word.text):
            message = "a name is written in lower case, with hyphens between its words"
            return self._problem("bad-name", message, word, _as_name(word.text))
        if "YEAR" in wanted and (span := re.fullmatch(r"(\d{4})-(\d{4})", word.text)):
            message = "a span of years is written with `to`"
            return self._problem("year-span", message, word, f"{span[1]} to {span[2]}")
        if goes_on and before.text == ",":
            message = (
                "the line above ends in a comma, so this one goes on from it: "
                f"expected {self._wanted(line, at, wanted)}"
            )
            return self._problem("unexpected", message, word)
        if goes_on and "RPAR" in wanted:
            return self._open_bracket(line, at, word)
        return self._side_by_side(line, at, word, wanted)

    def _open_bracket(self, line: Line, at: int, word: Word) -> Problem:
        depth = 0
        for opening in reversed(line.words[:at]):
            depth += (opening.text == "(") - (opening.text == ")")
            if depth > 0:
                break
        place = Span(self._file, opening.line, opening.column, opening.end_column)
        message = "a bracket is still open here: close it on the line before"
        problem = self._problem("open-bracket", message, word)
        return replace(problem, also=(Place(place, "opened here"),))

    def _side_by_side(self, line: Line, at: int, word: Word, wanted: set[str]) -> Problem | None:
        """Two texts, or two parts of a window, with nothing between."""
        before = line.words[at - 1]
        if word.text.isdigit() and len(word.text) == 4 and "MOSTLY" in wanted:
            message = "a window begins with `from`, `mostly` or `until`"
            near = f"mostly {word.text}"
        elif "COMMA" in wanted and (word.text in _WINDOW_PARTS or word.kind == "text"):
            message = f"expected a comma between {_shown(before)} and {_shown(word)}"
            return self._problem("missing-comma", message, word)
        elif word.kind == before.kind == "text":
            message = "a long text is several quoted texts, one below the other, not side by side"
            near = None
        elif "SHARE" in wanted and word.kind == "number":
            message, near = "a share is written with %", f"{word.text}%"
        else:
            return None
        return self._problem("unexpected", message, word, near)

    # --- The usual message ------------------------------------------------------------------

    def _wanted(self, line: Line, at: int, wanted: set[str]) -> str:
        phrases = [phrase for key, phrase in _PHRASES.items() if key in wanted]
        if "YEAR" in wanted:
            phrases = [_PHRASES["YEAR"]]
        elif "NAME" not in wanted:
            others = sorted(wanted - _PHRASES.keys())
            spelled = (self._grammar.spellings.get(key) for key in others)
            phrases[:0] = [f"`{word}`" for word in spelled if word]
        if "NAME" in wanted:
            phrases.insert(0, _named(line, at))
            if line.words[at - 1].text in _CONDITION_STARTS:
                del phrases[1:]
        return _or(phrases)

    def _near(self, word: Word, wanted: set[str]) -> str | None:
        spelled = (self._grammar.spellings.get(key, "") for key in wanted)
        known = [spelling for spelling in spelled if spelling.isalpha()]
        return nearest(word.text, known, 70) if word.kind == "name" and known else None


def _named(line: Line, at: int) -> str:
    """What a name in this place names."""
    key, before = line.words[0].text, line.words[at - 1].text
    if at == 1 and before in SHAPES and line.indent == 0:
        return f"a name for the {before}, in lower case with hyphens"
    if before == "is" or (before == "not" and at > 1 and line.words[at - 2].text == "is"):
        return "a value"
    if before in _CONDITION_STARTS and key in ("when", "told", "unless", "given", "expect"):
        return _NAMES.get(before, _CONDITION)
    if before == ",":
        return _NAMES.get(key, "a name")
    if line.words[at - 1].kind == "number":
        return "a unit, such as cm"
    return _NAMES.get(before, "a name")


def _end(line: Line) -> Word:
    last = line.words[-1]
    return Word("end", "", last.line, last.end_column, last.end_column + 1)


def _shown(word: Word) -> str:
    if word.kind == "end":
        return "the end of the line"
    text = word.text if len(word.text) <= 40 else f"{word.text[:37]}…"
    return text if word.kind == "text" else f'"{text}"'


def _a(kind: str) -> str:
    return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"


def _or(phrases: Sequence[str]) -> str:
    unique = list(dict.fromkeys(phrases))
    if len(unique) == 1:
        return unique[0]
    return f"{', '.join(unique[:-1])} or {unique[-1]}"


def _as_name(text: str) -> str | None:
    name = re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")
    return name or None
