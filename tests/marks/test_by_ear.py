"""Names written as they are heard, against the same number of letters exchanged by chance."""

from __future__ import annotations

import math

import pytest
from shipped_base import shipped_base

from markrules.marks.likelihood import log_likelihood
from markrules.marks.reading_syntax import parse
from markrules.marks.search import build_small
from markrules.marks.wear import compiled, rates_in_full, wear_model, worn_rates


def in_full(read: str, struck: str) -> float:
    base = shipped_base()
    model = wear_model(base).with_rates(rates_in_full(base, worn_rates(base)))
    return log_likelihood(compiled(model, parse(read).cells), struck)


@pytest.mark.parametrize(
    ("heard", "other"),
    [("KASTLEMARK", "TASTLEMARK"), ("CASTLEMERK", "CASTLEMTRK"), ("CASTTLEMARK", "CASTBLEMARK")],
)
def test_a_letter_that_sounds_alike_is_likelier_than_another(heard: str, other: str) -> None:
    assert in_full(heard, "CASTLEMARK") > in_full(other, "CASTLEMARK") + math.log(5)


def test_what_is_written_by_ear_is_far_less_likely_than_the_name_itself() -> None:
    assert in_full("CASTLEMARK", "CASTLEMARK") > in_full("CASTLEMERK", "CASTLEMARK") + math.log(100)


def test_a_double_is_lost_more_often_than_it_is_put_in() -> None:
    assert in_full("NOVEL", "NOVELL") > in_full("NOVELL", "NOVEL") + math.log(3)


def test_the_chances_of_what_a_letter_is_read_as_sum_to_one() -> None:
    base = shipped_base()
    model = wear_model(base).with_rates(rates_in_full(base, worn_rates(base)))
    for struck in "AEHKLMSX":
        assert sum(model.read_as(struck).values()) == pytest.approx(1)
        assert model.read_as(struck)[struck] > 0.99


@pytest.mark.parametrize("text", ["CRAMERTON", "MONAHAN", "TRIPP", "KRAMAN"])
def test_a_name_of_its_own_is_not_taken_for_one_heard_alike(text: str) -> None:
    assert build_small(shipped_base()).listed_chance(text) < 0.5
