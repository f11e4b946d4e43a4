"""Denials of what somebody does or thinks deny no thing that is there."""

from __future__ import annotations

from notes_base import lines, shipped
from together import every_case


@every_case(
    ("note", "told"),
    [
        ("brooch, didn't clean the silver", ["metal=silver"]),
        ("brooch, do not believe the stones are replaced", ["not fault=replaced-stones"]),
        ("brooch, I don't think it is silver", ["not metal=silver"]),
        ("brooch, never noticed the chip before", ["fault=chipped-part"]),
        ("brooch, doesn't have a safety catch", ["catch=unlocked-catch"]),
        ("brooch, can't see a mark", ["no mark"]),
        ("brooch, didn't test the gold", ["not tested=metal-tested-gold"]),
    ],
)
def test_what_is_denied_is_told(note: str, told: list[str]) -> None:
    assert set(told) <= set(lines(shipped(note)))


@every_case(
    ("note", "untold"),
    [
        ("brooch, I dont think the catch is original", "no catch"),
        ("brooch, I don't think the stones are real", "no stone-kind"),
        ("brooch, cant see the hinge", "no hinge"),
        ("brooch, cant get the catch to close", "no catch"),
        ("brooch, I did not photograph the catch", "no catch"),
    ],
)
def test_a_thing_that_is_there_is_not_denied(note: str, untold: str) -> None:
    assert untold not in lines(shipped(note))
