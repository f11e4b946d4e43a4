"""The drawings: well-formed, harmless, told in words, and named as the rules name things.

What an SVG file may hold is checked against SVG 2 (W3C, https://www.w3.org/TR/SVG2/): the
namespace, `viewBox` and `title` of chapters 5 and 8, and the parts that its "secure static
mode" (chapter 2) forbids: scripts, and references to anything outside the file.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw
from shipped_base import shipped_base
from together import every_case

from markrules.telling.drawings import available, drawing

SOURCES = Path(__file__).parents[2] / "tools" / "drawings"
SVG = "{http://www.w3.org/2000/svg}"
LARGEST_BYTES = 6000
FEWEST = 445
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
    "chain-link",
    "necklace-form",
    "bracelet-form",
    "earring-form",
    "ring-form",
    "hallmark-office",
    "date-letter-shield",
    "pearl",
    "hair-fitting",
    "button-back",
    "stringing",
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
    ("chain-link", "rope-chain", "serpentine-chain"),
    ("bracelet-form", "hinged-bangle", "clamper"),
    ("earring-form", "hoop-form", "huggie-form"),
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


@every_case("feature", MOST_ASKED)
def test_the_most_asked_features_are_drawn(feature: str) -> None:
    """Most values that can be seen: at least half, and never a single one alone."""
    values = [each.name for each in shipped_base().features[feature].values]
    drawn = [value for value in values if drawing(feature, value) is not None]
    assert len(drawn) >= max(2, len(values) / 2)


@every_case(("feature", "one", "other"), TOLD_APART)
def test_what_is_easily_confused_has_two_drawings(feature: str, one: str, other: str) -> None:
    first, second = drawing(feature, one), drawing(feature, other)
    assert first is not None
    assert second is not None
    assert first != second


def test_unknown_names_have_no_drawing() -> None:
    assert drawing("catch", "no-such-value") is None
    assert drawing("no-such-feature", "rollover") is None
    assert drawing("catch", "../__init__.py") is None


def amiss(holds: Callable[[str], None]) -> list[str]:
    """The drawings of which something does not hold, with what it is."""
    found = []
    for name in NAMES:
        try:
            holds(name)
        except AssertionError as error:
            found.append(f"{name}: {error}")
    return found


def test_a_drawing_is_one_harmless_picture_with_a_title() -> None:
    assert amiss(harmless_with_a_title) == []


def harmless_with_a_title(name: str) -> None:
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


def test_the_lines_of_a_drawing_lie_within_its_frame() -> None:
    assert amiss(within_its_frame) == []


def within_its_frame(name: str) -> None:
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


SCALE = 0.5  # pixels a unit: 120 by 80, about the size at which answers stand on a phone
LEAST_APART = 0.08


def test_no_two_drawings_look_alike() -> None:
    """Compared as pixels: the ink that differs, as a share of the ink of both together."""
    seen = np.stack([painted(text_of(name)) for name in NAMES])
    total = seen.sum(axis=1)
    alike = []
    for at, name in enumerate(NAMES[:-1]):
        apart = np.abs(seen[at + 1 :] - seen[at]).sum(axis=1) / (total[at + 1 :] + total[at])
        alike += [(name, NAMES[at + 1 + i]) for i in np.flatnonzero(apart < LEAST_APART)]
    assert not alike
    assert (total > 100).all(), "a drawing with next to nothing in it"


def test_a_drawing_would_be_found_to_look_like_itself() -> None:
    """The measure is not blind: the same drawing is alike, another one is not."""
    text = text_of(available()["catch", "rollover"])
    one, other = painted(text), painted(text_of(available()["catch", "trombone"]))
    assert np.abs(one - painted(text)).sum() == 0
    assert np.abs(one - other).sum() / (one.sum() + other.sum()) > LEAST_APART


def painted(text: str) -> np.ndarray:
    """How dark each pixel is, painted with Pillow from the paths: an independent renderer."""
    image = Image.new("F", (240, 160), 0)
    for path in ET.fromstring(text).iter(f"{SVG}path"):
        lines = runs(path.get("d", ""))
        if path.get("fill") == "currentColor":
            layer = Image.new("1", image.size, 0)
            for line in lines:
                mask = Image.new("1", image.size, 0)
                if len(line) > 2:
                    ImageDraw.Draw(mask).polygon(line, fill=1)
                layer = Image.fromarray(np.asarray(layer) ^ np.asarray(mask))
            shade = float(path.get("fill-opacity", "1"))
            image.paste(shade, mask=layer)
        if path.get("stroke") != "none" and path.get("stroke-width"):
            width = round(float(path.get("stroke-width", "1")))
            for line in lines:
                ImageDraw.Draw(image).line(line, fill=1.0, width=width)
    small = image.resize((round(240 * SCALE), round(160 * SCALE)), Image.Resampling.BOX)
    return np.asarray(small, dtype=np.float32).ravel()


def runs(path: str) -> list[list[tuple[float, float]]]:
    """The lines of a path of M, l, a and z commands; an arc of half a turn or less in steps."""
    found: list[list[tuple[float, float]]] = []
    for command, rest in re.findall(r"([Mlaz])([^Mlaz]*)", path):
        numbers = [float(each) for each in re.findall(r"-?(?:\d+\.?\d*|\.\d+)", rest)]
        if command == "M":
            found.append([(numbers[0], numbers[1])])
        elif command == "z":
            found[-1].append(found[-1][0])
        elif command == "l":
            for dx, dy in zip(numbers[::2], numbers[1::2], strict=True):
                x, y = found[-1][-1]
                found[-1].append((x + dx, y + dy))
        else:
            for at in range(0, len(numbers), 7):
                rx, ry, _, _, sweep, dx, dy = numbers[at : at + 7]
                found[-1] += half_oval(found[-1][-1], (dx, dy), (rx, ry), bool(sweep))
    return found


def half_oval(
    start: tuple[float, float], step: tuple[float, float], radii: tuple[float, float], sweep: bool
) -> list[tuple[float, float]]:
    """Twelve points of half an oval, the only arcs that the drawings use (level or upright)."""
    x, y = start[0] + step[0] / 2, start[1] + step[1] / 2
    first = np.arctan2(-step[1] / radii[1], -step[0] / radii[0])
    turns = first + (np.pi if sweep else -np.pi) * np.arange(1, 13) / 12
    return [
        (float(x + radii[0] * np.cos(turn)), float(y + radii[1] * np.sin(turn))) for turn in turns
    ]


def test_no_question_shows_one_picture_for_two_answers() -> None:
    shown = [(feature, name) for (feature, _), name in available().items()]
    assert len(set(shown)) == len(shown)


def test_what_is_drawn_from_a_source_has_the_words_of_its_source() -> None:
    """The `.draw` files and the drawings made of them have not drifted apart."""
    told = {}
    for path in sorted(SOURCES.glob("*.draw")):
        for key, name, title in re.findall(
            r"^drawing (\S+) (\S+)\n(?:  also \S+\n)*  title (.+)$",
            path.read_text(encoding="utf-8"),
            re.MULTILINE,
        ):
            feature, _, value = key.partition("/")
            assert available()[feature, value] == f"{name}.svg"
            assert key not in told
            told[key] = title
            assert f"<title>{title}</title>" in text_of(f"{name}.svg")
    assert len(told) > 60
