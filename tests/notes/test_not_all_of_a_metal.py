"""Words beside a fineness in a note: known ones take the metal away, others make it a guess."""

from __future__ import annotations

import pytest
from shipped_base import shipped_reader

from markrules.inference.reading import Reading
from markrules.reading.reader import Request


def read(note: str) -> Reading:
    return shipped_reader().read(Request(note=note, next_looks=0))


def surely_gold(note: str) -> bool:
    return any(
        each.feature == "metal" and each.value.startswith("gold") and each.certainty == "sure"
        for each in read(note).observations
    )


@pytest.mark.parametrize(
    "words",
    [
        "14K gold sandwich",
        "18k gold skin",
        "10k gold face",
        "14k gold facing",
        "14k crust",
        "14K shelled",
        "14kt micro plated",
        "18 kt heavy layered",
        "585 doublé",
        "14 kt Walzgold",
        "golddouble 585",
        "585 auf 925",
        "oro laminado 14k",
        "chapado oro 18k",
        "baño de oro 18k",
        "placcato oro 18k",
        "14K 1/40 R.G.P.",
        "gold plate 14k 1/40",
        "14K gold trim",
        "B & F 9ct",
        "14k zorbed",
    ],
)
def test_a_fineness_with_such_a_word_is_no_solid_gold(words: str) -> None:
    assert not surely_gold(f"ring, {words}")
    claims = [
        metal.how
        for reader in (shipped_reader(),)
        for metal in reader.metals(read(f"ring, marked {words}").observations)
        if metal.mark.startswith(("karat", "carat", "gold-"))
    ]
    assert "solid" not in claims


@pytest.mark.parametrize("words", ["14k gold", "18K", "14k gold ring, zorbed stones", "9ct gold"])
def test_one_by_itself_is_gold_as_before(words: str) -> None:
    assert surely_gold(f"ring, {words}")
