"""Stone sizes against a small chart made up for these tests."""

from __future__ import annotations

from engine_numbers import setting_entries
from hypothesis import given
from hypothesis import strategies as st
from together import every_case

from markrules.appraisal.stone_sizes import nearest_sizes, stone_size
from markrules.knowledge.base import KnowledgeBase
from markrules.language.spans import Named
from markrules.language.tree import Register, Row

BASE = KnowledgeBase(
    "made up",
    settings=setting_entries(),
    registers={
        "round": Register(
            "round",
            "round",
            "size",
            rows=(
                Row("SS4", low_mm=1.5, high_mm=1.7),
                Row("SS5", low_mm=1.7, high_mm=1.9),
                Row("SS9", low_mm=2.5, high_mm=2.7, trust=Named("weak"), note="from memory"),
                Row("SS13.5", low_mm=3.3, high_mm=3.4),
            ),
        )
    },
)


@every_case("code", ["SS4", "ss4", "4ss", "SS 4", "4 SS", "ss-4"])
def test_code_is_read_in_many_spellings(code: str) -> None:
    size = stone_size(BASE, code)
    assert size is not None
    assert (size.code, size.low_mm, size.high_mm, size.sure) == ("SS4", 1.5, 1.7, True)


def test_row_from_memory_is_not_sure() -> None:
    size = stone_size(BASE, "SS9")
    assert size is not None
    assert (size.sure, size.note) == (False, "from memory")


@every_case("code", ["", "SS", "SS99", "5.5", "SS4" * 1000])
def test_unknown_code_gives_nothing(code: str) -> None:
    assert stone_size(BASE, code) is None


def test_measure_inside_comes_before_measure_near() -> None:
    found = nearest_sizes(BASE, 1.72)
    assert [(size.code, size.off_mm) for size in found] == [("SS5", 0.0), ("SS4", 0.02)]


def test_without_a_near_size_the_nearest_is_given() -> None:
    (only,) = nearest_sizes(BASE, 2.2)
    assert (only.code, only.off_mm) == ("SS5", 0.3) or (only.code, only.off_mm) == ("SS9", 0.3)


@every_case("size_mm", [0, -1, float("nan"), float("inf")])
def test_measure_that_is_none_gives_nothing(size_mm: float) -> None:
    assert nearest_sizes(BASE, size_mm) == ()


@given(st.floats(0.01, 50), st.floats(0, 2))
def test_what_is_found_is_never_farther_than_what_is_left(size_mm: float, near_mm: float) -> None:
    found = nearest_sizes(BASE, size_mm, near_mm)
    assert found
    assert [size.off_mm for size in found] == sorted(size.off_mm for size in found)
