"""A name that somebody said stands beside how the marks look, and is heard once."""

from __future__ import annotations

import pytest
from shipped_base import shipped_reader

from markrules.reading.reader import Request


def _share(note: str, maker: str) -> float:
    reading = shipped_reader().read(Request(note=note))
    return sum(each.probability for each in reading.makers if each.maker == maker)


@pytest.mark.parametrize("look", ["crown mark", "script mark", "oval plaque"])
def test_a_told_name_is_not_lost_beside_a_look(look: str) -> None:
    told = "my aunt said it was Trifari"
    plain = _share(f"brooch, {look}", "trifari")
    assert _share(f"brooch, {look}, {told}", "trifari") > max(2 * plain, 0.05)


def test_the_same_name_said_by_two_is_heard_once() -> None:
    one = _share("brooch, my aunt said it was Trifari", "trifari")
    two = _share("brooch, my aunt said it was Trifari, the seller said Trifari", "trifari")
    assert 0 < two == pytest.approx(one, abs=0.02)
