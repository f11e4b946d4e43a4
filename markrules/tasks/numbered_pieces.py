"""A note that numbers several pieces, `1. brooch, gilt  2. ring, 925`: each is read by itself."""

from __future__ import annotations

import re
from collections.abc import Iterator

from markrules.notes.vocabulary import SEVERAL_PIECES
from markrules.reading.reader import Reader

MOST_NUMBERED = 99
LONGEST_HEADING = 60
"""Letters before the first number: a heading of the list. A longer text tells of a piece."""
_NUMBER = re.compile(r"(?:^|(?<=[\s:;,]))[#(]?(\d{1,2})[.):](?=\s+\S)", re.MULTILINE)
_WORD = re.compile(r"\w+")


def numbered_pieces(reader: Reader, note: str) -> tuple[str, ...]:
    """The notes of the pieces that a note numbers from 1 on; empty where it tells of one.

    Each must begin with a kind of piece. Where a heading, or a part that speaks of `the` piece or
    says how it is, tells that one piece is described point by point, it is one.
    """
    places = list(_in_order(note))
    if len(places) < 2:
        return ()
    heading = note[: places[0].start()].strip()
    if len(heading) > LONGEST_HEADING or (heading and _tells_of_one(reader, note, heading)):
        return ()
    ends = [*(each.start() for each in places[1:]), len(note)]
    parts = tuple(
        note[each.end() : end].strip(" \t\r\n;,") for each, end in zip(places, ends, strict=True)
    )
    return parts if all(_is_a_piece(reader, each) for each in parts) else ()


def told_of_several(count: int) -> str:
    """What is said where a note was taken for several pieces, and how it is one after all."""
    return (
        f"These look like {count} pieces, and each is read by itself. If they are the points of"
        " one piece, leave the numbers out."
    )


def _tells_of_one(reader: Reader, note: str, heading: str) -> bool:
    """Whether the words before the first number name a piece, or a set of which all are."""
    if reader.understand(heading).piece_type:
        return True
    if not set(SEVERAL_PIECES).isdisjoint(_WORD.findall(heading.casefold())):
        return True
    kind = reader.understand(note).piece_type
    return bool(kind) and not set(SEVERAL_PIECES).isdisjoint((kind, *reader.base.broader(kind)))


def _in_order(note: str) -> Iterator[re.Match[str]]:
    """The numbers of a list, from 1 on, one by one."""
    wanted = 1
    for found in _NUMBER.finditer(note):
        if int(found[1]) == wanted and wanted <= MOST_NUMBERED:
            wanted += 1
            yield found


def _is_a_piece(reader: Reader, part: str) -> bool:
    """Whether a part tells of a piece of its own, and not of `the` piece or how one is."""
    understood = reader.understand(part)
    if not understood.piece_type or understood.type_by_part:
        return False
    kind = next((each for each in understood.account if each.piece), None)
    named = kind.words.casefold() if kind is not None else ""
    before, _, after = part.casefold().partition(named) if named else ("", "", part.casefold())
    definite, being = (frozenset(reader.base.words_of(role)) for role in ("definite", "being"))
    behind = _WORD.search(after)
    opens_so = not definite.isdisjoint(_WORD.findall(before))
    return not opens_so and (behind is None or behind[0] not in being)
