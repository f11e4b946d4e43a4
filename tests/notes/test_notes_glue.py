"""Glue and solder: how a piece was made, or a repair of a part."""

from __future__ import annotations

from itertools import product

import pytest
from notes_base import lines, shipped
from samples import some_of
from together import every_case

REPAIRS = ("fault=glue-repair", "fault=soft-solder-mend", "fault=repaired", "fault=cut-shank")
PARTS = (
    ("brooch", "the clasp"),
    ("brooch", "one leaf"),
    ("brooch", "the bow"),
    ("brooch", "a stone"),
    ("brooch", "one of the rhinestones"),
    ("earrings", "one clip"),
    ("earrings", "a pearl"),
    ("necklace", "a link"),
    ("bracelet", "the safety chain"),
    ("ring", "the shank"),
    ("locket", "the hinge"),
)
SAYINGS = (
    "was glued",
    "has been glued back on",
    "is held on with superglue",
    "badly glued",
    "glued on again",
    "re-glued",
    "has old glue round it",
    "was soldered back on",
    "crudely soldered",
    "has a blob of solder on it",
    "tacked back on",
)
ORDERS = (
    "{piece}, {part} {said}",
    "{part} {said}, nice {piece}",
    "{piece}: {part} {said}, otherwise good",
    "{piece}, gold tone, but {part} {said}",
)


@every_case(
    "note",
    some_of(
        [
            order.format(piece=piece, part=part, said=said)
            for (piece, part), said, order in product(PARTS, SAYINGS, ORDERS)
        ]
    ),
)
def test_a_part_that_was_glued_or_soldered_is_a_repair(note: str) -> None:
    told = lines(shipped(note))
    assert any(line.startswith((*REPAIRS, "fault=unlike", "fault=replaced")) for line in told), told


@every_case(
    "note",
    [
        "brooch, stones glued",
        "brooch, rhinestones are just glued in",
        "brooch with glued stones",
        "brooch, the stones are only glued on",
        "brooch, rhinestones cemented in",
        "large rhinestone flower brooch, glued, silver tone",
    ],
)
def test_stones_that_are_glued_tell_how_they_are_set(note: str) -> None:
    told = lines(shipped(note))
    assert "setting=glued" in told
    assert not any(line.startswith("fault") for line in told), told


@every_case(
    "note",
    [
        "earrings, rubbery pads stuck on the clips",
        "brooch, plastic rose glued onto a gilt frame",
        "brooch, tube hinge soldered on the back",
        "bracelet of old coins soldered onto a chain",
    ],
)
def test_what_things_are_fixed_to_is_not_mended(note: str) -> None:
    assert not any(line.startswith("fault") for line in lines(shipped(note)))


@pytest.mark.parametrize(
    ("note", "told"),
    [
        ("somebody glued the head back on, brooch", "fault=glue-repair"),
        ("brooch, my mother soldered the pin back on", "fault=repaired"),
        ("necklace: the chain appears to be glued on", "fault=glue-repair ~fair"),
    ],
)
def test_who_mended_it_stands_before_the_part(note: str, told: str) -> None:
    assert told in lines(shipped(note))
