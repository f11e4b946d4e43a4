"""The date curve as drawn, against the numbers it is drawn from."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from shipped_base import shipped_reader

from markrules.inference.chances import percent
from markrules.reading.reader import Request
from markrules.telling.words import shown, years
from markrules.web.drawing import YearsDrawn, curve_of, strip_of, ticks_of

NOTES = (
    "",
    "brooch",
    "brooch, C catch, tube hinge",
    "silver name brooch, lion passant, anchor, date letter a",
    "brooch, cast back, laser mark 925",
    "earrings, screw backs, marked AUSTRIA",
)


def points(path: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", path)]


@pytest.mark.parametrize("note", NOTES)
def test_the_area_in_the_band_is_the_probability(note: str) -> None:
    """The drawn share of area over the range equals the posterior mass that the reading tells."""
    date = shipped_reader().read(Request(note=note, next_looks=0)).date
    curve = curve_of(shipped_reader().read(Request(note=note, next_looks=0)))
    line = points(curve.line)
    heights = {int(x - 0.5) + curve.span.first: 100 - y for x, y in line if x % 1 == 0.5}
    whole = sum(heights.values())
    inside = sum(h for year, h in heights.items() if date.range.first <= year <= date.range.last)

    assert inside / whole == pytest.approx(date.range.mass, abs=0.02)


@pytest.mark.parametrize("note", NOTES)
def test_everything_lies_within_the_drawing(note: str) -> None:
    curve = curve_of(shipped_reader().read(Request(note=note, next_looks=0)))

    for path in (curve.outline, curve.line, *(each.outline for each in curve.strips)):
        for x, y in points(path):
            assert 0 <= x <= curve.span.years
            assert 0 <= y <= 100
    for band in curve.bands:
        assert band.x >= 0
        assert band.x + band.width <= 100.01


@pytest.mark.parametrize("note", NOTES)
def test_years_under_the_curve_do_not_run_into_each_other(note: str) -> None:
    """Six labels of four figures fit 300 px: the least distance is 12% of the width, 36 px."""
    curve = curve_of(shipped_reader().read(Request(note=note, next_looks=0)))

    assert 2 <= len(curve.ticks) <= 7
    assert all(later.x - earlier.x >= 12 for earlier, later in pairwise(curve.ticks))


def test_a_ghost_is_drawn_to_the_same_scale() -> None:
    reader = shipped_reader()
    now = reader.read(Request(note="brooch, rollover catch", next_looks=0))

    curve = curve_of(now, now.date)

    assert curve.ghost == curve.line


def test_a_strip_steps_where_its_table_does() -> None:
    table = [0.0] * 10 + [1.0] * 10 + [0.5] * 10

    outline = points(strip_of(table, 1900, YearsDrawn(1900, 1929)))

    assert outline == [
        (0, 100),
        (0, 100),
        (0, 100),
        (10, 100),
        (10, 0),
        (20, 0),
        (20, 50),
        (30, 50),
        (30, 100),
    ]


def test_places_across_are_percentages() -> None:
    span = YearsDrawn(1900, 1999)

    assert span.start(1900) == 0
    assert span.start(1950) == 50
    assert span.middle(1900) == 0.5
    assert span.start(2050) == 100
    assert [each.year for each in ticks_of(span)] == [1900, 1920, 1940, 1960, 1980]


def test_words_for_years_and_chances() -> None:
    assert years(1911, 1938) == "1911–1938"
    assert years(1911, None) == "1911 or later"
    assert years(None, 1938) == "1938 or earlier"
    assert years(1925, 1925) == "1925"
    assert percent(0.0) == "under 1%"
    assert percent(1.0) == "over 99%"
    assert percent(0.806) == "81%"


def test_what_is_not_seen_is_made_visible() -> None:
    assert shown("a\x00b\u202ec\nd") == "a[U+0000]b[U+202E]c\nd"
    assert shown(None) == ""
    assert shown("Ångström") == "Ångström"


def test_the_runs_of_a_set_are_bands_of_their_own_and_told_in_words() -> None:
    reading = shipped_reader().read(
        Request(note="silver brooch, Birmingham hallmark, date letter G")
    )
    runs = reading.date.years
    assert len(runs) > 1
    drawn = curve_of(reading)
    assert [(band.first, band.last) for band in drawn.bands] == [(r.first, r.last) for r in runs]
    for run in runs:
        assert f"from {run.first} to {run.last}" in drawn.words
