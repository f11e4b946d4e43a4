"""What can stand at a place in a rule file, told from the line and the lines above it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from markrules.editor.hover_text import short
from markrules.editor.workspace import Workspace
from markrules.frozen import dataclass
from markrules.language.kinds import KINDS, SHAPES

PARTS = ("value", "mark")
"""Lines of an entry that have lines of their own below them."""

NAMED: dict[str, str] = {
    "cite": "source",
    "trust": "trust",
    "family": "family",
    "on": "piece",
    "under": "piece",
    "points": "maker",
    "of": "feature",
    "part": "feature",
    "settle": "feature",
    "order": "feature",
    "never": "feature",
    "origin": "origin",
}
"""What kind of name stands after a key, whatever the entry."""

CONDITIONS = ("when", "unless", "told", "given", "means")
EXPECTED = ("clue", "finding", "sign", "fault", "caution", "maker", "type", "misleading")
_ASKED = re.compile(r"([a-z0-9-]+)\s+is\s+(?:not\s+)?(?:one\s+of\s+\([^)]*)?[a-z0-9-]*$")
_WORD = re.compile(r"[a-z0-9-]*$")


@dataclass(frozen=True, slots=True)
class Offer:
    """One thing that may be written: the word, what it is, and a few words about it."""

    word: str
    what: str
    about: str = ""


def offers(workspace: Workspace, lines: Sequence[str], line: int, column: int) -> list[Offer]:
    """What can stand at a line and column, both counted from 0; the whole words, unsorted.

    Inside a quoted text or a comment nothing is offered.
    """
    before = lines[line][:column] if line < len(lines) else ""
    if _in_text(before):
        return []
    words = before.split()
    typing = _WORD.search(before)
    whole = words[:-1] if typing is not None and typing.group() else words
    if not before[:1].isspace() and before.strip() == before:
        return _kinds() if not whole else []
    kind, part = owner(lines, line, _indent(before))
    shape = SHAPES.get(part or kind)
    if shape is None:
        return []
    if not whole:
        inner = [Offer(each, "key") for each in PARTS if each in shape.keys]
        keys = [Offer(key, "key", each.example) for key, each in shape.keys.items()]
        return keys + [each for each in inner if each.word not in shape.keys]
    return list(_after(workspace, part or kind, whole, before))


def _in_text(before: str) -> bool:
    """Whether the place is inside a quoted text or behind a comment sign."""
    inside = False
    escaped = False
    for letter in before:
        if inside:
            inside = escaped or letter != '"'
            escaped = not escaped and letter == "\\"
        elif letter == "#":
            return True
        elif letter == '"':
            inside = True
    return inside


def _kinds() -> list[Offer]:
    return [Offer(kind, "entry") for kind in KINDS]


def _indent(text: str) -> int:
    return len(text) - len(text.lstrip(" \t"))


def owner(lines: Sequence[str], line: int, indent: int) -> tuple[str, str]:
    """The kind of the entry that a line stands in, and of the part of it, if any."""
    part = ""
    inner = indent
    for text in reversed(lines[:line]):
        words = text.split()
        if not words or words[0].startswith("#"):
            continue
        depth = _indent(text)
        if depth == 0:
            return words[0], part
        if depth < inner:
            inner = depth
            if words[0] in PARTS and not part:
                part = words[0]
    return "", part


def _after(workspace: Workspace, kind: str, whole: Sequence[str], before: str) -> Iterator[Offer]:
    key = whole[0]
    shape = SHAPES[kind]
    about = shape.keys.get(key)
    if about is not None and about.choices:
        yield from (Offer(each, "word") for each in about.choices)
    elif key == "common" and kind == "maker":
        yield from _names(workspace, "commonness")
    elif key == "expect":
        yield from _expected(workspace, whole, before)
    elif key in CONDITIONS and (about is not None or kind == "case"):
        yield from _condition(workspace, before)
    elif key in NAMED and about is not None:
        yield from _names(workspace, NAMED[key])


def _expected(workspace: Workspace, whole: Sequence[str], before: str) -> Iterator[Offer]:
    asked = whole[-1]
    if asked in EXPECTED:
        yield from _names(workspace, asked)
    elif len(whole) == 1 or asked == "not":
        yield from (Offer(each, "word") for each in (*EXPECTED, "years", "year", "not"))
        yield from _names(workspace, "feature")
    else:
        yield from _condition(workspace, before)


def _condition(workspace: Workspace, before: str) -> Iterator[Offer]:
    asked = _ASKED.search(before)
    feature = workspace.entry("feature", asked[1]) if asked is not None else None
    if asked is not None:
        for value in feature.values if feature is not None else ():
            yield Offer(value.name, "value", short("value", value))
        yield from (Offer(each, "word") for each in ("seen", "absent", "not", "one of"))
        return
    if re.search(r"\bfound\s+type\s+[a-z0-9-]*$", before):
        yield from _names(workspace, "type")
    elif re.search(r"\bfound\s+[a-z0-9-]*$", before):
        yield from _names(workspace, "finding")
    else:
        yield from (Offer(each, "word") for each in ("not", "found", "and", "or", "is"))
        yield from _names(workspace, "feature")


def _names(workspace: Workspace, kind: str) -> Iterator[Offer]:
    known = workspace.known()
    entries = known.features if kind == "feature" else known.by_kind.get(kind, {})
    for name, entry in entries.items():
        yield Offer(name, kind, short(kind, entry))
