"""What can stand at a place in a rule file, told from the line and the lines above it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from markrules.editor.hover_text import short
from markrules.editor.workspace import Workspace
from markrules.frozen import dataclass
from markrules.language.builtin import COLOUR
from markrules.language.kinds import KINDS, NAMES, SHAPES
from markrules.language.roles import TARGETS, meaning_of
from markrules.language.tree import ADDED_TO, ALL_ELSE, More, Withdraw

ADDITION, WITHDRAWAL = NAMES[More.__name__], NAMES[Withdraw.__name__]
"""The kind of entry that adds to another."""
PARTS = ("value", "mark", "fill")
"""Lines of an entry that have lines of their own below them."""

NAMED: dict[str, str] = {
    "cite": "source",
    "trust": "trust",
    "family": "family",
    "on": "piece",
    "under": "piece",
    "points": "maker",
    "makers": "maker",
    "of": "feature",
    "within": "feature",
    "part": "feature",
    "settle": "feature",
    "order": "feature",
    "never": "feature",
    "origin": "origin",
    "each": "slot",
    "beside": "claim",
    "commonness": "commonness",
    "shows": "fault",
}
"""What kind of name stands after a key, whatever the entry, where it takes names."""
CLUES_TOO = ("never", "order")
"""Keys after which a clue may stand as well as a feature."""
WORDS_OF_ORDER = ("before", "after", "by", ALL_ELSE)
"""The words of an order of years."""
FORMS_OF_NAMES = ("NAME", "names", "cites", "order")
"""The forms of lines in which names stand."""

PARTS_OF_WINDOWS: dict[str, str] = {
    "from": "not before this year",
    "mostly": "the years of the bulk: mostly 1925 to 1960, mostly 1925 onward, mostly until 1960",
    "until": "not after this year",
    "except": "but not in these years: except 1938 to 1945",
    "fade": "years over which the bulk fades out at its ends",
}
"""What a window of years is made of, each part behind a comma."""
BETWEEN_YEARS: dict[str, tuple[str, ...]] = {"mostly": ("to", "onward"), "except": ("to",)}
"""What stands behind the first year of such a part."""

FORMS_OF_CONDITIONS = ("condition", "text | condition", "meaning")
"""The forms of lines in which a condition may stand."""
EXPECTED = ("clue", "finding", "sign", "fault", "caution", "maker", "type", "misleading")
_JOINERS = ("and", "or")
_ASKED = re.compile(r"([a-z0-9-]+)\s+is\s+(?:not\s+)?(?:one\s+of\s+\([^)]*)?[a-z0-9-]*$")
_WORD = re.compile(r"[a-z0-9-]*$")
_NO_CODE = re.compile(r'"[^"\\]*(?:\\.[^"\\]*)*"|#.*')


@dataclass(frozen=True, slots=True)
class Completion:
    """One thing that may be written: the word, what it is, and a few words about it."""

    word: str
    what: str
    about: str = ""


def offers(workspace: Workspace, lines: Sequence[str], line: int, column: int) -> list[Completion]:
    """What can stand at a line and column, both counted from 0; the whole words, unsorted.

    Inside a quoted text or a comment nothing is offered.
    """
    before = lines[line][:column] if line < len(lines) else ""
    if _in_text(before):
        return []
    line, before = _whole_line(lines, line, before)
    words = before.split()
    typing = _WORD.search(before)
    whole = words[:-1] if typing is not None and typing.group() else words
    if not before[:1].isspace():
        return _head(workspace, whole)
    kind, part = owner(lines, line, _indent(before))
    shape = SHAPES.get(part or kind)
    if shape is None:
        return []
    if not whole:
        inner = [Completion(each, "key") for each in PARTS if each in shape.keys]
        keys = [Completion(key, "key", each.example) for key, each in shape.keys.items()]
        return keys + [each for each in inner if each.word not in shape.keys]
    if key_is(whole, "value", kind, ADDITION) and not part:
        return list(_values_of(workspace, _named(lines, line)))
    if key_is(whole, "in", kind, "shares"):
        return list(_values_of(workspace, _table(lines, line)))
    return list(_after(workspace, part or kind, whole, before))


def _whole_line(lines: Sequence[str], line: int, before: str) -> tuple[int, str]:
    """Where the line begins that goes on at a place, and all of it up to there."""
    while line > 0 and before[:1].isspace():
        at, above = line - 1, _bare(lines[line - 1])
        while at > 0 and not above.strip():
            at, above = at - 1, _bare(lines[at - 1])
        first = before.split(None, 1)
        goes_on = bool(first) and (first[0] in _JOINERS or first[0].startswith('"'))
        if not goes_on and not above.rstrip().endswith(",") and not _is_open(lines, at):
            break
        line, before = at, f"{above} {before.lstrip()}"
    return line, before


def _is_open(lines: Sequence[str], line: int) -> bool:
    """Whether a bracket opened in the line, or in one that it goes on from, is not closed in it."""
    depth = 0
    for at in range(line, -1, -1):
        text = _bare(lines[at])
        depth += text.count("(") - text.count(")")
        if depth > 0 or (text and not text[0].isspace()):
            return depth > 0
        if not depth and "(" in text:
            return False
    return False


def _bare(text: str) -> str:
    """A line without its comment; its quoted texts are empty, so that nothing in them counts."""
    return _NO_CODE.sub(lambda found: '""' if found[0].startswith('"') else "", text)


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


def _head(workspace: Workspace, whole: Sequence[str]) -> list[Completion]:
    """What stands at the left margin: the kind of an entry, and what is added to or taken back."""
    if not whole:
        return [Completion(kind, "entry") for kind in KINDS]
    kinds = {ADDITION: ADDED_TO, WITHDRAWAL: SHAPES[WITHDRAWAL].keys["kind"].choices}
    named = kinds.get(whole[0], ()) if len(whole) == 1 else ()
    return [each for kind in named for each in _names(workspace, kind)]


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


def _after(
    workspace: Workspace, kind: str, whole: Sequence[str], before: str
) -> Iterator[Completion]:
    key = whole[0]
    shape = SHAPES[kind]
    about = shape.keys.get(key)
    if key == "role" and whole[-1] in TARGETS:
        yield from _names(workspace, TARGETS[whole[-1]])
    elif key == "role" and about is not None:
        yield from (Completion(each, "role", meaning_of(each)) for each in about.choices)
    elif about is not None and about.choices:
        yield from (Completion(each, "word") for each in about.choices)
    elif key == "common" and kind == "maker":
        yield from _names(workspace, "commonness")
    elif key == "expect":
        yield from _expected(workspace, whole, before)
    elif about is not None and about.form in (*FORMS_OF_CONDITIONS, "window"):
        yield from _window(before) if about.form == "window" else _condition(workspace, before)
    elif key_is(whole, "of", kind, "shade"):
        yield from _values_of(workspace, COLOUR)
    elif key_is(whole, "year", kind, "remark"):
        yield from _names(workspace, "feature")
    elif key_is(whole, "damage", kind, "remark"):
        yield from _names(workspace, "wording")
    elif key == "row" and _last_of(whole, ("trust", "cite")):
        yield from _names(workspace, NAMED[_last_of(whole, ("trust", "cite"))])
    elif key == "chance" and "on" in whole:
        yield from _names(workspace, "piece")
    elif key in NAMED and about is not None and about.form in FORMS_OF_NAMES:
        yield from _named_after(workspace, key, kind)


def _last_of(whole: Sequence[str], keys: Sequence[str]) -> str:
    """The last of these words that stands in a line; empty where none does."""
    return next((each for each in reversed(whole) if each in keys), "")


def key_is(whole: Sequence[str], key: str, kind: str, wanted: str) -> bool:
    """Whether a line of an entry of the kind that is wanted begins with this key."""
    return whole[0] == key and kind == wanted


def _named_after(workspace: Workspace, key: str, kind: str) -> Iterator[Completion]:
    yield from _names(workspace, NAMED[key])
    if key in CLUES_TOO and kind == "misleading":
        yield from _names(workspace, "clue")
    if kind == "misleading" and NAMED[key] == "feature":
        yield from _names(workspace, "slot")
    if key == "order":
        yield from (Completion(each, "word") for each in WORDS_OF_ORDER)


def _named(lines: Sequence[str], line: int) -> str:
    """The name of the entry that a line stands in."""
    while line > 0 and lines[line][:1].isspace():
        line -= 1
    return (*lines[line].split(), "", "")[1]


def _table(lines: Sequence[str], line: int) -> str:
    """The feature of the table of shares that a line stands in: told by `of`, else its name."""
    first = line
    while first > 0 and lines[first][:1].isspace():
        first -= 1
    last = line
    while last + 1 < len(lines) and (lines[last + 1][:1].isspace() or not lines[last + 1]):
        last += 1
    for text in lines[first + 1 : last + 1]:
        words = text.split()
        if len(words) > 1 and words[0] == "of":
            return words[1]
    return (*lines[first].split(), "", "")[1]


def _values_of(workspace: Workspace, name: str) -> Iterator[Completion]:
    feature = workspace.known_at_rest().features.get(name)
    for value in feature.values if feature is not None else ():
        yield Completion(value.name, "value", short("value", value))


def _window(before: str) -> Iterator[Completion]:
    """What goes on a window of years: a part of it, or what stands within the part."""
    _, _, said = before.lstrip().partition(" ")
    part = said.rpartition(",")[2]
    words = _WORD.sub("", part).split()
    if not words:
        yield from (Completion(each, "word", say) for each, say in PARTS_OF_WINDOWS.items())
    elif len(words) == 1 or words[-1] in ("to", "until"):
        yield Completion("now", "word", "this year")
        yield Completion("year", "word", "the year that was seen: year, year + 5")
        if words == ["mostly"]:
            yield Completion("until", "word")
    else:
        yield from (Completion(each, "word") for each in BETWEEN_YEARS.get(words[0], ()))


def _expected(workspace: Workspace, whole: Sequence[str], before: str) -> Iterator[Completion]:
    asked = whole[-1]
    if asked in EXPECTED:
        yield from _names(workspace, asked)
    elif len(whole) == 1 or asked == "not":
        yield from (Completion(each, "word") for each in (*EXPECTED, "years", "year", "not"))
        yield from _names(workspace, "feature")
    else:
        yield from _condition(workspace, before)


def _condition(workspace: Workspace, before: str) -> Iterator[Completion]:
    asked = _ASKED.search(before)
    if asked is not None:
        yield from _values_of(workspace, asked[1])
        yield from (Completion(each, "word") for each in ("seen", "absent", "not", "one of"))
        return
    if re.search(r"\bfound\s+type\s+[a-z0-9-]*$", before):
        yield from _names(workspace, "type")
    elif re.search(r"\bfound\s+[a-z0-9-]*$", before):
        yield from _names(workspace, "finding")
    else:
        yield from (Completion(each, "word") for each in ("not", "found", "and", "or", "is"))
        yield from _names(workspace, "feature")


def _names(workspace: Workspace, kind: str) -> Iterator[Completion]:
    known = workspace.known_at_rest()
    entries = known.features if kind == "feature" else known.by_kind.get(kind, {})
    for name, entry in entries.items():
        yield Completion(name, kind, short(kind, entry))
