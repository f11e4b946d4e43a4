"""What each kind of situation makes of the parts that it blames."""

from __future__ import annotations

import pytest
from shipped_base import shipped_base

from markrules.inference.fates import (
    EARLIER,
    LATER,
    SILENT,
    SOUND,
    Fate,
    fate_by,
    fate_of,
    is_a_mark,
)
from markrules.language.tree import DATINGS, MISLEADING_KINDS


@pytest.mark.parametrize("dates", ["designed", "patented", "registered"])
def test_a_design_is_older_than_the_piece_and_a_year_cut_in_says_nothing(dates: str) -> None:
    assert fate_by("other-year", 0.6, dates) == Fate(reuse=0.6)
    for other in {*DATINGS, ""} - {"designed", "patented", "registered"}:
        assert fate_by("other-year", 0.6, other) == Fate(misread=0.6)


def test_a_part_has_one_fate_by_each_kind() -> None:
    assert {*LATER, *EARLIER, *SILENT} <= set(MISLEADING_KINDS)
    for kind in MISLEADING_KINDS:
        fate = fate_by(kind, 0.7)
        assert sorted((fate.refit, fate.reuse, fate.misread))[:2] == [0.0, 0.0]
        assert (fate == SOUND) == (kind not in {*LATER, *EARLIER, *SILENT})


def test_a_mark_put_on_later_bounds_nothing_but_its_own_years() -> None:
    """What bears an import mark of 1974 may be older by a hundred years."""
    assert fate_by("later-mark", 0.7, "assayed") == Fate(refit=0.7)


def test_what_is_later_of_a_mark_replaced_nothing() -> None:
    base = shipped_base()
    assert is_a_mark(base, "hallmark-year")
    assert not is_a_mark(base, "catch")
    assert not is_a_mark(base, "motif")


def test_of_two_situations_the_likelier_counts() -> None:
    befallen = {"catch": Fate(refit=0.7), "hinge": Fate(refit=0.4, reuse=0.2)}

    assert fate_of(befallen, ["catch", "hinge", "pin"]) == Fate(refit=0.7, reuse=0.2)
    assert fate_of(befallen, ["pin"]) == SOUND
