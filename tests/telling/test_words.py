"""Numbers of things, and one of them, as English has it."""

from __future__ import annotations

import pytest
from together import every_case

from markrules.telling.words import count_of, one_of


@every_case(
    ("number", "noun", "said"),
    [
        (1, "brooch", "1 brooch"),
        (2, "brooch", "2 brooches"),
        (1200, "piece", "1,200 pieces"),
        (2, "earrings", "2 earrings"),
        (3, "tie clip", "3 tie clips"),
        (2, "box", "2 boxes"),
        (2, "family", "2 families"),
        (2, "key", "2 keys"),
    ],
)
def test_how_many(number: int, noun: str, said: str) -> None:
    assert count_of(number, noun) == said


@pytest.mark.parametrize(
    ("noun", "said"),
    [("brooch", "a brooch"), ("anklet", "an anklet"), ("earrings", "earrings")],
)
def test_one_of(noun: str, said: str) -> None:
    assert one_of(noun) == said
