"""The page's style and scripts are whole: what a browser would pass over without a word."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import markrules.web

STATIC = Path(markrules.web.__file__).parent / "static"
FILES = sorted([*STATIC.glob("*.css"), *STATIC.glob("*.js")])


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_nothing_of_two_hands_is_left_in_it(path: Path) -> None:
    lines = path.read_text(encoding="utf-8").splitlines()

    assert [line for line in lines if re.match(r"(<{7}|={7}|>{7})", line)] == []


@pytest.mark.parametrize("path", sorted(STATIC.glob("*.css")), ids=lambda path: path.name)
def test_every_block_of_the_style_is_closed(path: Path) -> None:
    text = re.sub(r'/\*.*?\*/|"[^"\n]*"|\'[^\'\n]*\'', "", path.read_text("utf-8"), flags=re.S)

    depth = 0
    for mark in re.findall(r"[{}]", text):
        depth += 1 if mark == "{" else -1
        assert 0 <= depth <= 3
    assert depth == 0
