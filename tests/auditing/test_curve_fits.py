"""Written curves drawn towards dated pieces: against sums by hand, and on the shipped rules."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import replace

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shipped_base import shipped_base

from markrules.auditing.curve_fits import LEAST_PIECES, curve_fits, shrunk
from markrules.auditing.dated_pieces import DatedCase
from markrules.auditing.preparing import PieceReader, Prepared, prepare

FLAT = (0.25, 0.25, 0.25, 0.25)


def pieces(years: Sequence[tuple[int, int]], sources: Sequence[str]) -> list[Prepared]:
    cases = [
        DatedCase(
            name=f"p{at}",
            question={"piece_type": "brooch", "observations": ["jelly belly brooch"]},
            piece_type="brooch",
            stated_from=first,
            stated_to=last,
            source=source,
        )
        for at, ((first, last), source) in enumerate(zip(years, sources, strict=True))
    ]
    reader = PieceReader(shipped_base(), datetime.date(2026, 1, 1).year)
    return prepare(reader, cases, lambda: None)


@given(
    st.lists(st.lists(st.floats(0, 1), min_size=4, max_size=4).filter(any), max_size=9),
    st.floats(0.5, 50),
)
def test_a_curve_is_the_mean_of_the_written_one_and_the_pieces(
    rows: list[list[float]], weight: float
) -> None:
    seen = [[each / sum(row) for each in row] for row in rows]
    found = shrunk(FLAT, seen, weight)
    stack = numpy.array([FLAT, *seen])
    expected = numpy.average(stack, axis=0, weights=[weight, *[1.0] * len(seen)])
    assert found == pytest.approx(tuple(expected), abs=1e-9)
    assert sum(found) == pytest.approx(1.0)


def test_pieces_later_than_a_curve_draw_it_on_and_pay_where_publishers_agree() -> None:
    late = pieces([(1968, 1972)] * 8, [f"s{at % 4}" for at in range(8)])
    fit = {each.clue: each for each in curve_fits(shipped_base(), late)}["jelly-belly"]
    assert (fit.pieces, fit.sources) == (8, 4)
    assert fit.shrunk[1] > fit.written[1] + 5
    assert fit.gained > 0.5


def test_pieces_of_one_publisher_or_too_few_say_nothing() -> None:
    one = pieces([(1944, 1946)] * 5, ["s"] * 5)
    assert curve_fits(shipped_base(), one) == []
    few = pieces([(1944, 1946)] * (LEAST_PIECES - 1), ["a", "b"])
    assert curve_fits(shipped_base(), few) == []


def test_years_that_were_read_off_a_piece_draw_no_curve() -> None:
    known = pieces([(1944, 1946)] * 6, ["a", "b", "c"] * 2)
    known = [replace(each, case=replace(each.case, year_known=True)) for each in known]
    assert curve_fits(shipped_base(), known) == []
