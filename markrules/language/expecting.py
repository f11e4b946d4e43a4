"""What a rule text should have said at the word where the parser stopped, in a writer's words."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any, TypeAlias

from markrules.language.grammar import Grammar
from markrules.language.lines import NAME, Line, Word
from markrules.language.nearest import nearest
from markrules.language.shapes import ENTRY_KINDS, SHAPES
from markrules.language.tree import Problem, Span

_PHRASES = {
    "YEAR": "a year, such as 1911",
    "SHARE": "a share, such as 12%",
    "NUMBER": "a number",
    "COUNT": "a whole number",
    "TEXT": "a text in double quotes",
    "COMMA": "a comma",
    "LPAR": "an opening bracket",
    "RPAR": "a closing bracket",
    "NEWLINE": "the end of the line",
}
# What a name names, by the word before it.
_NAMES = {
    "is": "a value",
    "not": "a value",
    "cite": "a source",
    "trust": "a trust level, such as strong",
    "on": "a piece type",
    "points": "a maker",
    "family": "a family",
    "found": "a finding",
    "under": "a piece type",
    "common": "a commonness, such as often",
    "when": "a condition, such as: catch is rollover",
    "given": "a note in quotes or a condition",
    "means": "a feature",
    "columns": "the name of a column",
}
# Lark's table: state -> symbol -> (what to do, with a rule or a state).
Table: TypeAlias = Mapping[int, Mapping[str, tuple[Any, Any]]]
_CONDITION_STARTS = ("when", "and", "or", "given", "expect", "not", "(", ",")


def accepted(grammar: Grammar, stack: Sequence[int]) -> set[str]:
    """The terminals that a parser with this stack of states can really take next."""
    states = grammar.start().parse_conf.states
    return {
        terminal
        for terminal in states[stack[-1]]
        if (terminal.isupper() or terminal[0] == "_") and _takes(states, list(stack), terminal)
    }


def _takes(states: Table, stack: list[int], terminal: str) -> bool:
    """True if the terminal is shifted, once all that it completes is reduced."""
    while terminal in states[stack[-1]]:
        action, rule = states[stack[-1]][terminal]
        if action.name == "Shift":
            return True
        del stack[len(stack) - len(rule.expansion) :]
        stack.append(states[stack[-1]][rule.origin.name][1])
    return False


class Explainer:
    """Tells what is wrong with a line. `owner` is the kind of entry or part that holds it."""

    def __init__(self, grammar: Grammar, file: str) -> None:
        """`file` is the name that problems carry."""
        self._grammar = grammar
        self._file = file

    def explain(self, line: Line, at: int, stack: Sequence[int], owner: str) -> Problem:
        """The problem of a line whose word number `at` cannot follow what stands before it."""
        word = line.words[at] if at < len(line.words) else _end(line)
        if at == 0:
            return self._bad_start(line, word, owner)
        wanted = accepted(self._grammar, stack)
        before = line.words[at - 1]
        return self._slip(line, at, word, wanted) or self._problem(
            "unexpected",
            f"expected {self._wanted(line, at, wanted)} after {_shown(before)}",
            word,
            self._near(word, wanted),
        )

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
        if word.text in ENTRY_KINDS and len(line.words) == 2 and line.words[1].kind == "name":
            message = f"an entry starts at the left margin: `{word.text}` is indented"
            return self._problem("indented-entry", message, word)
        message = f"{_shown(word)} is no line of {_a(owner)}; its lines are {', '.join(keys)}"
        return self._problem("unknown-line", message, word, nearest(word.text, keys))

    def _bad_kind(self, word: Word) -> Problem:
        if word.kind == "text" or word.text in ("and", "or"):
            message = "a line that goes on from the one above is indented"
            return self._problem("unknown-entry", message, word)
        message = f"{_shown(word)} is no kind of entry; the kinds are {', '.join(ENTRY_KINDS)}"
        near = nearest(word.text.lower(), ENTRY_KINDS)
        keys = {key for shape in SHAPES.values() for key in shape.keys}
        if word.text in keys:
            message = f"`{word.text}` stands at the left margin; the lines of an entry are indented"
            near = None
        return self._problem("unknown-entry", message, word, near)

    # --- Slips that deserve a message of their own --------------------------------------------

    def _slip(self, line: Line, at: int, word: Word, wanted: set[str]) -> Problem | None:
        before = line.words[at - 1]
        if word.kind == "name" and "NAME" in wanted and not NAME.fullmatch(word.text):
            message = "a name is written in lower case, with hyphens between its words"
            return self._problem("bad-name", message, word, _as_name(word.text))
        if before.text == "," and before.line < word.line:
            message = (
                f"the line above ends in a comma, so this one goes on from it; "
                f"expected {self._wanted(line, at, wanted)}"
            )
            return self._problem("unexpected", message, word)
        if "YEAR" in wanted and (span := re.fullmatch(r"(\d{4})-(\d{4})", word.text)):
            message = "a span of years is written with `to`"
            near = f"{span[1]} to {span[2]}"
            return self._problem("year-span", message, word, near)
        if "COMMA" in wanted and word.line == before.line and self._goes_on(word):
            message = f"expected a comma between {_shown(before)} and {_shown(word)}"
            return self._problem("missing-comma", message, word)
        return None

    def _goes_on(self, word: Word) -> bool:
        parts = ("from", "mostly", "until", "except", "fade")
        return word.text in parts or word.kind == "text"

    # --- The usual message ------------------------------------------------------------------

    def _wanted(self, line: Line, at: int, wanted: set[str]) -> str:
        if "AND" in wanted and "SEEN" not in wanted and "NUMBER" not in wanted:
            wanted = wanted - {"OR"} if "RPAR" in wanted else wanted
        phrases = [phrase for key, phrase in _PHRASES.items() if key in wanted]
        words = sorted(
            f"`{self._grammar.spellings[key]}`"
            for key in wanted
            if key not in _PHRASES and key in self._grammar.spellings
        )
        if "NAME" in wanted:
            phrases.insert(0, _named(line, at))
            if line.words[at - 1].text in _CONDITION_STARTS:
                words, phrases = [], phrases[:1]
        return _or(phrases[:-1] + words + phrases[-1:] if "NEWLINE" in wanted else phrases + words)

    def _near(self, word: Word, wanted: set[str]) -> str | None:
        spellings = [
            spelling
            for key in wanted
            if (spelling := self._grammar.spellings.get(key, "")).isalpha()
        ]
        return nearest(word.text, spellings) if word.kind == "name" and spellings else None


def _named(line: Line, at: int) -> str:
    before = line.words[at - 1].text
    if at == 1 and before in SHAPES and line.indent == 0:
        return f"a name for the {before}, in lower case with hyphens"
    if before == "is" or (before == "not" and at > 1 and line.words[at - 2].text == "is"):
        return "a value"
    if before in _CONDITION_STARTS and line.words[0].text in ("when", "given", "expect"):
        return _NAMES.get(before, "a condition, such as: catch is rollover")
    if before == ",":
        return _NAMES.get(line.words[0].text, "a name")
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
