"""A stone's name that is somebody's, a metal that is a stone's colour, and a metal in a name."""

from __future__ import annotations

from notes_base import lines, shipped
from together import every_case

MATERIALS = ("gem=", "organic=", "pearl=", "metal=")


def _materials(note: str) -> list[str]:
    return [line for line in lines(shipped(note)) if line.startswith(MATERIALS)]


@every_case(
    "note",
    [
        "brooch, belonged to Ruby",
        "brooch, aunt Coral's",
        "brooch, Amber gave it to me",
        "brooch, my friend Jade",
        "brooch, a lady called Pearl on the front",
        "ring, Ruby left me this",
    ],
)
def test_a_name_of_somebody_is_no_stone(note: str) -> None:
    assert _materials(note) == []


@every_case(
    ("note", "stone"),
    [
        ("ring, set with Ruby", ["gem=ruby"]),
        ("Ruby ring", ["gem=ruby"]),
        ("ring, ruby from my aunt", ["gem=ruby"]),
        ("brooch, Coral and Pearl", ["organic=coral", "pearl=pearl-unnamed"]),
    ],
)
def test_a_stone_in_capitals_is_a_stone(note: str, stone: list[str]) -> None:
    assert _materials(note) == stone


@every_case(
    "note",
    [
        "brooch, silver rhinestones",
        "ring, silver stone",
        "brooch, pearl grey enamel",
        "brooch, silver fox",
        "brooch, brass band",
        "brooch, copper beech leaf",
        "brooch, wood pigeon",
        "brooch, French horn",
        "brooch, ruby wedding gift",
    ],
)
def test_a_material_in_a_name_or_a_color_is_none(note: str) -> None:
    assert _materials(note) == []


def test_a_metal_beside_stones_stays_a_metal() -> None:
    assert _materials("ring, silver with stones") == ["metal=silver"]
    assert _materials("brooch, silver and glass") == ["metal=silver"]
