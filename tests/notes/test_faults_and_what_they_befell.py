"""A word of a fault that holds the name of a stone, a coat or a plastic tells that besides.

A seller who writes "dark rhinestones" has told two things. Which is which is common sense of the
language, written down here apart from the rules.
"""

from __future__ import annotations

import pytest
from notes_base import lines, shipped

BOTH = (
    ("brooch, the rhinestones are dark", "fault=dead-foil", "stone-kind=rhinestone"),
    ("brooch, foil backs dark", "fault=dead-foil", "stone-back=foil-back"),
    ("necklace, beads are coming off", "fault=loose-stones", "bead=bead-unnamed"),
    ("brooch, rhinestones short", "fault=missing-stones", "stone-kind=rhinestone"),
    ("bangle, celluloid decomposing", "fault=sick-celluloid", "plastic=celluloid"),
    ("buckle, crazed galalith", "fault=crazed-casein", "plastic=casein"),
    ("bangle, bakelite darkened", "fault=darkened-phenolic", "plastic=bakelite"),
    ("brooch, some enamel popped off", "fault=chipped-enamel", "enamel=enamel-unnamed"),
    ("brooch, gold plating worn off", "fault=worn-plating", "finish=gold-plated"),
    ("spoon ring, silver plate worn", "fault=worn-plating", "finish=silver-plated"),
    ("bracelet, gold tone is worn", "fault=worn-plating", "finish=gold-tone"),
)

BENEATH = tuple(
    f"locket, 1/20 12K GF, {metal} {seen}"
    for metal in ("brass", "copper", "base metal")
    for seen in ("shows", "showing", "is visible", "peeking through", "shows through in spots")
)

STRANDS = (
    "necklace, screw clasp, one strand broken",
    "two strand necklace, hook clasp, one strand is broken",
    "necklace, box clasp, strand of pearls broken",
    "necklace, fold over clasp, the bottom strand has snapped",
)


@pytest.mark.parametrize(("note", "fault", "besides"), BOTH)
def test_a_fault_and_what_it_befell_are_both_told(note: str, fault: str, besides: str) -> None:
    told = lines(shipped(note))
    assert fault in told
    assert besides in told


@pytest.mark.parametrize("note", BENEATH)
def test_metal_that_shows_beneath_a_coat_is_wear_and_not_the_metal(note: str) -> None:
    told = lines(shipped(note))
    assert "fault=worn-plating" in told
    assert not [each for each in told if each.startswith("metal=")]


@pytest.mark.parametrize("note", STRANDS)
def test_a_strand_that_broke_is_no_fault_of_the_clasp_before_it(note: str) -> None:
    told = [each for each in lines(shipped(note)) if each.startswith("fault=")]
    assert [each.partition(":")[0] for each in told] == ["fault=brittle-string"]
