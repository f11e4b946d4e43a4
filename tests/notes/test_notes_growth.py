"""The time of a note grows with its length and no faster."""

from __future__ import annotations

import time

import pytest
import scoring
from notes_base import shipped_vocabulary

from markrules.notes.understanding import LONGEST_NOTE, understand

LENGTH = LONGEST_NOTE // 2
CORPUS = " ".join(case["text"] for case in scoring.cases("notes", "open"))


def _seconds(note: str) -> float:
    vocabulary = shipped_vocabulary()
    best = float("inf")
    for _ in range(2):
        vocabulary.segments.clear()
        vocabulary.corrections.clear()
        before = time.process_time()
        understand(vocabulary, note)
        best = min(best, time.process_time() - before)
    return best


@pytest.mark.parametrize(
    "unit",
    [
        CORPUS + ", ",
        CORPUS.replace(",", "").replace(".", "") + " ",
        "missing stone ",
        "cracked and ",
        "no ",
        "'a' ",
        "12 x 3 ",
        "marked A B C ",
        "zorp ",
        "?",
    ],
    ids=lambda unit: unit[:12],
)
def test_twice_the_length_takes_about_twice_the_time(unit: str) -> None:
    short, long = ((unit * (size // len(unit) + 1))[:size] for size in (LENGTH, 2 * LENGTH))
    _seconds(short)  # gathers words that are met for the first time

    assert _seconds(long) < 3.2 * _seconds(short) + 0.02
