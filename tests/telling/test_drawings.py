"""The drawings: well-formed, harmless, told in words, and named as the rules name things.

What an SVG file may hold is checked against SVG 2 (W3C, https://www.w3.org/TR/SVG2/): the
namespace, `viewBox` and `title` of chapters 5 and 8, and the parts that its "secure static
mode" (chapter 2) forbids: scripts, and references to anything outside the file.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from importlib.resources import files
from pathlib import Path

import pytest
from shipped_base import shipped_base

from markrules.telling.drawings import available, drawing

RULES = Path(__file__).parents[2] / "rules"
SVG = "{http://www.w3.org/2000/svg}"
LARGEST_BYTES = 6000
FEWEST = 48
ELEMENTS = {f"{SVG}{name}" for name in ("svg", "title", "path")}
ATTRIBUTES = {
    "viewBox",
    "role",
    "class",
    "fill",
    "fill-opacity",
    "fill-rule",
    "stroke",
    "stroke-width",
    "stroke-dasharray",
    "stroke-linecap",
    "stroke-linejoin",
    "d",
}
PAINTS = {"currentColor", "none"}
# What a beginner has in hand most often: brooches, earrings, chains, cuff links, stones, a mark.
MOST_ASKED = (
    "catch",
    "hinge",
    "pin-stem",
    "clip-mechanism",
    "earring-back",
    "clasp",
    "cufflink-back",
    "setting",
    "stone-back",
    "stone-cut",
    "mark-method",
)
TOLD_APART = (
    ("catch", "rollover", "trombone"),
    ("catch", "c-catch", "rollover"),
    ("hinge", "tube-hinge", "ball-hinge"),
    ("pin-stem", "extended-pin", "stem-within-edge"),
    ("earring-back", "screw-back", "spring-clip"),
    ("earring-back", "kidney-wire", "lever-back"),
    ("clasp", "bolt-ring", "lobster-clasp"),
    ("stone-back", "open-back", "closed-back"),
    ("stone-cut", "rose-cut", "modern-brilliant"),
    ("mark-method", "struck-mark", "cast-mark"),
)


def text_of(name: str) -> str:
    return files("markrules.telling.drawings").joinpath(name).read_text(encoding="utf-8")


NAMES = sorted(set(available().values()))


def test_every_entry_names_a_value_of_the_rules() -> None:
    features = shipped_base().features
    strange = [
        f"{feature}/{value}"
        for feature, value in available()
        if feature not in features or value not in {each.name for each in features[feature].values}
    ]
    assert not strange


def test_every_file_is_named_and_every_name_is_a_file() -> None:
    there = {each.name for each in files("markrules.telling.drawings").iterdir()}
    assert {name for name in there if name.endswith(".svg")} == set(NAMES)


def test_there_are_enough_and_no_two_are_the_same_picture() -> None:
    pictures = {re.sub(r"<title>.*?</title>", "", text_of(name)) for name in NAMES}
    assert len(pictures) == len(NAMES) >= FEWEST


@pytest.mark.parametrize("feature", MOST_ASKED)
def test_the_most_asked_features_are_drawn(feature: str) -> None:
    """Most values that can be seen: at least half, and never a single one alone."""
    values = [each.name for each in shipped_base().features[feature].values]
    drawn = [value for value in values if drawing(feature, value) is not None]
    assert len(drawn) >= max(2, len(values) / 2)


@pytest.mark.parametrize(("feature", "one", "other"), TOLD_APART)
def test_what_is_easily_confused_has_two_drawings(feature: str, one: str, other: str) -> None:
    first, second = drawing(feature, one), drawing(feature, other)
    assert first is not None
    assert second is not None
    assert first != second


def test_unknown_names_have_no_drawing() -> None:
    assert drawing("catch", "no-such-value") is None
    assert drawing("no-such-feature", "rollover") is None
    assert drawing("catch", "../__init__.py") is None


@pytest.mark.parametrize("name", NAMES)
def test_a_drawing_is_one_harmless_picture_with_a_title(name: str) -> None:
    text = text_of(name)
    root = ET.fromstring(text)
    assert root.tag == f"{SVG}svg"
    assert root.get("viewBox") == "0 0 240 160"
    assert root.get("role") == "img"
    assert len(text.encode()) <= LARGEST_BYTES
    assert "currentColor" in text
    assert "<!" not in text
    title = root[0]
    assert title.tag == f"{SVG}title"
    words = (title.text or "").split()
    assert 3 <= len(words) <= 40
    for element in root.iter():
        assert element.tag in ELEMENTS
        assert set(element.keys()) <= ATTRIBUTES
        for paint in ("fill", "stroke"):
            assert element.get(paint, "none") in PAINTS
    assert not re.search(r"url\s*\(|href|javascript|data:", text, re.IGNORECASE)


@pytest.mark.parametrize("name", NAMES)
def test_the_lines_of_a_drawing_lie_within_its_frame(name: str) -> None:
    """Every point of every path; control points do not occur, arcs end on the curve."""
    for path in ET.fromstring(text_of(name)).iter(f"{SVG}path"):
        for x, y in points(path.get("d", "")):
            assert -6 <= x <= 246
            assert -6 <= y <= 166


def points(path: str) -> list[tuple[float, float]]:
    """The points of a path of M, l, a and z commands."""
    found: list[tuple[float, float]] = []
    x = y = 0.0
    for command, rest in re.findall(r"([Mlaz])([^Mlaz]*)", path):
        numbers = [float(each) for each in re.findall(r"-?(?:\d+\.?\d*|\.\d+)", rest)]
        step = {"M": 2, "l": 2, "a": 7, "z": 1}[command]
        assert len(numbers) % step == 0
        for at in range(0, len(numbers), step):
            dx, dy = numbers[at + step - 2 : at + step]
            x, y = (dx, dy) if command == "M" else (x + dx, y + dy)
            found.append((x, y))
    return found
