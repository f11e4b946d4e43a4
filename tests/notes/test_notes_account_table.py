"""All that is understood of some five hundred short notes over a little invented base.

`little/notes.txt` holds each note and, below it, what is understood of it: observations with
number, certainty, words and what was assumed, texts on the piece, and what became of every word
(`little_base.lines` tells how to read it). Each line was read and judged when it was written. After
a change that is meant, `MARKRULES_REWRITE=1 pytest tests/notes/test_notes_account_table.py` writes
the table anew; look at each difference before it is kept.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from little_base import told

TABLE = Path(__file__).parent / "little" / "notes.txt"


def _blocks() -> list[tuple[str, list[str]]]:
    blocks: list[tuple[str, list[str]]] = []
    for line in TABLE.read_text(encoding="utf-8").splitlines():
        if line.startswith("    "):
            blocks[-1][1].append(line[4:])
        else:
            blocks.append((line.encode().decode("unicode_escape") if "\\" in line else line, []))
    return blocks


BLOCKS = _blocks()


@pytest.mark.parametrize(("note", "expected"), BLOCKS, ids=[note for note, _ in BLOCKS])
def test_all_that_is_understood_of_a_note(note: str, expected: list[str]) -> None:
    if os.environ.get("MARKRULES_REWRITE"):
        return
    assert told(note) == expected


def test_the_table_is_written_anew_where_that_is_asked_for() -> None:
    assert len(BLOCKS) > 400
    assert len({note for note, _ in BLOCKS}) == len(BLOCKS)
    if os.environ.get("MARKRULES_REWRITE"):
        shown = (
            note.replace("\\", "\\\\").replace("\t", "\\t").replace("\n", "\\n")
            for note, _ in BLOCKS
        )
        parts = (
            "\n".join([line, *(f"    {each}" for each in told(note))])
            for line, (note, _) in zip(shown, BLOCKS, strict=True)
        )
        TABLE.write_text("\n".join(parts) + "\n", encoding="utf-8")
