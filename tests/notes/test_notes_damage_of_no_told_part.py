"""A word of damage that finds no thing is never lost, and sound words beside it stay sound."""

from __future__ import annotations

import pytest
from notes_base import shipped


def faults(note: str) -> set[str]:
    """The faults seen that a note tells of."""
    return {
        each.value
        for each in shipped(note).observations
        if each.feature == "fault" and each.state == "seen"
    }


@pytest.mark.parametrize(
    ("note", "told"),
    [
        ("brooch with rhinestones, hair compartment empty", {"missing-part"}),
        ("mourning brooch, seed pearls, hair compt empty", {"missing-part"}),
        ("brooch, clear rhinestones, burn mark on the lucite", {"state-not-understood"}),
        ("bracelet, scorch mark on the celluloid", {"state-not-understood"}),
        ("bracelet, loose", {"loose-part"}),
        ("bracelet, coins, one missing, others dull", {"missing-stones", "discolored"}),
        ("ring, cloudy", {"discolored"}),
        ("brooch, star a bit loose", {"loose-part"}),
        ("rhinestone brooch, daisy dull", {"discolored"}),
    ],
)
def test_damage_of_no_told_part_is_told(note: str, told: set[str]) -> None:
    assert faults(note) & told, note


@pytest.mark.parametrize(
    "note",
    [
        "brooch, the flower shakes when you move it",
        "tie bar, slide on type, sprung",
        "locket, heart shaped, empty",
        "compact, empty",
        "brooch, wants a new home",
        "brooch, needs a new owner",
        "bangle, odd",
        "pendant, opal doublet, 9ct, modern",
        "bracelet, new",
        "brooch. I've had it since I was a girl",
        "gold brooch with a twisted edge",
        "brooch marked on the pin, star shaped stamp",
        "earrings, hand hammered, hammer marks all over",
        "brooch, stones glued",
        "ring set with a single garnet",
    ],
)
def test_sound_words_gain_no_fault(note: str) -> None:
    assert not faults(note), note


def test_what_is_pictured_and_harmed_is_still_pictured() -> None:
    told = {(each.feature, each.value) for each in shipped("brooch, star a bit loose").observations}
    assert ("motif", "celestial") in told


@pytest.mark.parametrize(
    ("note", "told"),
    [
        ("brooch with rhinestones, damaged", "broken"),
        ("rhinestone brooch, rollover catch, damaged", "broken"),
        ("brooch, rhinestones, worn", "general-wear"),
        ("silver brooch, C catch, well worn", "general-wear"),
        ("brooch with rhinestones, for parts or repair", "broken"),
    ],
)
def test_harm_told_alone_behind_a_comma_is_of_the_whole_piece(note: str, told: str) -> None:
    assert faults(note) == {told}


def test_what_only_a_part_can_be_is_still_said_of_the_part_before() -> None:
    assert faults("brooch, two rhinestones, both missing") == {"missing-stones"}
    assert faults("brooch, the stone, which is original, is loose") == {"loose-stones"}
