"""Letters and construction settle each other: one joint reading. The two makers are made up."""

from __future__ import annotations

import pytest

from markrules.knowledge.loading import load
from markrules.knowledge.places import shipped_rules
from markrules.reading.reader import Reader, Request

MADE_UP = """
maker alderton
    title "Alderton & Sons"
    works from 1895, mostly 1898 to 1912, until 1915
    cite  common-practice
    mark block
        text "ALDERTON"
        cite common-practice

maker aldersea
    title "Aldersea Jewels"
    works from 1955, mostly 1958 to 1975, until 1980
    cite  common-practice
    mark block
        text "ALDERSEA"
        cite common-practice
"""


@pytest.fixture(scope="module")
def reader(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    folder = tmp_path_factory.mktemp("rules")
    (folder / "made-up.rules").write_text(MADE_UP)
    base, problems = load([shipped_rules(), folder], cache_folder=None)
    assert [each for each in problems if each.severity == "error"] == []
    return Reader(base, last_year=2025)


def makers(reader: Reader, note: str) -> dict[str, float]:
    reading = reader.read(Request(note=note, marks=("ALDER...",), next_looks=0))
    return {each.maker: each.probability for each in reading.makers}


def test_a_half_read_mark_alone_leaves_two_makers_open(reader: Reader) -> None:
    found = makers(reader, "brooch")

    assert found["alderton"] == pytest.approx(found["aldersea"], rel=0.1)


def test_an_old_catch_and_hinge_decide_for_the_older_maker(reader: Reader) -> None:
    found = makers(reader, "brooch, open c catch, tube hinge")

    assert found["alderton"] > 8 * found["aldersea"]


def test_a_late_catch_and_coating_decide_for_the_younger_maker(reader: Reader) -> None:
    found = makers(reader, "brooch, safety catch, aurora borealis stones")

    assert found["aldersea"] > 8 * found["alderton"]
