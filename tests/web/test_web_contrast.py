"""Colours against WCAG 2.2, success criteria 1.4.3 and 1.4.11, with its own formula.

Relative luminance and contrast ratio: https://www.w3.org/TR/WCAG22/#dfn-relative-luminance
and #dfn-contrast-ratio.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import markrules.web

STYLE = (Path(markrules.web.__file__).parent / "static" / "bench.css").read_text()


def themes() -> dict[str, dict[str, str]]:
    roots = re.findall(r":root \{(.*?)\}", STYLE, re.DOTALL)
    light = dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", roots[0]))
    dark = dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", roots[1]))
    return {"light": light, "dark": {**light, **dark}}


def luminance(code: str) -> float:
    parts = [int(code[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_formula_gives_the_known_ratios() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize(
    ("letters", "ground"),
    [
        ("ink", "paper"),
        ("ink", "card"),
        ("ink", "tint"),
        ("soft", "paper"),
        ("soft", "card"),
        ("deep", "paper"),
        ("deep", "card"),
        ("deep", "tint"),
        ("on-deep", "deep"),
        ("warn", "warn-tint"),
        ("warn", "card"),
        ("gold", "card"),
        ("paper", "ink"),
    ],
)
def test_letters_can_be_read(theme: str, letters: str, ground: str) -> None:
    colours = themes()[theme]

    assert contrast(colours[letters], colours[ground]) >= 4.5


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize(
    ("line", "ground"), [("edge", "card"), ("edge", "paper"), ("deep", "card"), ("area", "band")]
)
def test_borders_and_lines_can_be_seen(theme: str, line: str, ground: str) -> None:
    colours = themes()[theme]

    assert contrast(colours[line], colours[ground]) >= 3
