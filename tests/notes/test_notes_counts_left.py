"""What is told of so many of so many: the rest is what is wrong, counted here."""

from __future__ import annotations

import pytest
from notes_base import lines, shipped
from together import every_case

WORDS = ("nought", "one", "two", "three", "four", "five", "six", "seven")
PAIRS = [(few, every) for every in range(2, 8) for few in range(1, every)]


@pytest.mark.parametrize(
    "pattern",
    ["{} of {} stones still there", "only {} of {} stones left", "{} of {} stones remain"],
)
def test_what_is_left_tells_how_many_are_gone(pattern: str) -> None:
    for few, every in PAIRS:
        for one, other in ((few, every), (WORDS[few], WORDS[every])):
            note = f"brooch, {pattern.format(one, other)}, gilt"
            assert lines(shipped(note)) == [f"fault=missing-stones: {every - few}", "finish=gilt"]


def test_so_many_of_so_many_gone_are_as_many_as_are_said() -> None:
    for few, every in PAIRS:
        note = f"brooch, {few} of {every} stones missing, gilt"
        assert lines(shipped(note)) == [f"fault=missing-stones: {few}", "finish=gilt"], note
        assert f"fault=missing-stones: {few}" in lines(shipped(f"brooch, {few} stones missing"))


@every_case("before", ["12 g", "bracelet", "3 cm long, 12 g", "gilt clasp"])
@every_case("join", [", ", " and "])
def test_either_of_two_metals_is_open_whatever_is_told_before(before: str, join: str) -> None:
    told = lines(shipped(f"{before}{join}silver or gold"))

    assert {"metal=silver ~guess", "metal=gold ~guess"} <= set(told), told


@pytest.mark.parametrize("join", [" or ", " and ", " nor "])
def test_a_denial_goes_on_through_a_list_and_ends_with_it(join: str) -> None:
    things = {"rhinestones": "stone-kind=rhinestone", "amethysts": "gem=amethyst", "pearls": "gem"}
    told = lines(shipped(f"brooch, no {join.join(list(things)[:2])}. Gilt, marked NOVAK"))

    assert "not stone-kind=rhinestone" in told, told
    assert not any(each.startswith(("stone-kind", "gem=")) for each in told), told
    assert {"finish=gilt", "mark=NOVAK"} <= set(told), told
