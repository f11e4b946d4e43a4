"""All that is understood of some thousand short notes over a little invented base.

`little/notes.txt` holds each note and, below it, what is understood of it: observations with
number, certainty, words and what was assumed, texts on the piece, and what became of every word
(`little_base.lines` tells how to read it). The program wrote the lines and people read many of
them: they show what changes, and prove no sense that is tested nowhere else. After a change that
is meant, `MARKRULES_REWRITE=1 pytest tests/notes/test_notes_account_table.py` writes the table
anew; look at each difference before it is kept.
"""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

from little_base import little_vocabulary, told
from together import every_case
from written_tables import blocks_of

from markrules.notes.understanding import understand

TABLE = Path(__file__).parent / "little" / "notes.txt"


FAMILIES = TABLE.with_name("families.txt")
"""The same for notes made by crossing: a text with all that may lead to it and follow it, a number
with the places where it may stand."""
BLOCKS = blocks_of(TABLE)
CROSSED = blocks_of(FAMILIES)

STANDS_ALONE = frozenset(
    (
        *("by Flurbe", "by W H Novak"),  # names a maker at the beginning or behind a piece
        *("not good", "not good condition", "not in good condition"),  # alone, a grade of the piece
        *("Austria maybe", "maybe Austria"),  # alone, a text on the piece
        "set: brooch, hook clasp, screw",  # at the beginning, a list of pieces
        "rubbed FLURB",  # alone, said of the mark
        "Rhinstone",  # within a segment a capital shows a name, and no slip of the pen
        # with four words more, a stretch so long that its things need not belong together
        "catch flurb flurb flurb flurb flurb flurb flurb newer",
        "broken catch missing stones",  # a clause that begins with no thing takes the nearer one
        # where nothing else is said, that so many are gone is said of what is counted
        *("2 of them missing", "missing 2", "2 missing", "several missing", "two missing"),
        *("1 missing, 2 replaced", "2 replaced and 1 missing"),
        *("stamped", "stamped brooch"),  # tells of a mark where nothing else is said
        "#1912",  # alone, a text on the piece
        # a colon behind the first word of damage begins a list
        "missing: stone, stem, lid, dangle, catch, plating, clasp, stones",
    )
)
"""Notes that a word before them changes, with the reason."""


TOGETHER = 40
"""Blocks of the table in one test: each by itself costs less than a test does."""
GROUPS = [
    blocks[at : at + TOGETHER]
    for blocks in (BLOCKS, CROSSED)
    for at in range(0, len(blocks), TOGETHER)
]


@every_case("blocks", GROUPS, ids=[blocks[0][0] for blocks in GROUPS])
def test_all_that_is_understood_of_a_note(blocks: list[tuple[str, list[str]]]) -> None:
    if os.environ.get("MARKRULES_REWRITE"):
        return
    for note, expected in blocks:
        assert (note, told(note)) == (note, expected)


MEASURED = ("length", "width", "depth", "stated-condition", "mark-position")
"""What is told of the whole where nothing else stands before it, and of a part of it else."""


def _said(note: str) -> tuple[str, list[str], list[str]]:
    said = understand(little_vocabulary(), note)
    seen = [
        replace(each, words="") for each in said.observations if (each.feature, each.value) != RED
    ]
    return said.piece_type, list(map(str, seen)), [f"{each}" for each in said.marks]


RED = ("colour", "red")


def test_a_colour_told_first_changes_nothing_of_what_follows() -> None:
    """Whatever is found by place is found as well four words on."""
    differing = []
    tried = 0
    for note, expected in BLOCKS:
        heads = {line.split()[1].partition("=")[0] for line in expected if line.startswith("= ")}
        if (
            not heads.isdisjoint(MEASURED)
            or note.isupper()
            or "red" in note.casefold()
            or note in STANDS_ALONE
        ):
            continue
        tried += 1
        if _said(f"a very nice red {note}") != _said(note):
            differing.append(note)
    assert differing == []
    assert tried > 600


def test_the_tables_are_written_anew_where_that_is_asked_for() -> None:
    assert (len(BLOCKS) > 400, len(CROSSED) > 250) == (True, True)
    for table, blocks in ((TABLE, BLOCKS), (FAMILIES, CROSSED)):
        assert len({note for note, _ in blocks}) == len(blocks)
        if os.environ.get("MARKRULES_REWRITE"):
            shown = (
                note.replace("\\", "\\\\").replace("\t", "\\t").replace("\n", "\\n")
                for note, _ in blocks
            )
            parts = (
                "\n".join([line, *(f"    {each}" for each in told(note))])
                for line, (note, _) in zip(shown, blocks, strict=True)
            )
            table.write_text("\n".join(parts) + "\n", encoding="utf-8")
