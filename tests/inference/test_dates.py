"""Years in words and in the extended date-time format, checked by an independent parser."""

from __future__ import annotations

import pytest
from engine_numbers import engine_settings
from hypothesis import given
from hypothesis import strategies as st
from inference_building import window
from together import every_case

from markrules.inference.dates import edtf, window_words
from markrules.inference.years import resolve

GRID = range(1750, 2027)


@every_case(
    ("first", "last", "limits", "expected"),
    [
        (1925, 1941, (None, None), "1925~/1941~"),
        (1925, 1941, (1925, 1941), "1925/1941"),
        (1911, 1935, (1911, 1960), "1911/1935~"),
        (1750, 1790, (None, None), "1750~/1790~"),
        (1995, 2026, (1995, None), "1995/2026"),
        (1750, 2026, (None, None), "1750~/2026"),
        (1942, 1942, (None, None), "1942~"),
        (1942, 1942, (1942, None), "1942"),
        (2026, 2026, (None, None), "2026~"),
    ],
)
def test_ranges_as_edtf(first, last, limits, expected) -> None:
    assert edtf(first, last, GRID, *limits) == expected


@given(
    st.tuples(st.integers(1750, 2026), st.integers(1750, 2026)).map(sorted),
    st.booleans(),
    st.booleans(),
)
def test_an_independent_parser_reads_the_same_years(ends, hard_start, hard_end) -> None:
    # The `edtf` package implements the Library of Congress specification of EDTF.
    parser = pytest.importorskip("edtf", reason="needs the edtf package")
    first, last = ends
    text = edtf(first, last, GRID, first if hard_start else None, last if hard_end else None)
    if text == "1750~/2026":  # says nothing at all, and the parser refuses it
        return

    read = parser.parse_edtf(text)

    open_start, open_end = text.startswith("../"), text.endswith("/..")
    assert str(read) == text
    assert (
        (read.lower_strict() == float("-inf"))
        if open_start
        else (read.lower_strict().tm_year == first)
    )
    assert (
        (read.upper_strict() == float("inf")) if open_end else (read.upper_strict().tm_year == last)
    )


@every_case(
    ("made", "words"),
    [
        (window(1911), "1911 or later"),
        (window(1911, 1925), "1911 or later"),
        (window(None, None, None, 1905), "1905 or earlier"),
        (window(None, 1925, 1941), "about 1925 to 1941"),
        (window(1911, 1925, 1941), "1911 to about 1941"),
        (window(None, 1950, 1950), "about 1950"),
        (window(), "any year"),
    ],
)
def test_windows_in_words(made, words) -> None:
    assert window_words(resolve(made, GRID, engine_settings())) == words
