"""What a note sets aside and what it puts right: each way of saying it with each pair of things."""

from __future__ import annotations

import pytest
from notes_base import lines, shipped
from together import every_case

NOT_THIS = [
    "brooch, not {other} but {this}",
    "brooch, {this}, not {other}",
    "brooch, {this} instead of {other}",
    "brooch, {other}? no, {this}",
    "brooch, thought it was {other} but it is {this}",
    "brooch, looks like {other} but is {this}",
    "brooch, could pass for {other}, actually {this}",
    "brooch, sold as {other} but it is {this}",
    "brooch, isn't {other}, it's {this}",
    "brooch, was told {other} but tests as {this}",
    "brooch, it's not {other} it's {this}",
    "brooch, definitely {this} not {other}",
]
PAIRS = [
    ("brass", "gold", "metal=brass", "metal=gold"),
    ("glass", "jade", "stone-kind=glass", "gem=jade"),
    ("pewter", "silver", "metal=pewter", "metal=silver"),
    ("plastic", "coral", "plastic=plastic-unnamed", "organic=coral"),
    ("lucite", "bakelite", "plastic=lucite", "plastic=bakelite"),
    ("glued", "prong set", "setting=glued", "setting=prong"),
    ("a rollover catch", "a c catch", "catch=rollover", "catch=c-catch"),
]


@every_case(("this", "other", "seen", "unseen"), PAIRS)
@every_case("way", NOT_THIS)
def test_what_is_set_aside_is_not_seen_and_what_is_put_right_is(
    way: str, this: str, other: str, seen: str, unseen: str
) -> None:
    told = lines(shipped(way.format(this=this, other=other)))
    assert seen in [line.split(" ~")[0] for line in told]
    assert unseen not in [line.split(" ~")[0] for line in told]


@every_case(
    ("note", "meant"),
    [
        ("brooch, gold with rubies?", ["metal=gold", "gem=ruby ~guess"]),
        ("brooch, gold or brass?", ["metal=gold ~guess", "metal=brass ~guess"]),
        ("jet or maybe french jet", ["organic=jet ~guess", "stone-kind=french-jet ~guess"]),
        ("brooch marked NOVAK or maybe NOVIK", ["mark=NOV[AI]K"]),
        ("brooch, safety chain? no", ["not fitting=safety-chain"]),
        ("trombone? no just a rollover catch", ["not catch=trombone", "catch=rollover"]),
        ("brooch, trombone? nope it's a rollover", ["not catch=trombone", "catch=rollover"]),
        ("brooch, not a trombone just a rollover", ["not catch=trombone", "catch=rollover"]),
        ("maybe gold but the stones are glued", ["metal=gold ~guess", "setting=glued"]),
        ("brooch, looks like jade but I am not sure", ["gem=jade ~guess"]),
        ("pin, I'm told it's gold but I have my doubts", ["metal=gold ~guess heard"]),
        ("sold to me as coral, not convinced", ["organic=coral ~guess heard"]),
        ("jade? or green glass", ["gem=jade ~guess", "stone-kind=glass ~guess"]),
        ("bracelet, if it's silver it's low grade", ["metal=silver ~guess"]),
        ("necklace, too light to be glass", ["not stone-kind=glass ~fair"]),
        ("bangle, too light for bakelite", ["not plastic=bakelite"]),
        ("brooch, unlikely to be ivory", ["not organic=ivory ~guess"]),
        ("bracelet, not quite sure about the turquoise", ["gem=turquoise ~guess"]),
        ("whether the stones are real lapis I couldn't say", ["gem=lapis ~guess"]),
        ("cameo, resin I fear, not shell", ["not stone-kind=shell-cameo"]),
        ("glass beads, each a different colour", ["bead=glass-bead"]),
        ("brass made to look like gold", ["metal=brass", "not metal=gold"]),
    ],
)
def test_a_doubt_reaches_no_further_than_what_it_is_said_of(note: str, meant: list[str]) -> None:
    told = lines(shipped(note))
    assert set(meant) <= set(told), told


@every_case(
    ("note", "fault"),
    [
        ("brooch, 2 of 7 stones missing", "fault=missing-stones: 2"),
        ("ring, two of the three stones are chipped", "fault=chipped-stones: 2"),
        ("three of the stones have been swapped", "fault=replaced-stones: 3"),
        ("brooch, all stones present apart from one", "fault=missing-stones: 1"),
    ],
)
def test_of_so_many_the_first_number_counts(note: str, fault: str) -> None:
    told = lines(shipped(note))
    assert fault in told
    assert not [line for line in told if line.startswith(("ring-form", "stones-count"))]


def test_a_denied_list_of_things_is_denied_to_its_end() -> None:
    told = lines(shipped("brooch, no stones, enamel or pearls"))
    assert not [line for line in told if not line.startswith("no")]
    assert "stone-kind=rhinestone" in lines(shipped("brooch, no enamel, rhinestones"))


NOT_REAL = ["fake", "not real", "imitation", "faux"]
SAID_BEHIND = [
    "necklace, {what}, {not_real}",
    "necklace, {what} ({not_real})",
    "necklace. {What}. {Not_real}.",
    "necklace, {what} look {not_real}",
    "necklace, the {what} are {not_real}",
]


@every_case("not_real", NOT_REAL)
@every_case("way", SAID_BEHIND)
@every_case(
    ("what", "seen"),
    [
        ("pearls", "pearl=imitation-pearl"),
        ("rubies", "stone-kind=imitation-gem"),
        ("coral", "plastic=imitation-organic"),
    ],
)
def test_a_material_that_is_not_real_is_an_imitation_and_no_fake_piece(
    way: str, not_real: str, what: str, seen: str
) -> None:
    note = way.format(
        what=what, not_real=not_real, What=what.capitalize(), Not_real=not_real.capitalize()
    )
    told = [line.split(" ~")[0] for line in lines(shipped(note))]

    assert seen in told
    assert not [line for line in told if line.startswith("remark=")]


@pytest.mark.parametrize(
    "note",
    ["brooch, pearls not fake", "brooch, signed TRIFARI, not a fake", "ring, isn't a fake"],
)
def test_what_is_said_to_be_no_fake_is_none(note: str) -> None:
    told = lines(shipped(note))

    assert not [line for line in told if line.startswith(("remark=", "pearl=imitation"))]


def test_a_signed_piece_may_still_be_called_a_fake() -> None:
    told = lines(shipped("brooch, pearl eye, signed TRIFARI, fake"))

    assert "remark=said-to-be-a-fake" in told
    assert "pearl=pearl-unnamed" in told


@every_case(
    ("note", "fault"),
    [
        ("opal pendant 9ct modern", False),
        ("brooch brass modern", False),
        ("silver ring new", False),
        ("brooch, enamel, clasp new", True),
        ("bracelet clasp new", True),
        ("earrings silver hooks new", True),
        ("pendant chain new", True),
    ],
)
def test_what_is_new_at_the_end_is_the_piece_unless_a_part_stands_there(
    note: str, fault: bool
) -> None:
    assert any(line.startswith("fault=") for line in lines(shipped(note))) is fault


@every_case(
    ("note", "metal"),
    [
        ("bracelet, 14k gold mesh", "metal=gold-14k"),
        ("bracelet, sterling mesh", "metal=sterling"),
        ("bracelet, 9ct mesh", "metal=gold-9ct"),
    ],
)
def test_metal_cloth_keeps_its_metal(note: str, metal: str) -> None:
    assert {metal, "metal=mesh"} <= set(lines(shipped(note)))
