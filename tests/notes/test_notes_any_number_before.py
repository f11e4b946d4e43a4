"""What is told does not hang on how many things were told before it in one breath."""

from __future__ import annotations

from notes_base import lines, shipped
from together import every_case

BEFORE = ("", "gilt ", "red gilt ", "brooch ", "gilt brooch ", "red gilt brooch ",
          "old red gilt brooch ", "red gilt leaf brooch ")  # fmt: skip
"""None to four things, so that even and odd numbers of them stand before."""


@every_case("before", BEFORE)
@every_case(
    ("words", "told"),
    [
        ("3 cm wide", "width: 30"),
        ("3 cm long", "length: 30"),
        ("30 mm wide", "width: 30"),
        ("signed NOVAK", "mark=NOVAK"),
        ("signed MONET", "mark=MONET"),
        ("engraved 1909", "inscribed-year: 1909"),
        ("two stones missing", "fault=missing-stones: 2"),
        ("with safety chain", "fitting=safety-chain"),
        ("circa 1950", "told-date: 1950 heard"),
        ("no rhinestones", "not stone-kind=rhinestone"),
        ("not hallmarked", "no mark"),
    ],
)
def test_a_thing_is_told_behind_any_number_of_others(before: str, words: str, told: str) -> None:
    assert told in lines(shipped(before + words))


@every_case("name", ["MONET", "NOVAK", "Monet"])
@every_case(
    ("behind", "told"),
    [
        ("Gold Tone", "finish=gold-tone"),
        ("gold tone", "finish=gold-tone"),
        ("gilt", "finish=gilt"),
        ("in script, gilt", "mark-form=script"),
        ("on back", "mark-position=on-back"),
        ("with safety chain", "fitting=safety-chain"),
    ],
)
def test_a_mark_ends_before_what_the_piece_is_like(name: str, behind: str, told: str) -> None:
    for before in ("", "brooch ", "leaf brooch "):
        said = lines(shipped(f"{before}signed {name} {behind}"))
        assert {f"mark={name}", told} <= set(said), said
