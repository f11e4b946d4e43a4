"""Lines of a person's own table that a box holds already: a table is easily entered twice."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

from markrules.catalogue.records import Piece
from markrules.tasks.importing import Imported, TableEntry

MOST_BY_CHANCE = 0.5
"""The share of lines that read as pieces of the box do by chance: `ring` stands in many boxes. From
this share on the table, or an older state of it, was entered before.
"""


def new_to_the_box(held: Iterable[Piece], imported: Imported) -> Imported:
    """The same lines, those that the box has word for word as errors, where they are half of all
    or more; each piece of the box stands for one line, also one that was sold or left since, but
    none whose entry was taken back.
    """
    there: dict[tuple[str, str, str], list[Piece]] = {}
    for piece in held:
        if " undone " in piece.gone:
            continue
        there.setdefault((piece.title, piece.note, piece.told), []).append(piece)
    of_lines = Counter(
        _key(entry)
        for _, entry in imported.entries
        if any(_may_be(each, entry) for each in there.get(_key(entry), ()))
    )
    twice = sum(min(count, len(there.get(key, ()))) for key, count in of_lines.items())
    if not twice or twice < MOST_BY_CHANCE * len(imported.entries):
        return imported
    kept: list[tuple[int, TableEntry]] = []
    errors = list(imported.errors)
    for line, entry in imported.entries:
        held_so = there.get(_key(entry), [])
        same = next((each for each in held_so if _may_be(each, entry)), None)
        if same is not None:
            held_so.remove(same)
            errors.append(
                (
                    line,
                    f"the box has the same as piece {same.number}: leave the line out, or say"
                    " that it is another such piece (--again; on the page, a tick)",
                )
            )
        else:
            kept.append((line, entry))
    return replace(imported, entries=tuple(kept), errors=tuple(sorted(errors)))


def _may_be(piece: Piece, entry: TableEntry) -> bool:
    """Whether a line may be that piece: two numbers of the owner's are two pieces."""
    said = (piece.own_number, entry.piece.own_number)
    return not all(said) or said[0].casefold() == said[1].casefold()


def _key(entry: TableEntry) -> tuple[str, str, str]:
    return entry.piece.title, entry.piece.note, entry.piece.told
