"""Words of damage that tell how a piece was made, and damage that a stand-in or a number is of."""

from __future__ import annotations

import pytest
from notes_base import shipped
from together import every_case


def _faults(note: str) -> set[str]:
    return {
        each.value
        for each in shipped(note).observations
        if each.feature == "fault" and each.state == "seen"
    }


@every_case(
    "note",
    [
        "brooch, a broken heart design in enamel",
        "brooch, bent leaf design",
        "brooch, a cracked egg motif",
        "earrings, mismatched on purpose",
        "bracelet, loose links by design so that it drapes",
        "necklace, lacks nothing",
        "earrings, do not pull or pinch",
        "necklace, clasp does not catch on hair",
        "ring, lost for years, then found in a coat pocket",
        "brooch, would make a nice replacement for a lost one",
        "brooch. Usually found broken.",
        "brooch, I am not going to clean it",
    ],
)
def test_what_is_so_by_design_or_of_others_is_no_damage(note: str) -> None:
    assert not _faults(note)


@every_case(
    ("note", "fault"),
    [
        ("brooch, cracked design", "cracked"),
        ("brooch, stone chipped flower design", "chipped"),
        ("brooch, one leaf bent, rose motif", "bent"),
        ("watch, 15 jewels, not going", "stopped-watch"),
        ("watch pendant, glass scratched, not working", "stopped-watch"),
        ("watch, winder spins but nothing happens", "stopped-watch"),
        ("brooch, not working", "sprung-catch"),
        ("brooch, the catch slips off", ""),
        ("silver brooch marcasites 3 missing safety catch stamped sterling pin bent", "missing-st"),
    ],
)
def test_damage_beside_such_words_is_told(note: str, fault: str) -> None:
    assert any(each.startswith(fault) for each in _faults(note))


@pytest.mark.parametrize(
    "note",
    [
        "necklace, clasp replaced with a lobster",
        "necklace, screw clasp replaced by a lobster",
    ],
)
def test_what_stands_in_for_a_part_is_a_later_one(note: str) -> None:
    told = {
        (each.value, each.state) for each in shipped(note).observations if each.feature == "clasp"
    }

    assert ("lobster-clasp", "seen") not in told
    assert "replaced-clasp" in _faults(note)


def test_a_bare_word_tells_nothing_beside_one_that_tells_which() -> None:
    told = {
        each.value
        for each in shipped("brooch, black enamel, enamel chipped").observations
        if each.feature == "enamel"
    }
    guessed = {
        each.value
        for each in shipped("brooch, perhaps cloisonne, enamel chipped").observations
        if each.feature == "enamel"
    }

    assert told == {"black-enamel"}
    assert "enamel-unnamed" in guessed
