"""The time of a note grows with its length and no faster."""

from __future__ import annotations

import scoring
from growth import seconds, within
from notes_base import shipped_vocabulary
from together import every_case

from markrules.notes.understanding import LONGEST_NOTE, understand

LENGTH = LONGEST_NOTE // 2
CORPUS = " ".join(case["text"] for case in scoring.cases("notes", "open"))


def _seconds(note: str, times: int) -> float:
    vocabulary = shipped_vocabulary()

    def act() -> None:
        vocabulary.segments.clear()
        vocabulary.corrections.clear()
        understand(vocabulary, note)

    return seconds(act, times)


@every_case(
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
    _seconds(short, 1)  # gathers words that are met for the first time

    assert within(lambda: _seconds(long, 1), lambda: _seconds(short, 2))
