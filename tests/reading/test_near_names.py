"""Makers' names as people write them in notes: by ear, in the plural, whose, in small letters."""

from __future__ import annotations

from shipped_base import shipped_reader
from together import every_case

from markrules.reading.reader import Request


def first_maker(note: str) -> tuple[str, float]:
    makers = shipped_reader().read(Request(note=note, next_looks=0)).makers
    best = max(makers, key=lambda each: each.probability)
    return best.maker, best.probability


def lost(note: str) -> str:
    account = shipped_reader().read(Request(note=note, next_looks=0)).account
    return " ".join(each.words for each in account if each.fate == "neutral")


@every_case(
    "note, maker",
    [
        ("Miriam Haskel necklace", "haskell"),
        ("necklace, I think Miriam Haskel", "haskell"),
        ("Schiaperelli bracelet", "schiaparelli"),
        ("brooch marked Schiaparrelli", "schiaparelli"),
        ("schiaperelli bracelet", "schiaparelli"),
        ("Eisenburg brooch", "eisenberg"),
        ("earrings signed Napeir", "napier"),
        ("a pair of Trifaris", "trifari"),
        ("two Monets", "monet"),
        ("Grandma's Trifaris, gold tone", "trifari"),
        ("Hattie Carnegie's earrings", "hattie-carnegie"),
        ("line vautrin brooch", "line-vautrin"),
        ("brooch, Wells", "wells"),
        ("Wells, heart charm bracelet", "wells"),
    ],
)
def test_a_listed_name_is_known_as_it_is_written(note: str, maker: str) -> None:
    assert first_maker(note)[0] == maker


@every_case(
    "note",
    [
        "a beau gave it to her, heart pin",
        "the best brooch",
        "Martins brooch",
        "brooch in the style of Schiaperelli",
        "brooch, not Schiaperelli",
        "a regency style brooch",
        "two Quillfeathers",
    ],
)
def test_what_is_no_listed_name_names_nobody(note: str) -> None:
    maker, probability = first_maker(note)
    assert maker == ""
    assert probability > 0.5


@every_case("note, name", [("brooch by Best", "Best"), ("brooch made by Price", "Price")])
def test_a_name_behind_by_is_no_filler(note: str, name: str) -> None:
    assert name not in lost(note)


def test_whose_a_name_is_makes_it_less_sure() -> None:
    """Of one word, it may be who had the piece."""
    assert first_maker("Monet's chain")[1] < first_maker("Monet chain")[1]
    assert first_maker("Hattie Carnegie's pin")[1] > first_maker("Haskell's pin")[1]
