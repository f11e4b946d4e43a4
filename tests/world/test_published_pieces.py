"""Readings of real pieces described in published sources, against the years those state.

The pieces are read through `read --batch` as a user would, and only their type and what was
seen is given. The figures are printed; run with `-s` to see them.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from command import markrules
from published import cases_file, published_cases, question, score
from shipped_base import shipped_base

from markrules.reading.reader import Reader

FILE = cases_file()
pytestmark = pytest.mark.skipif(
    FILE is None, reason="no file of published pieces: set MARKRULES_CASES to one"
)


@pytest.fixture(scope="module")
def cases() -> list[dict[str, Any]]:
    assert FILE is not None
    return published_cases(FILE)


@pytest.fixture(scope="module")
def readings(
    cases: list[dict[str, Any]], tmp_path_factory: pytest.TempPathFactory
) -> list[dict[str, Any]]:
    file: Path = tmp_path_factory.mktemp("cases") / "questions.jsonl"
    file.write_text("\n".join(json.dumps(question(case)) for case in cases))
    done = markrules("read", "--batch", str(file))
    assert done.returncode == 0, done.stderr
    return [json.loads(line) for line in done.stdout.splitlines()]


def test_every_piece_is_answered_in_order(
    cases: list[dict[str, Any]], readings: list[dict[str, Any]]
) -> None:
    assert [each["id"] for each in readings] == [case["id"] for case in cases]


def test_ranges_hold_published_years_as_often_as_they_say(
    cases: list[dict[str, Any]], readings: list[dict[str, Any]]
) -> None:
    found = score(cases, readings)
    print(
        f"\n{found.dated} dated pieces: midpoint inside the 80% range for"
        f" {found.share_inside:.0%}, median width {found.median_width:g} years,"
        f" median distance {found.median_distance:g} years"
    )

    assert 0.72 <= found.share_inside <= 0.90
    assert found.median_width <= 30


def test_makers_stated_are_often_the_first_choice(
    cases: list[dict[str, Any]], readings: list[dict[str, Any]]
) -> None:
    """Of pieces whose stated maker stands in the rules and that bear a mark, the share where it
    is the first of the makers listed (the unlisted maker stands apart).
    """
    base = shipped_base()
    asked = right = 0
    for case, reading in zip(cases, readings, strict=True):
        listed = {
            maker.name
            for maker in base.makers.values()
            if f" {_short(maker.title)} " in f" {case['stated_maker'].casefold()} "
        }
        marked = any(each["feature"] == "mark" for each in reading["observations"])
        if not listed or not marked or "maker" not in case["score_on"]:
            continue
        asked += 1
        known = [each["maker"] for each in reading["makers"] if each["maker"]]
        right += bool(known) and known[0] in listed
    print(f"\nmaker first of all in {right} of {asked} pieces whose maker the rules know")

    assert asked
    assert right / asked >= 0.5


def test_nine_words_in_ten_are_understood(cases: list[dict[str, Any]]) -> None:
    base = shipped_base()
    reader = Reader(base, last_year=2026)
    total = understood = 0
    for case in cases:
        said = reader.understand(", ".join([case["piece_type"], *case["observations"]]))
        total += said.words_total
        understood += said.words_understood
    print(f"\n{understood / total:.1%} of {total} words understood")

    assert understood / total >= 0.9


def _short(title: str) -> str:
    """The name that a published text would use: the title up to a comma, bracket or ampersand."""
    return re.split(r", | & | \(", title, maxsplit=1)[0].strip().casefold()
