"""All that some fifty readings over a little invented base say, to four figures.

`little/readings.txt` holds what was seen and, below it, the reading: years, makers, clues with
their weight and fate, contradictions, what misleads, next looks. What the numbers are to be is
reckoned by other ways beside this file (`inference_brute.py`, pgmpy, numpy); they stand here so
that nothing moves them unseen. After a change that is meant, `MARKRULES_REWRITE=1 pytest
tests/inference/test_readings_table.py` writes the table anew; look at each difference before it is
kept.
"""

from __future__ import annotations

import os
from pathlib import Path

from little_readings import told
from together import every_case
from written_tables import blocks_of

TABLE = Path(__file__).parent / "little" / "readings.txt"


BLOCKS = blocks_of(TABLE)


@every_case(("asked", "expected"), BLOCKS, ids=[asked for asked, _ in BLOCKS])
def test_all_that_a_reading_says(asked: str, expected: list[str]) -> None:
    if os.environ.get("MARKRULES_REWRITE"):
        return
    assert list(told(asked)) == expected


def test_the_table_is_written_anew_where_that_is_asked_for() -> None:
    assert len({asked for asked, _ in BLOCKS}) == len(BLOCKS) > 40
    if os.environ.get("MARKRULES_REWRITE"):
        parts = (
            "\n".join([asked, *(f"    {each}" for each in told(asked))]) for asked, _ in BLOCKS
        )
        TABLE.write_text("\n".join(parts) + "\n", encoding="utf-8")
