"""Several pieces numbered in one note, and the points of one piece."""

from __future__ import annotations

import pytest
from shipped_base import shipped_reader
from together import every_case

from markrules.tasks.numbered_pieces import numbered_pieces


@every_case(
    ("note", "pieces"),
    [
        ("1. brooch, rollover catch\n2. ring, 925", ("brooch, rollover catch", "ring, 925")),
        ("1) brooch with C catch 2) ring marked 925", ("brooch with C catch", "ring marked 925")),
        ("(1) brooch (2) brooch", ("brooch", "brooch")),
        ("#1: ring, #2: bangle", ("ring", "bangle")),
        ("Lot 12:\n1. Trifari brooch\r\n2. clip earrings", ("Trifari brooch", "clip earrings")),
        ("1. Brooch, 1.5 cm, in gilt; 2. Ring", ("Brooch, 1.5 cm, in gilt", "Ring")),
    ],
)
def test_each_piece_is_apart(note: str, pieces: tuple[str, ...]) -> None:
    assert numbered_pieces(shipped_reader(), note) == pieces


@every_case(
    "note",
    [
        "",
        "brooch, rollover catch",
        "1. brooch",
        "1. brooch 2. C catch 3. marked TRIFARI",
        "Brooch: 1. brooch back rough 2. brooch pin bent",
        "1. the brooch is gilt 2. the brooch has a C catch",
        "1. brooch is gilt 2. brooch has a C catch",
        "1. This brooch, gilt 2. ring",
        "necklace, 1. clasp is a box 2. chain is gilt",
        "1. ring 3. brooch",
        "ring size 7. 2. brooch",
        "brooch 1. 5 cm 2. 3 cm",
        "Set: 1. necklace 2. earrings 3. bracelet",
        "Parure: 1. necklace 2. earrings 3. bracelet",
        "2 brooches, 1 ring",
        "1.\n2.\n",
        "1. 2. 3. ",
    ],
)
def test_points_of_one_piece_stay_together(note: str) -> None:
    assert numbered_pieces(shipped_reader(), note) == ()


@pytest.mark.parametrize("count", [2, 40])
def test_a_long_list_is_read_whole(count: int) -> None:
    note = "\n".join(f"{at}. ring, {at} mm" for at in range(1, count + 1))

    assert len(numbered_pieces(shipped_reader(), note)) == count
