"""`Short` is a size before a thing, and behind a number of things tells that so many are gone."""

from __future__ import annotations

import pytest
from notes_base import shipped


def _faults(note: str) -> list[str]:
    return [
        each.value
        for each in shipped(note).observations
        if each.feature == "fault" and each.state == "seen"
    ]


@pytest.mark.parametrize(
    "note",
    [
        "short bead necklace",
        "short beads, red glass",
        "short pearl necklace",
        "earrings, three short drops",
        "two short chains",
        "earrings, one short drop and one long",
    ],
)
def test_short_before_a_thing_is_its_size(note: str) -> None:
    assert not _faults(note)


@pytest.mark.parametrize(
    "note",
    [
        "bracelet, 2 stones short",
        "brooch, short of a stone",
        "brooch, short one stone",
        "necklace, two beads short",
        "necklace, a few beads short",
        "brooch with rhinestones, two short",
        "necklace of pearls, short by one",
    ],
)
def test_so_many_short_are_gone(note: str) -> None:
    assert _faults(note) == ["missing-stones"]


@pytest.mark.parametrize(
    ("note", "fault"),
    [
        ("ring, stone still in but loose", "loose-stones"),
        ("ring, stone present but wobbles", "loose-stones"),
        ("brooch, clasp still on but loose", "sprung-catch"),
    ],
)
def test_damage_alone_behind_but_is_of_the_thing_before(note: str, fault: str) -> None:
    assert _faults(note) == [fault]
