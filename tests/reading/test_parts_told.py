"""What misleads about a part names the part, where the words that tell of it do."""

from __future__ import annotations

from shipped_base import shipped_base, shipped_reader
from together import every_case

from markrules.inference.misleading import parts_on
from markrules.inference.reading import MisleadingReading
from markrules.reading.parts_told import MOST_PARTS, OF_PARTS
from markrules.reading.reader import Request


def told(note: str, kind: str) -> MisleadingReading:
    """What is told of this kind, the likeliest first."""
    found = shipped_reader().read(Request(note=note, next_looks=0)).misleading
    return next(each for each in found if each.kind == kind)


@every_case(
    ("note", "kind", "part"),
    [
        ("gold brooch, seed pearls, repaired at the hinge", "repaired", "hinge"),
        ("silver necklace, the clasp was mended", "repaired", "clasp"),
        ("gold ring, garnets, the shank was mended", "repaired", "ring-shank"),
        ("silver earrings, repaired clips", "repaired", "earring-back"),
    ],
)
def test_the_part_in_its_own_words_is_named(note: str, kind: str, part: str) -> None:
    assert part in told(note, kind).part


def test_nothing_is_named_where_no_part_is() -> None:
    assert told("gold brooch with leaves, was repaired", "repaired").part == ()


def test_what_was_made_over_blames_the_fitting_of_what_it_is_now() -> None:
    brooch = told("gold brooch, converted from a button", "converted")
    pendant = told("gold pendant, converted from a button", "converted")

    assert "catch" in brooch.part
    assert "bail" not in brooch.part
    assert "bail" in pendant.part
    assert "catch" not in pendant.part


def test_a_situation_blames_only_what_such_a_piece_has() -> None:
    base = shipped_base()
    for entry in base.misleading.values():
        for piece in ("brooch", "ring", "earrings", "necklace"):
            broader = base.broader(piece)
            parts = parts_on(base, entry, broader)
            blamed = [each.name for each in entry.part]
            assert set(parts) <= set(blamed)
            assert bool(parts) == bool(blamed)
            fitting = [
                each
                for each in parts
                if each in base.features
                and base.features[each].on
                and not any(on.name in broader for on in base.features[each].on)
            ]
            assert not fitting or parts == tuple(blamed)


def test_more_parts_than_may_be_meant_name_none() -> None:
    note = "gold brooch, mended catch and chain and bail and beads"
    found = shipped_reader().read(Request(note=note, next_looks=0)).misleading
    base = shipped_base()
    words = {
        part.name: fill.name
        for slot in base.slots.values()
        for fill in slot.fills
        for part in fill.part
    }
    for each in found:
        if each.kind in OF_PARTS and not base.misleading[each.name].part:
            assert len({words[part] for part in each.part}) <= MOST_PARTS
