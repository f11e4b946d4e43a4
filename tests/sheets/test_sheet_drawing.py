"""The drawing is well-formed SVG of its own, and its places are the years it speaks of."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

from sheets_notes import NOTES
from together import every_case

from markrules.inference.reading import DateRange
from markrules.sheets.drawing import CURVE, LABELS, RIGHT, WIDTH, Scale, date_drawing
from markrules.telling.years_shown import years_shown

SVG = "{http://www.w3.org/2000/svg}"


@every_case("note", NOTES)
def test_it_is_svg_without_script_or_outside_parts(make_matter, note: str) -> None:
    root = ElementTree.fromstring(date_drawing(make_matter(note).reading))
    tags = {each.tag.removeprefix(SVG) for each in root.iter()}
    known = {"svg", "title", "desc", "defs", "pattern", "style", "path", "rect", "text"}
    assert tags <= known
    assert not any("http" in value for each in root.iter() for value in each.attrib.values())


def test_names_and_years_stand_beside_every_row(make_matter) -> None:
    """Nothing is told by colour alone (WCAG 2.2, 1.4.1)."""
    reading = make_matter(NOTES[0]).reading
    texts = [
        each.text or "" for each in ElementTree.fromstring(date_drawing(reading)).iter(f"{SVG}text")
    ]
    for clue in reading.clues[:5]:
        assert any(
            clue.clue.replace("-", " ").startswith(text.rstrip("…")) for text in texts if text
        )
    assert any(str(reading.date.range.first) in text for text in texts)


def test_greys_alone_would_do(make_matter) -> None:
    """Every ink is dark on the paper: a contrast of 4.5 for text (WCAG 2.2, 1.4.3)."""
    drawing = date_drawing(make_matter(NOTES[0]).reading)
    for colour in set(re.findall(r"fill:(#[0-9a-f]{6})", drawing)) - {"#e9e3d4"}:
        assert _contrast(colour) >= 4.5


def _contrast(colour: str) -> float:
    """Contrast with white by the formula of WCAG 2.2 (relative luminance)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    luminance = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    return 1.05 / (luminance + 0.05)


def test_the_peak_stands_over_the_likeliest_year(make_matter) -> None:
    reading = make_matter(NOTES[0]).reading
    root = ElementTree.fromstring(date_drawing(reading))
    path = next(
        e.attrib["d"] for e in root.iter(f"{SVG}path") if e.attrib.get("class") == "d-curve"
    )
    points = [tuple(map(float, pair.split())) for pair in path[1:-1].split(" L")]
    highest = min(y for _, y in points)
    at = next(x for x, y in points if y == highest)
    first, last = years_shown(reading)
    scale = Scale(first, last, LABELS, WIDTH - LABELS - RIGHT)
    assert scale.x(reading.date.likeliest) <= at <= scale.x(reading.date.likeliest + 1)


def curve_points(root: ElementTree.Element) -> list[tuple[float, float]]:
    """The corners of the curve, without the two at its foot."""
    path = next(
        e.attrib["d"] for e in root.iter(f"{SVG}path") if e.attrib.get("class") == "d-curve"
    )
    return [tuple(map(float, pair.split())) for pair in path[1:-1].split(" L")][1:-1]


def test_no_evidence_is_drawn_as_a_curve_without_rows_of_clues(make_matter) -> None:
    reading = make_matter("brooch").reading
    root = ElementTree.fromstring(date_drawing(reading))
    heights = {y for _, y in curve_points(root)}

    assert not reading.clues
    assert len(heights) > 10  # the years of brooches in general are no flat line
    assert float(root.attrib["viewBox"].split()[3]) == CURVE + 44 + 6  # no row below the range


def test_one_year_alone_is_drawn_as_one_peak_over_it(make_matter) -> None:
    reading = make_matter("brooch").reading
    at = 100
    one = [0.0] * len(reading.date.curve)
    one[at] = 1.0
    year = reading.date.first_year + at
    date = replace(
        reading.date, curve=tuple(one), likeliest=year, median=year, range=DateRange(year, year, 1)
    )
    single = replace(reading, date=date)
    root = ElementTree.fromstring(date_drawing(single))
    first, last = years_shown(single)
    scale = Scale(first, last, LABELS, WIDTH - LABELS - RIGHT)
    points = curve_points(root)
    peak = [x for x, y in points if y == min(y for _, y in points)]

    assert peak == [scale.x(year + 0.5)]
    assert {y for _, y in points} == {CURVE, 16}  # the foot, and the full height
    assert root.find(f"{SVG}title").text == f"When it was made: {year}"


def test_a_window_with_gaps_is_written_within_the_picture(make_matter) -> None:
    drawn = date_drawing(make_matter("watch chain, hallmarked, lion, anchor, letter p").reading)
    assert "(gaps)" in drawn
    assert not re.findall(r"<text[^>]*>[^<]*but not", drawn)
