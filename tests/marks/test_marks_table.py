"""All that is made of some three hundred texts on pieces, over a little invented base.

`little/marks.txt` holds what is asked (metal, number, letter, seen, decoded, search, evidence: see
`little_base.KINDS`) and, below it, the answer. The program wrote the answers and people read many
of them: they show what changes, and prove no sense that is tested nowhere else. Probabilities
follow from rates that are compared with an independent sum over all ways in `test_search_wear.py`,
and stand here so that nothing moves them unseen. After a change that is meant,
`MARKRULES_REWRITE=1 pytest tests/marks/test_marks_table.py` writes the table anew; look at each
difference before it is kept.
"""

from __future__ import annotations

import os
from pathlib import Path

from marks_little_base import KINDS
from together import every_case
from written_tables import blocks_of

TABLE = Path(__file__).parent / "little" / "marks.txt"


def _answer(asked: str) -> list[str]:
    kind, _, text = asked.partition(" ")
    return [line.rstrip() for line in KINDS[kind](text)]


BLOCKS = blocks_of(TABLE)


TOGETHER = 40
"""Blocks of the table in one test: each by itself costs less than a test does."""
GROUPS = [BLOCKS[at : at + TOGETHER] for at in range(0, len(BLOCKS), TOGETHER)]


@every_case("blocks", GROUPS, ids=[blocks[0][0] for blocks in GROUPS])
def test_all_that_is_made_of_a_text(blocks: list[tuple[str, list[str]]]) -> None:
    if os.environ.get("MARKRULES_REWRITE"):
        return
    for asked, expected in blocks:
        assert (asked, _answer(asked)) == (asked, expected)


def test_the_table_is_written_anew_where_that_is_asked_for() -> None:
    assert len(BLOCKS) > 280
    assert len({asked for asked, _ in BLOCKS}) == len(BLOCKS)
    if os.environ.get("MARKRULES_REWRITE"):
        parts = (
            "\n".join([asked, *(f"    {each}" for each in _answer(asked))]) for asked, _ in BLOCKS
        )
        TABLE.write_text("\n".join(parts) + "\n", encoding="utf-8")
