"""A maker and its mark, written into the person's own rules, and taken out again.

They stand in one file of the personal folder, each as an entry of the rule language, so that they
can be read, corrected and given to others like any rule. What is written is checked first; a file
that would have errors is never written.
"""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import NamedTuple

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.places import personal_rules
from markrules.marks.letters import folded, visible

FILE = "own-makers.rules"
"""The file in the personal folder that holds what is added here."""

LONGEST = 200
"""Characters of a name, a mark or a note."""

_HEAD = "# Makers and marks of my own, added one by one. Each can be corrected here.\n"
_ENTRY = re.compile(r"^maker \S+\n(?:[ \t].*\n|\n(?=[ \t]))*", re.MULTILINE)
_YEAR = r"(1[0-9]{3}|20[0-9]{2})"
_SPAN = re.compile(rf"{_YEAR}\s*(?:-|–|to|/)\s*{_YEAR}")
_OPEN = re.compile(rf"(from|since|until|to|before|after)?\s*{_YEAR}")


class OwnMakerProblem(ValueError):
    """What was given cannot be written: told in the person's words."""


@dataclass(frozen=True, slots=True)
class OwnMaker:
    """A maker as a person gives it; all but the name may be empty. `years` are as written."""

    name: str
    mark: str = ""
    years: str = ""
    country: str = ""
    known_from: str = ""
    note: str = ""


class Written(NamedTuple):
    """The file, the name of the entry in it, and the entry as written."""

    file: Path
    entry: str
    text: str


def add_maker(base: KnowledgeBase, maker: OwnMaker, folder: Path | None = None) -> Written:
    """Write a maker into the person's own rules.

    `folder` is the personal folder where left out. Raises OwnMakerProblem where something is
    missing, too long, not a year, or would not be good rules; then nothing is changed.
    """
    file = _file(folder)
    before = _text(file)
    name = _free_name(base, before, maker.name)
    text = _entry(name, maker)
    _put(file, (before or _HEAD) + "\n" + text)
    return Written(file, name, text)


def take_out_maker(name: str = "", folder: Path | None = None) -> Written:
    """Take an entry out of the person's own rules: the one of that name or title, or the last.

    Raises OwnMakerProblem where there is none.
    """
    file = _file(folder)
    before = _text(file)
    entries = list(_ENTRY.finditer(before))
    wanted = [each for each in entries if not name or name in _names(each.group())]
    if not wanted:
        known = ", ".join(_names(each.group())[0] for each in entries) or "none"
        raise OwnMakerProblem(
            f'"{name}" is not among your own makers: {known}'
            if name
            else "there is no maker among your own rules"
        )
    last = wanted[-1]
    _put(file, f"{before[: last.start()].rstrip()}\n{before[last.end() :]}")
    return Written(file, _names(last.group())[0], last.group())


def _names(entry: str) -> list[str]:
    """The name of an entry, and its title."""
    title = re.search(r'^\s+title\s+"(.*)"$', entry, re.MULTILINE)
    return [entry.split()[1], *([title[1]] if title else [])]


def _file(folder: Path | None) -> Path:
    place = folder if folder is not None else personal_rules()
    if place is None:
        raise OwnMakerProblem(
            "there is no folder for rules of your own; set MARKRULES_RULES to one"
        )
    return place / FILE


def _text(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8")
    except FileNotFoundError:
        return ""
    except (OSError, UnicodeDecodeError) as problem:
        raise OwnMakerProblem(f"{file} cannot be read: {problem}") from None


def _free_name(base: KnowledgeBase, text: str, title: str) -> str:
    letters = folded(title).casefold()
    words = re.findall(r"[a-z0-9]+", re.sub(r"[^\w]+", " ", visible(title)).casefold())
    stem = "-".join(words) or re.sub(r"[^a-z0-9]", "", letters)
    if not stem or not stem[0].isalpha():
        stem = f"maker-{stem}" if stem else "maker"
    stem = stem[:60].strip("-")
    name, number = stem, 1
    while name in base.makers or re.search(rf"^maker {re.escape(name)}$", text, re.MULTILINE):
        number += 1
        name = f"{stem}-own" if number == 2 else f"{stem}-own-{number}"
    return name


def _entry(name: str, maker: OwnMaker) -> str:
    title = _told("the maker's name", maker.name)
    mark = _told("the mark", maker.mark or maker.name)
    if not folded(mark):
        raise OwnMakerProblem("the mark has no letter; write what stands on the piece")
    known = _told("where it is known from", maker.known_from, needed=False)
    source = f'from-memory "{known}"' if known else "from-memory"
    window = _window(maker.years)
    lines = [f"maker {name}", f'    title "{title}"']
    if maker.country.strip():
        lines.append(f'    country "{_told("the country", maker.country)}"')
    if window:
        lines.append(f"    works {window}")
    if maker.note.strip():
        lines.append(f'    note "{_told("the note", maker.note)}"')
    lines += [f"    cite {source}", "    mark own", f'        text "{mark}"']
    if window:
        lines.append(f"        used {window}")
    return "\n".join([*lines, f"        cite {source}", ""])


def _told(what: str, text: str, needed: bool = True) -> str:
    """The text on one line without hidden characters, with quotes and backslashes escaped."""
    shown = visible(text)
    if needed and not shown:
        raise OwnMakerProblem(f"{what} is missing")
    if len(shown) > LONGEST:
        raise OwnMakerProblem(f"{what} has {len(shown)} characters; at most {LONGEST} are kept")
    return shown.replace("\\", "\\\\").replace('"', '\\"')


def _window(years: str) -> str:
    """The years as a window with soft ends: a person's own figure is circa."""
    text = visible(years).casefold().strip(" .")
    if not text:
        return ""
    span = _SPAN.fullmatch(text)
    if span is not None:
        first, last = int(span[1]), int(span[2])
        if first > last:
            raise OwnMakerProblem(f'"{years}": the first year comes after the last')
        return f"mostly {first} to {last}" if first < last else f"mostly {first}"
    one = _OPEN.fullmatch(text)
    if one is None:
        raise OwnMakerProblem(
            f'"{visible(years)}" is not understood as years; write 1950-1970, from 1950, until 1970'
        )
    if one[1] in ("from", "since", "after"):
        return f"mostly {one[2]} onward"
    return f"mostly until {one[2]}" if one[1] else f"mostly {one[2]}"


def _put(file: Path, text: str) -> None:
    """Check the file, put it into the common form, and write it.

    Its entries rest on no others but the sources that are built in, and their names are free.
    """
    from markrules.language.checker import check
    from markrules.language.formatter import format_text
    from markrules.language.parser import parse

    formatted, problems = format_text(text, str(file))
    book, met = parse(formatted, str(file))
    wrong = [each for each in (*problems, *met, *check([book])) if each.severity == "error"]
    if wrong:
        raise OwnMakerProblem(wrong[0].message)
    file.parent.mkdir(parents=True, exist_ok=True)
    _replace(file, formatted.encode("utf-8"))


def _replace(file: Path, data: bytes) -> None:
    beside = file.with_name(f".{file.name}.new")
    try:
        beside.write_bytes(data)
        os.replace(beside, file)
    except OSError as problem:
        raise OwnMakerProblem(f"{file} cannot be written: {problem}") from None
