"""Everyday words are no jewelry: real words, tales of where a piece came from, plain phrases."""

from __future__ import annotations

import pytest
from notes_base import lines, shipped, shipped_vocabulary
from together import every_case

from markrules.notes.spelling import corrected


@every_case(
    "word",
    [
        "rugby",
        "guilt",
        "mental",
        "concert",
        "danger",
        "faculty",
        "studied",
        "relating",
        "rushing",
        "heroin",
        "concerts",
        "conversation",
        "clothes",
        "violent",
        "hungry",
        "shopping",
        "denying",
        "gravel",
        "smile",
        "pursue",
    ],
)
def test_an_everyday_word_is_no_slip_of_the_pen_for_one_of_ours(word: str) -> None:
    plain = shipped("brooch, gold tone, lovely")
    told = shipped(f"brooch, gold tone, {word}")
    assert lines(told) == lines(plain)
    assert not told.assumed


def test_slips_of_the_pen_are_still_put_right() -> None:
    vocabulary = shipped_vocabulary()
    assert corrected(vocabulary, "rinestone") == "rhinestone"
    assert "gem=garnet" in lines(shipped("ring, garnett"))
    assert "metal=silver" in lines(shipped("sliver brooch"))


@pytest.mark.parametrize("word", ["oliver", "hughes", "leonard"])
def test_a_name_near_one_of_our_words_is_a_mark_where_it_is_marked(word: str) -> None:
    assert lines(shipped(f"brooch signed {word}")) == [f"mark={word}"]
    assert lines(shipped(f"brooch my friend {word} had")) == []


@every_case(
    "note",
    [
        "brooch, found at a church rummage sale",
        "brooch, bought it with a red dress",
        "brooch, on our honeymoon",
        "brooch, picked up at the flower shop",
        "brooch, she wore it to the circus",
        "brooch, came from a school fair",
        "brooch, I'd wear it",
        "brooch, she'll love it",
    ],
)
def test_where_a_piece_came_from_pictures_nothing(note: str) -> None:
    pictured = ("motif=", "subject=", "colour=", "bracelet-form=")
    assert not [line for line in lines(shipped(note)) if line.startswith(pictured)]


@every_case(
    ("note", "line"),
    [
        ("bought this butterfly brooch at a fair", "subject=butterfly-figure"),
        ("found at a fair, brooch shaped like a swan", "motif=bird"),
        ("bought at a fair with blue stones", "colour=blue"),
        ("inherited a brooch with a heart", "motif=heart"),
    ],
)
def test_a_tale_ends_where_the_piece_is_told_of_again(note: str, line: str) -> None:
    assert line in lines(shipped(note))


@every_case("age", ["vintage", "old", "antique", "victorian"])
@every_case(
    "piece", ["brooch", "pendant", "locket", "bracelet", "clip earrings", "charm bracelet", "beads"]
)
@every_case("thing", ["rhinestones", "pearls", "a chain", "red stones", "a clasp"])
def test_an_old_piece_with_what_it_has_is_not_made_up(age: str, piece: str, thing: str) -> None:
    told = lines(shipped(f"{age} {piece} with {thing}"))
    assert not [line for line in told if line.startswith(("remark=", "oddity=", "fault="))]


@pytest.mark.parametrize(
    ("note", "said"),
    [
        ("modern clip earrings", ("fault=", "remark=newer-part")),
        ("plastic clip earrings", ("remark=part-of-poorer-material",)),
        ("modern charm bracelet", ("fault=", "remark=newer-part")),
    ],
)
def test_what_is_said_of_the_piece_is_not_said_of_a_part(note: str, said: tuple[str, ...]) -> None:
    assert not [line for line in lines(shipped(note)) if line.startswith(said)]


def test_a_part_of_the_piece_may_still_be_newer() -> None:
    assert "remark=newer-part-chain" in lines(shipped("locket with a new chain"))
    assert "remark=newer-part-ear-fitting" in lines(shipped("earrings, the clips are newer"))
    old = lines(shipped("old buttons linked by a modern chain, bracelet"))
    assert [line for line in old if line.startswith("remark=old-object-with-later-parts")]


@every_case(
    ("note", "meant"),
    [
        ("brooch with leaf green stones", ["colour=green"]),
        ("brooch, egg yolk yellow enamel", ["colour=yellow", "enamel=enamel-unnamed"]),
        ("steel grey stones, brooch", ["colour=black-or-grey"]),
        ("brooch with cherry coloured stones", ["colour=red"]),
        ("brooch with red coloured stones", ["colour=red"]),
        ("brooch, pillar box red", ["colour=red"]),
    ],
)
def test_a_colour_named_after_a_thing_is_a_colour(note: str, meant: list[str]) -> None:
    assert sorted(lines(shipped(note))) == meant


@every_case(
    ("note", "meant"),
    [
        ("earrings, la pousette", "earring-back=threaded-stud"),
        ("earrings, continental backs", "earring-back=lever-back"),
        ("earrings for pierced", "earring-back=pierced-fitting"),
        ("bracelet, figure of eight safety catch", "fitting=figure-eight-safety"),
        ("bracelet, rub over set garnets", "setting=bezel"),
        ("brooch, cornelian", "gem=carnelian"),
        ("brooch, haematite", "gem=hematite"),
        ("bracelet, stirling silver", "metal=sterling"),
        ("necklace, popcorn beads", "bead=pop-bead"),
        ("ring, 22ct", "metal=gold-22k"),
        ("brooch, acid etched", "technique=etched"),
    ],
)
def test_words_of_the_trade_are_known(note: str, meant: str) -> None:
    assert meant in lines(shipped(note))


@every_case(
    ("note", "never"),
    [
        ("brooch studded with rhinestones", "style="),
        ("brooch, as big as the palm of my hand", "motif="),
        ("brooch, a dainty thing", "fad="),
        ("brooch, back is plain and flat", "date-letter"),
        ("hatpin goes through the cushion", "stone-cut="),
        ("glass beads with gold flecks", "plastic="),
        ("bracelet, interlocked rings", "subject="),
        ("brooch, sewn on ribbon", "technique="),
    ],
)
def test_a_common_word_is_no_word_of_the_trade_by_itself(note: str, never: str) -> None:
    assert not [line for line in lines(shipped(note)) if line.startswith(never)]


@pytest.mark.parametrize(
    ("note", "piece"),
    [("earrings post backs", "earrings"), ("bolt ring", ""), ("steel pin", "brooch")],
)
def test_a_part_named_with_its_piece_leaves_the_piece(note: str, piece: str) -> None:
    assert shipped(note).piece_type == piece
