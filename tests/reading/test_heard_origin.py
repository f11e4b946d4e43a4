"""Where a piece comes from, told in passing in its note."""

from __future__ import annotations

from shipped_base import shipped_base, shipped_reader
from together import every_case

from markrules.inference.priors import FLAT
from markrules.inference.reading import Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.reading.heard_origin import origin_heard, origin_words
from markrules.reading.reader import Request


@every_case(
    ("note", "origin"),
    [
        ("brooch, c catch, bought at a flea market", "box"),
        ("Found in a charity-shop: brooch", "box"),
        ("brooch from an antique dealer", "dealer"),
        ("won at AUCTION, brooch", "dealer"),
        ("it came out of a museum collection", "museum"),
        ("brooch, not from an antique shop", ""),
        ("bought at an auction or from a thrift shop", ""),
        ("antique shop label", ""),
        ("inherited, an heirloom", ""),
        ("brooch, c catch", ""),
        ("", ""),
    ],
)
def test_a_place_is_heard_behind_a_word_that_tells_of_it(note: str, origin: str) -> None:
    assert origin_heard(origin_words(shipped_base()), note) == origin


def test_nothing_is_heard_without_origins() -> None:
    assert origin_heard(origin_words(KnowledgeBase("0")), "bought at auction") == ""


def read(note: str, origin: str = "") -> Reading:
    return shipped_reader().read(Request(note, origin=origin, next_looks=1))


def test_what_is_heard_counts_for_less_than_what_is_said() -> None:
    middles = [
        read("necklace, glass beads").date.median,
        read("necklace, glass beads, bought at auction").date.median,
        read("necklace, glass beads", "dealer").date.median,
    ]
    unsaid, heard, said = middles
    assert abs(heard - said) < abs(unsaid - said)


def test_what_is_said_goes_before_what_is_heard() -> None:
    told = read("brooch, c catch, bought at auction", "box")
    assert told.date == read("brooch, c catch", "box").date
    assert named(read("brooch, bought at auction", FLAT)) == FLAT
    assert named(read("brooch, bought at auction")) == "dealer"


def named(reading: Reading) -> str:
    return reading.origin.origin if reading.origin is not None else ""


def test_the_account_tells_what_was_heard() -> None:
    account = read("brooch, c catch, bought at auction").account
    told = {each.words: (each.fate, each.meaning) for each in account}
    assert told["bought at auction"] == ("understood", "taken as from a dealer's tray")
