"""Problems in words: where, what, the line with a caret, and what was probably meant."""

from __future__ import annotations

import os

from markrules.language.line_words import LARGEST_FILE
from markrules.language.lines import physical_lines
from markrules.language.problems import Problem
from markrules.language.spans import Span
from markrules.plain_files import read_plain

_WIDTH = 100


def show(problem: Problem, text_of_file: str | None = None) -> str:
    """A problem as several lines of text, without a line end after the last.

    Without the text, the file that the problem names is read, where that can be done.

    rules/catches/tube.rules:4:17: unknown value "rolover" for feature "catch"
        when  catch is rolover
                       ^^^^^^^
    nearest: "rollover"
    rules/features/catch.rules:9:9: its values are listed here
    """
    text = _text_of(problem.place.file) if text_of_file is None else text_of_file
    return show_in(problem, physical_lines(text))


def _text_of(file: str) -> str:
    try:
        return read_plain(file, LARGEST_FILE).decode("utf-8", "replace")
    except (OSError, ValueError):
        return ""


def show_in(problem: Problem, lines: list[str]) -> str:
    """As `show`, for a text already cut into lines (`physical_lines`)."""
    shown = [headline(problem)]
    if 1 <= problem.place.line <= len(lines):
        shown += _pointed(lines[problem.place.line - 1], problem.place)
    if problem.nearest is not None:
        shown.append(f'nearest: "{clean(problem.nearest)}"')
    shown += [f"{where(place.span)}: {clean(place.reason)}" for place in problem.also]
    return "\n".join(shown)


def headline(problem: Problem) -> str:
    """The first line: place and message; a warning says that it is one."""
    warning = "warning: " if problem.severity == "warning" else ""
    return f"{where(problem.place)}: {warning}{clean(problem.message)}"


def where(span: Span) -> str:
    """A place as `file:line:column`; a file below the working folder is named from there."""
    here = _working_folder()
    return f"{clean(span.file.removeprefix(here))}:{span.line}:{span.column}"


def _working_folder() -> str:
    try:
        return os.path.join(os.getcwd(), "")
    except OSError:  # it was taken away
        return ""


def clean(text: str) -> str:
    """Text safe to print: signs that steer a terminal become visible stand-ins."""
    return "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in text)


def _pointed(line: str, place: Span) -> list[str]:
    """The line, or the stretch of a long one around the place, and a caret below."""
    start = 0 if place.column <= _WIDTH - 20 else place.column - 1 - _WIDTH // 2
    stretch = clean(line.replace("\t", " ")[start : start + _WIDTH])
    bare = stretch.lstrip()
    at = place.column - 1 - start - (len(stretch) - len(bare))
    count = max(1, min(place.end_column - place.column, len(bare) - at))
    return [f"    {bare.rstrip()}", f"    {' ' * max(0, at)}{'^' * count}"]
