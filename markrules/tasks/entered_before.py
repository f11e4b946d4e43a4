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
    there: dict[tuple[str, str, str], list[int]] = {}
    for piece in held:
        if " undone " in piece.gone:
            continue
        there.setdefault((piece.title, piece.note, piece.told), []).append(piece.number)
    of_lines = Counter(_key(entry) for _, entry in imported.entries)
    twice = sum(min(count, len(there.get(key, ()))) for key, count in of_lines.items())
    if not twice or twice < MOST_BY_CHANCE * len(imported.entries):
        return imported
    kept: list[tuple[int, TableEntry]] = []
    errors = list(imported.errors)
    for line, entry in imported.entries:
        numbers = there.get(_key(entry), [])
        if numbers:
            errors.append(
                (
                    line,
                    f"the box has the same as piece {numbers.pop(0)}: leave the line out, or say"
                    " that it is another such piece (--again; on the page, a tick)",
                )
            )
        else:
            kept.append((line, entry))
    return replace(imported, entries=tuple(kept), errors=tuple(sorted(errors)))


def _key(entry: TableEntry) -> tuple[str, str, str]:
    return entry.piece.title, entry.piece.note, entry.piece.told
