"""Rule text to logical lines: physical lines joined where they go on, comments apart."""

from __future__ import annotations

from collections.abc import Iterator

from markrules.language.line_words import (
    DEEPEST_NESTING,
    LONGEST_LINE,
    Layout,
    Line,
    Word,
    has_control_signs,
    read_line,
)

_JOINERS = ("and", "or")


def physical_lines(text: str) -> list[str]:
    """The lines of a text, without their ends (LF or CRLF) and a leading byte order mark."""
    lines = text.removeprefix("\ufeff").split("\n")
    return [line[:-1] if line.endswith("\r") else line for line in lines]


def logical_lines(text: str, layout: Layout) -> Iterator[Line]:
    """The logical lines of a rule text, one by one; comments and problems go to `layout`."""
    suspect = has_control_signs(text)
    current: Line | None = None
    for number, line in enumerate(physical_lines(text), 1):
        bare = line.rstrip(" \t")
        if not bare:
            continue
        found = read_line(layout, number, bare, suspect)
        if not found.words:
            continue
        if current is not None and _continues(current, found):
            _join(layout, current, found)
            continue
        if current is not None:
            yield current
        current = found
    if current is not None:
        yield current


def _continues(current: Line, found: Line) -> bool:
    """True if `found` goes on with the line begun in `current`."""
    if not found.indent:
        return False
    first = found.words[0]
    if first.kind == "text" or first.text in _JOINERS:
        return True
    return current.depth > 0 or current.words[-1].text == ","


def _join(layout: Layout, current: Line, found: Line) -> None:
    """Put the words of `found` behind those of `current`; quoted texts that meet become one."""
    size = current.size + found.size
    if size > LONGEST_LINE:
        if current.size <= LONGEST_LINE and current.sound:
            layout.problem(
                "line-too-long",
                f"this line and those it goes on in have more than {LONGEST_LINE:,} characters",
                *found.words[0][2:],
            )
        current.words[-1:] = [current.words[-1], found.words[-1]]
        current.sound = False
    else:
        words = found.words
        if layout.joins_texts and words[0].kind == "text" and current.words[-1].kind == "text":
            last = current.words[-1]
            current.words[-1] = last._replace(text=f"{last.text[:-1]} {words[0].text[1:]}")
            words = words[1:]
        current.words.extend(words)
        current.sound = current.sound and found.sound
    current.size = size
    current.depth += found.depth


def too_deep(line: Line) -> Word | None:
    """The bracket that opens one level too many, if any."""
    if line.depth == 0 and len(line.words) <= DEEPEST_NESTING:
        return None
    depth = 0
    for word in _signs(line):
        depth += 1 if word.text == "(" else -1
        if depth > DEEPEST_NESTING:
            return word
    return None


def _signs(line: Line) -> Iterator[Word]:
    return (word for word in line.words if word.kind == "sign" and word.text in "()")
