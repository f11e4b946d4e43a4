"""Spare stones put into the tin: one, or many out of a table or of pasted lines."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from markrules.appraisal.colours import Lab, lab_of_srgb
from markrules.appraisal.shades import stone_colour
from markrules.appraisal.stone import FEATURES, Stone, measured, plain, value_named
from markrules.catalogue.brought_tables import encoding_of, rows_of
from markrules.catalogue.problems import CatalogueProblem, FileTrouble, why
from markrules.catalogue.records import SpareStone
from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.language.nearest import nearest
from markrules.plain_files import read_plain

HEADINGS = {
    "shape": ("shape", "outline", "form"),
    "size": ("size", "size mm", "mm", "measure"),
    "colour": ("colour", "color", "shade"),
    "cut": ("cut",),
    "back": ("back", "backing", "foil"),
    "count": ("count", "number", "quantity", "qty", "pieces", "pcs", "how many"),
    "note": ("note", "notes", "remarks"),
}
MOST_LINES = 5_000
LARGEST_TEXT = 1_000_000
"""Bytes of a file of pasted lines."""
MOST_STONES = 1_000_000
_COUNT = re.compile(r"(\d{1,7})\s*(?:x|×|pcs|pieces|stones)?\s+(?=\D)", re.IGNORECASE | re.ASCII)
_COUNT_LAST = re.compile(
    r"(?:(?:^|[\s,;])(?:qty|count|quantity)\s*[:.=]?\s*(?P<said>\d{1,7})"
    r"|[,;]\s*[x×]\s*(?P<times>\d{1,7})"
    r"|(?:^|[\s,;])(?P<pieces>\d{1,7})\s*(?:pcs?|pieces?|stones?))\.?\s*$",
    re.IGNORECASE | re.ASCII,
)
"""How many, at the end of a line: `14 pcs`, `qty 14`, `, x14`."""
_TEXTS = ("", ".txt", ".text", ".md")
"""Endings of files that hold lines as they are pasted, and no table."""
_SIZE = re.compile(
    r"\b\d{1,3}(?:[.,]\d+)?\s*(?:mm)?\s*[x×*]\s*\d{1,3}(?:[.,]\d+)?(?:\s*mm)?\b"
    r"|\b\d{1,3}(?:[.,]\d+)?\s*mm\b|\b[a-z]{2}\s?\d{1,3}\b",
    re.IGNORECASE | re.ASCII,
)
"""A size within a line without commas: two sides, millimetres, or a code."""
_TIMES_LAST = re.compile(
    r"(?:[a-z)]|\d\s*[x×*]\s*\d{1,3}(?:[.,]\d+)?(?:\s*mm)?)(?P<cut>\s+[x×]\s*(?P<count>\d{1,7}))\s*$",
    re.IGNORECASE | re.ASCII,
)
_IN_BRACKETS = re.compile(
    r"(?P<cut>\s*\(\s*[x×]?\s*(?P<count>\d{1,7})\s*(?:pcs?|pieces?|stones?)?\s*\))\s*$",
    re.IGNORECASE | re.ASCII,
)
"""How many, behind words or two sides, `14x10 x3`, and in brackets, `(6)`."""
_TOLD = ("shape", "cut", "back")
_SAMPLED = re.compile(r"#([0-9a-fA-F]{2})([0-9a-fA-F]{2})([0-9a-fA-F]{2})")


@dataclass(frozen=True, slots=True)
class Stocked:
    """The stones of a table or text, each with its line, and the lines that tell none, with why."""

    stones: tuple[tuple[int, SpareStone], ...]
    errors: tuple[tuple[int, str], ...]


def sampled_colour(text: str) -> Lab | None:
    """The colour that `#rrggbb` tells; None for anything else."""
    match = _SAMPLED.fullmatch(text.strip())
    if match is None:
        return None
    red, green, blue = (int(each, 16) for each in match.groups())
    return lab_of_srgb(red, green, blue)


def stone_told(base: KnowledgeBase, text: str, lab: Lab | None = None) -> Stone:
    """Shape, size, cut, back and colour from words with commas, by what the rules know.

    A colour may be a word, or sampled: `#rrggbb`. `lab` is one that was sampled elsewhere.
    """
    found: dict[str, Any] = {"lab": lab}
    for part in (each.strip() for each in text.split(",")):
        size = measured(base, part) if part else None
        colour = sampled_colour(part)
        if size is not None:
            found["size_mm"], found["across_mm"] = size.long, size.across
        elif colour is not None:
            found["lab"] = colour
        elif part:
            name = next((n for n in _TOLD if value_named(base, FEATURES[n], part)), "colour")
            found.setdefault(name, part)
    return Stone(**found)


def kept_size(base: KnowledgeBase, text: str) -> tuple[float | None, str]:
    """How a size is kept: as millimetres, or as the code or two sides that were written.

    Raises CatalogueProblem for what is no size.
    """
    if not text.strip():
        return None, ""
    found = measured(base, text)
    if found is None:
        raise CatalogueProblem(
            f'"{text[:40]}" is no size: write millimetres (4 mm, 10x5 mm) or a code (SS16, PP24)'
        )
    if found.across is not None:
        return None, found.words
    least, most = found.long
    return (least, "") if least == most else (None, text.strip().upper())


def known_shape(base: KnowledgeBase, text: str) -> str:
    """A shape as it was told, where the rules know a word of it: `oval cabochon`, `long octagon`.

    Raises CatalogueProblem, with the shape that may have been meant, for any other.
    """
    names = _shapes(base)
    words = plain(text).split()
    if not words or plain(text) in names or any(_one_shape(names, each) for each in words):
        return text
    near = nearest(plain(text), sorted(names), _LIKE_A_SLIP)
    meant = f'; was "{near}" meant?' if near else "."
    raise CatalogueProblem(
        f'"{text[:40]}" is no shape that the rules know{meant} Of another shape tell size and'
        " colour, and the shape in the note"
    )


def _one_shape(names: AbstractSet[str], word: str) -> bool:
    return word in names or word.removesuffix("s") in names


_LIKE_A_SLIP = 75
"""Per cent by which a word is like one that was slipped from: less is another word."""


@lru_cache(maxsize=4)
def _shapes(base: KnowledgeBase) -> frozenset[str]:
    """All words for the outlines and cuts of stones, and for shapes of loose ones, plain."""
    features = (base.features.get(FEATURES[each]) for each in ("shape", "cut"))
    return frozenset(map(plain, base.words_of("stone-shape"))) | frozenset(
        plain(words)
        for feature in features
        if feature is not None
        for value in feature.values
        for words in (value.name, *value.also)
    )


def new_to_the_tin(held: Iterable[SpareStone], found: Stocked) -> Stocked:
    """The same stones but for those of a line that the tin has already, word for word: told as
    errors, since a list is easily brought in twice.
    """
    there = {replace(each, id=0): each.id for each in reversed(tuple(held))}
    stones: list[tuple[int, SpareStone]] = []
    errors = list(found.errors)
    for line, stone in found.stones:
        if stone in there:
            errors.append(
                (
                    line,
                    f"the tin has the same as stone {there[stone]}: leave the line out, or say that"
                    " it is more of the same (--again; on the page, a tick)",
                )
            )
        else:
            stones.append((line, stone))
    return Stocked(tuple(stones), tuple(sorted(errors)))


def stones_in_table(base: KnowledgeBase, file: Path) -> Stocked:
    """The stones of a file, a kind a line: CSV, XLSX or JSON Lines, or a text of lines as pasted.

    Raises FileTrouble where it cannot be read, CatalogueProblem where it is no table.
    """
    if file.suffix.casefold() in _TEXTS:
        return stones_in_text(base, _text(file))
    stones: list[tuple[int, SpareStone]] = []
    errors: list[tuple[int, str]] = []
    for row in rows_of(file):
        try:
            if row.error:
                raise CatalogueProblem(row.error)
            stones.append((row.line, _stone(base, _cells(row.cells))))
        except CatalogueProblem as problem:
            errors.append((row.line, str(problem)))
    return Stocked(tuple(stones), tuple(errors))


def _text(file: Path) -> str:
    try:
        data = read_plain(file, LARGEST_TEXT)
        return data.decode(encoding_of(file), "replace")
    except OSError as error:
        raise FileTrouble(f"{file}: {why(error)}") from None


def stones_in_text(base: KnowledgeBase, text: str) -> Stocked:
    """The stones of pasted lines such as `12 x navette, 10x5 mm, red, foil`; empty lines pass."""
    stones: list[tuple[int, SpareStone]] = []
    errors: list[tuple[int, str]] = []
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        if number > MOST_LINES:
            errors.append((number, f"{MOST_LINES:,} lines at most are taken"))
            break
        try:
            stones.append((number, _stone(base, _told(base, line))))
        except CatalogueProblem as problem:
            errors.append((number, str(problem)))
    return Stocked(tuple(stones), tuple(errors))


def _cells(cells: Mapping[str, str]) -> dict[str, str]:
    by_heading = {" ".join(heading.casefold().split()): text for heading, text in cells.items()}
    return {
        what: next((by_heading[each] for each in names if by_heading.get(each)), "")
        for what, names in HEADINGS.items()
    }


def _told(base: KnowledgeBase, line: str) -> dict[str, str]:
    """What the parts of a line are, by what the rules know; a bare number is the count, the first
    that nothing knows is a shape where none was told, another one the colour, and the rest goes
    into the note.

    Raises CatalogueProblem where nothing of it is known, and no count is told either.
    """
    text = line.strip()
    found: dict[str, str] = {}
    count = _COUNT.match(text)
    if count is not None and measured(base, text.split(",")[0]) is None:
        found["count"], text = count[1], text[count.end() :]
    elif (last := _COUNT_LAST.search(text)) is not None:
        found["count"], text = next(filter(None, last.groups())), text[: last.start()]
    elif (last := _TIMES_LAST.search(text) or _IN_BRACKETS.search(text)) is not None:
        found["count"], text = last["count"], text[: last.start("cut")]
    rest: list[str] = []
    apart = _SIZE.sub(lambda size: f", {size[0]}, ", text)
    parts = [each.strip() for each in re.split(r",(?!\d)|[;\t]", apart)]
    for part in (each for whole in parts if whole for each in _known_parts(base, whole)):
        what = "size" if measured(base, part) is not None else _what(base, part)
        if what == "cut" and "shape" not in found:
            what = "shape"  # a navette, a baguette: the cut tells the shape as well
        if what and what not in found:
            found[what] = part
        elif "count" not in found and part.isascii() and part.isdecimal():
            found["count"] = part  # a number that is no size says how many there are
        else:
            rest.append(part)
    if not found and rest:
        raise CatalogueProblem(
            "nothing here is known of a stone; write such as 12 x navette, 10x5 mm, red, foil"
        )
    for what in ("shape", "colour"):
        if what not in found and rest:
            found[what] = rest.pop(0)
    if rest:
        found["note"] = ", ".join(rest)
    return found


def _known_parts(base: KnowledgeBase, part: str) -> list[str]:
    """What the words of a part say, one by one, where the rules know them all: `light siam foil`
    is a colour and a back. Otherwise the part as it stands.
    """
    words = part.split()
    if len(words) > _MOST_WORDS or _known(base, part):
        return [part]
    found: list[str] = []
    first = 0
    while first < len(words):
        ends = range(len(words), first, -1)
        end = next((each for each in ends if _known(base, " ".join(words[first:each]))), 0)
        if not end:
            return [part]
        found.append(" ".join(words[first:end]))
        first = end
    return found


_MOST_WORDS = 12


def _known(base: KnowledgeBase, part: str) -> bool:
    return measured(base, part) is not None or bool(_what(base, part))


def _what(base: KnowledgeBase, part: str) -> str:
    named = next((each for each in _TOLD if value_named(base, FEATURES[each], part)), "")
    if named:
        return named
    called = stone_colour(base, part)
    return "colour" if called.shade or called.colour or called.coat else ""


def _stone(base: KnowledgeBase, told: Mapping[str, str]) -> SpareStone:
    if not any(told.get(each) for each in ("shape", "size", "colour")):
        raise CatalogueProblem("neither shape nor size nor colour is told")
    count = told.get("count", "") or "1"
    if not re.fullmatch(r"[0-9]{1,7}", count) or not 0 < int(count) <= MOST_STONES:
        raise CatalogueProblem(f'count is "{count[:40]}"; write a whole number from 1')
    exact, code = kept_size(base, told.get("size", ""))
    return SpareStone(
        0,
        known_shape(base, told.get("shape", "")),
        exact,
        code,
        told.get("colour", ""),
        None,
        told.get("cut", ""),
        told.get("back", ""),
        int(count),
        None,
        told.get("note", ""),
    )
