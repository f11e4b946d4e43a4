"""A maker and its mark, written into the person's own rules, and taken out again.

They stand in one file of the personal folder, each as an entry of the rule language, so that they
can be read, corrected and given to others like any rule. What is written is checked first; a file
that would have errors is never written.
"""

from __future__ import annotations

import datetime
import os
import re
import threading
from pathlib import Path

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.places import personal_rules
from markrules.marks.letters import folded, visible
from markrules.marks.spans_written import written_span
from markrules.named_tuple import NamedTuple

FILE = "own-makers.rules"
"""The file in the personal folder that holds what is added here."""

NO_LETTER = "the mark has no letter; write what stands on the piece"

LONGEST = 200
"""Characters of a name, a mark or a note."""

_HEAD = "# Makers and marks of my own, added one by one. Each can be corrected here.\n"
_ENTRY = re.compile(r"^maker \S+\n(?:[ \t].*\n|\n(?=[ \t]))*", re.MULTILINE)
_MARK = re.compile(r"^    mark (\S*)\n(?:        .*\n|\n(?=        ))*", re.MULTILINE)


_writing = threading.Lock()
"""Held from reading the file to writing it: two who add at once lose nothing."""


class OwnMakerProblem(ValueError):
    """What was given cannot be written: told in the person's words.

    `field` is what of an OwnMaker is at fault; empty where it is none.
    """

    def __init__(self, message: str, field: str = "") -> None:
        """Keep both."""
        super().__init__(message)
        self.field = field


@dataclass(frozen=True, slots=True)
class OwnMaker:
    """A maker as a person gives it; all but the name may be empty. `years` are as written."""

    name: str
    mark: str = ""
    years: str = ""
    country: str = ""
    known_from: str = ""
    note: str = ""


class WrittenMaker(NamedTuple):
    """The file, the name of the entry in it, the entry as written, and what was done.

    `done` is `added`, `extended` (a mark or what was not told before) or `known` (nothing was
    written); `beside` names a maker of the other rules that bears the same name.
    """

    file: Path
    entry: str
    text: str
    done: str = "added"
    beside: str = ""


def add_maker(base: KnowledgeBase, maker: OwnMaker, folder: Path | None = None) -> WrittenMaker:
    """Write a maker into the person's own rules, or what is new of it into the entry it has there.

    `folder` is the personal folder where left out. Raises OwnMakerProblem where something is
    missing, too long, not a year, against what stands there, or would not be good rules; then
    nothing is changed.
    """
    with _writing:
        return _add_to(_file(folder), base, maker)


def _add_to(file: Path, base: KnowledgeBase, maker: OwnMaker) -> WrittenMaker:
    before = _text(file)
    there = _of_title(before, maker.name)
    if there is not None:
        name = _names(there.group())[0]
        text = _extended(there.group(), maker)
        if text == there.group():
            return WrittenMaker(file, name, text, "known")
        # At the end of the file, where what was written last is looked for.
        _put(file, f"{before[: there.start()].rstrip()}\n{before[there.end() :]}\n{text}")
        return WrittenMaker(file, name, text, "extended")
    name = _free_name(base, before, maker.name)
    text = _entry(name, maker)
    _put(file, (before or _HEAD) + "\n" + text)
    return WrittenMaker(file, name, text, "added", _namesake(base, maker.name))


def take_out_maker(name: str = "", folder: Path | None = None, mark: str = "") -> WrittenMaker:
    """Take an entry out of the person's own rules: the one of that name or title.

    Of an entry with several marks only `mark` goes where that is named, as struck. Without a name
    what was written last goes: the last mark of an entry with several, or the entry. Raises
    OwnMakerProblem where there is none.
    """
    with _writing:
        return _take_out_of(_file(folder), name, mark)


def _take_out_of(file: Path, name: str, mark: str) -> WrittenMaker:
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
    gone, left = last.group(), ""
    marks = list(_MARK.finditer(gone))
    if len(marks) > 1 and (mark or not name):
        alike = [each for each in marks if not mark or folded(_text_of(each)) == folded(mark)]
        if not alike:
            known = ", ".join(_text_of(each) for each in marks)
            raise OwnMakerProblem(f'"{mark}" is not among the marks of that entry: {known}')
        one = alike[-1]
        gone, left = one.group(), f"\n{gone[: one.start()]}{gone[one.end() :]}"
    _put(file, f"{before[: last.start()].rstrip()}\n{left}{before[last.end() :]}")
    return WrittenMaker(file, _names(last.group())[0], gone, "taken out")


def _of_title(text: str, title: str) -> re.Match[str] | None:
    """The entry of a maker of that name, whatever its case, accents and spaces."""
    wanted = folded(title)
    for each in _ENTRY.finditer(text):
        if wanted and wanted == folded(_unquoted(_names(each.group())[-1])):
            return each
    return None


def _namesake(base: KnowledgeBase, title: str) -> str:
    """The entry of a maker that bears the name already; empty where none does."""
    wanted = folded(title)
    return next(
        (
            each.name
            for each in base.makers.values()
            if wanted in (folded(each.title), *map(folded, each.also))
        ),
        "",
    )


