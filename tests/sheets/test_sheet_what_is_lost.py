"""A bare word of loss on a sheet or in a listing names what is lost, and how many of them."""

from __future__ import annotations

from typing import Any

from together import every_case

from markrules.sheets.content import content
from markrules.sheets.listing import flaws_as_noted


@every_case(
    ("note", "told"),
    [
        ("rhinestone brooch, 12 blue stones, one is missing", "one of the stones missing"),
        ("brooch with five red stones, two of them are missing", "two of the stones missing"),
        ("necklace of glass beads, three are missing", "three of the glass beads missing"),
        ("brooch set with rhinestones, one has gone", "one of the rhinestones gone"),
        ("brooch, crystals, a few are missing", "a few of the crystals missing"),
        ("brooch. Red stones. One missing.", "One of the stones missing"),
        ("silver ring with marcasites, some lost", "some of the marcasites lost"),
        ("ring. One of the diamonds is missing", "One of the diamonds is missing"),
        ("brooch, one is missing", "one missing (missing stones)"),
        # What names its thing by itself stays as it was noted.
        ("brooch, two stones missing at the back", "two stones missing at the back"),
        ("brooch, the safety chain is missing", "safety chain is missing"),
        ("earrings, two rhinestones missing from the left one", "two rhinestones missing"),
        ("necklace, tarnished, clasp bent", "clasp bent"),
    ],
)
def test_what_is_lost_is_named(make_matter: Any, note: str, told: str) -> None:
    flaws = " | ".join(flaws_as_noted(make_matter(note)).values())

    assert told.casefold() in flaws.casefold()


def test_a_sheet_tells_no_bare_loss(make_matter: Any) -> None:
    (fault,) = content(make_matter("brooch, 12 blue stones, one is missing"))["seen"]["faults"]

    assert fault["say"] == "One of the stones missing."


def test_no_name_comes_along(make_matter: Any) -> None:
    words = flaws_as_noted(make_matter("brooch of Mrs Orlebar's stones, one is missing"))

    assert all("Orlebar" not in each and "orlebar" not in each for each in words.values())