def _extended(entry: str, maker: OwnMaker) -> str:
    """The entry with what is told of its maker and is not in it.

    Raises OwnMakerProblem where years or country are other than those that stand there.
    """
    head, text = entry.partition("\n    mark ")[0] + "\n", entry
    mark = _told("mark", maker.mark or maker.name)
    if not folded(mark):
        raise OwnMakerProblem(NO_LETTER, "mark")
    window = _window(maker.years)
    marks = list(_MARK.finditer(entry))
    same = next((each for each in marks if folded(_text_of(each)) == folded(mark)), None)
    if same is not None:
        held = _line_of("used", same.group()) or _line_of("works", head)
        if window and held and held != window:
            raise OwnMakerProblem(
                f'"{visible(maker.name)}" stands in your own rules with "{held}" for the mark '
                f'"{visible(_text_of(same))}"; take it out first, or correct the file',
                "years",
            )
        if window and not held:
            longer = same.group().rstrip("\n") + f"\n        used {window}\n"
            text = text.replace(same.group(), longer)
    else:
        source = _source(maker)
        names = {each[1] for each in marks}
        number = next(n for n in range(2, len(names) + 3) if f"own-{n}" not in names)
        lines = [f"    mark own-{number}", f'        text "{mark}"']
        if window:
            lines.append(f"        used {window}")
        text = text.rstrip("\n") + "\n" + "\n".join([*lines, f"        cite {source}", ""])
    country = _told("country", maker.country, needed=False)
    held_country = _line_of("country", head)
    if country and held_country and held_country != f'"{country}"':
        raise OwnMakerProblem(
            f'"{visible(maker.name)}" stands in your own rules with the country {held_country}; '
            "take it out first, or correct the file",
            "country",
        )
    for line, value in (("country", f'"{country}"' if country else ""), ("works", window)):
        if value and not _line_of(line, head) and (line == "country" or same is not None):
            text = text.replace("\n", f"\n    {line} {value}\n", 1)
    return _wider(text, window)


def _wider(entry: str, window: str) -> str:
    """The entry with the maker's years reaching over those of a mark, where both have two ends."""
    works = re.search(r"^    works +mostly (\d{4})(?: to (\d{4}))?$", entry, re.MULTILINE)
    years = re.fullmatch(r"mostly (\d{4})(?: to (\d{4}))?", window)
    if works is None or years is None:
        return entry
    held = [int(each) for each in works.groups() if each]
    ends = [*held, *(int(each) for each in years.groups() if each)]
    if min(ends) == min(held) and max(ends) == max(held):
        return entry
    return entry.replace(works.group(), f"    works mostly {min(ends)} to {max(ends)}")


def _line_of(word: str, entry: str) -> str:
    """What stands after a word at the start of a line; empty where no line begins so."""
    found = re.search(rf"^[ \t]+{word}[ \t]+(.*\S)[ \t]*$", entry, re.MULTILINE)
    return found[1] if found else ""


def _text_of(mark: re.Match[str]) -> str:
    return _unquoted(_line_of("text", mark.group())[1:-1])


def _unquoted(text: str) -> str:
    return re.sub(r"\\(.)", r"\1", text)


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
    title = _told("name", maker.name)
    mark = _told("mark", maker.mark or maker.name)
    if not folded(mark):
        raise OwnMakerProblem(NO_LETTER, "mark")
    source = _source(maker)
    window = _window(maker.years)
    lines = [f"maker {name}", f'    title "{title}"']
    if maker.country.strip():
        lines.append(f'    country "{_told("country", maker.country)}"')
    if window:
        lines.append(f"    works {window}")
    if maker.note.strip():
        lines.append(f'    note "{_told("note", maker.note)}"')
    lines += [f"    cite {source}", "    mark own", f'        text "{mark}"']
    if window:
        lines.append(f"        used {window}")
    return "\n".join([*lines, f"        cite {source}", ""])


def _source(maker: OwnMaker) -> str:
    known = _told("known_from", maker.known_from, needed=False)
    return f'from-memory "{known}"' if known else "from-memory"


_CALLED = {
    "name": "the maker's name",
    "mark": "the mark",
    "country": "the country",
    "known_from": "where it is known from",
    "note": "the note",
}


def _told(field: str, text: str, needed: bool = True) -> str:
    """The text on one line without hidden characters, with quotes and backslashes escaped."""
    shown, what = visible(text), _CALLED[field]
    if needed and not shown:
        raise OwnMakerProblem(f"{what} is missing", field)
    if len(shown) > LONGEST:
        told = f"{what} has {len(shown)} characters; at most {LONGEST} are kept"
        raise OwnMakerProblem(told, field)
    return shown.replace("\\", "\\\\").replace('"', '\\"')


def _window(years: str) -> str:
    """The years as a window with soft ends: a person's own figure is circa.

    Raises OwnMakerProblem where they are none, or have not come yet.
    """
    text = visible(years).strip()
    if not text:
        return ""
    span = written_span(text)
    if span is None:
        raise OwnMakerProblem(
            f'"{text}" is not understood as years; write 1950-1970, 1950s, c. 1950, from 1950 or '
            "until 1970",
            "years",
        )
    first, last = span
    now = datetime.date.today().year
    # The end of the decade that we are in is told by its name, `2020s`.
    of_now = now - now % 10 + 9
    ahead = next((each for each in span if each is not None and each > now and each != of_now), 0)
    if ahead:
        raise OwnMakerProblem(f'"{text}": {ahead} has not come yet', "years")
    if first is None or last is None:
        return f"mostly {first} onward" if first is not None else f"mostly until {last}"
    if first > last:
        raise OwnMakerProblem(f'"{text}": the first year comes after the last', "years")
    return f"mostly {first} to {last}" if first < last else f"mostly {first}"


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
