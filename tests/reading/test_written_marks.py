"""How people write what stands on a piece: names that are in no list, and listed ones."""

from __future__ import annotations

from samples import some_of
from shipped_base import shipped_base, shipped_reader
from together import every_case

from markrules.knowledge.observation import MAYBE_MAKER
from markrules.marks.letters import folded
from markrules.reading.reader import Reading, Request

NAMES = ("Grandstaff", "Hammill", "Guerette", "Dematteo", "Rudisill")
"""Surnames that no listed maker bears, and that are no words of notes."""

WAYS = (
    *("©{0}", "© {0}", "(c) {0}", "{0} (c)", "{0} hallmark", "{0} mark", "{0} mark on the back"),
    *("{0} written on the back", "{0} in block letters", "{0} in script", "by {0}", "mark of {0}"),
    *("{0} with a crown above it", "{0} under a crown", "signed {0} on back", "maker: {0}"),
    *("{0} on the clips", "hallmarked {0}", "sgd {0}", "marked {0} and 925", "h/m {0}"),
)
LAYOUTS = ("brooch, {0}", "{0}, brooch, rhinestones", "brooch, {0}, one stone missing")


def _read(note: str) -> Reading:
    return shipped_reader().read(Request(note=note, next_looks=0))


def _marks(reading: Reading) -> list[str]:
    seen = (each for each in reading.observations if each.feature == "mark")
    return [folded(each.value) for each in seen if each.state == "seen" and not each.heard]


@every_case("layout", LAYOUTS)
@every_case("way", WAYS)
def test_a_name_in_no_list_is_read_however_it_is_written(way: str, layout: str) -> None:
    for name in NAMES:
        reading = _read(layout.format(way.format(name)))

        assert any(folded(name) in each for each in _marks(reading)), name
        assert name not in " ".join(reading.not_understood)


@every_case("note", ["brooch, by menke", "brooch, mark of menke"])
def test_so_is_one_in_small_letters_with_nothing_behind(note: str) -> None:
    assert _marks(_read(note)) == ["MENKE"]


def _parted() -> list[str]:
    """Names of listed makers with a comma, or a stop that is no initial's, and with initials."""
    names = [
        text
        for maker in shipped_base().makers.values()
        for text in (maker.title.partition(" (")[0], *maker.also)
        if "," in text or ". " in text
    ]
    return [each for each in names if "workshops" not in each and " / " not in each]


@every_case("way", ["signed {0}", "marked {0}", 'signed "{0}"'])
def test_a_listed_name_with_a_comma_or_a_stop_is_one_text(way: str) -> None:
    for name in some_of(_parted()):
        reading = _read(f"brooch, {way.format(name)}, 5 cm")

        assert folded(name) in _marks(reading), name
        assert not reading.not_understood, name


def test_partners_behind_a_comma_are_no_words_about_the_mark() -> None:
    reading = shipped_reader().read(Request(note="", marks=("Fishel, Nessler & Co.",)))

    assert reading.makers[0].maker == "fishel-nessler"


@every_case(
    ("note", "name"),
    [
        ("brooch, signed tatty devine", "TATTYDEVINE"),
        ("brooch, signed laurel burch", "LAURELBURCH"),
        ("brooch, made by american greetings", "AMERICANGREETINGS"),
        ("brooch, sgd celebrity", "CELEBRITY"),
        ("brooch, signed castlemark", "CASTLEMARK"),
        ("brooch, signed Castlemark on the back", "CASTLEMARK"),
    ],
)
def test_a_listed_name_of_common_words_is_one_behind_a_word_for_marks(note: str, name: str) -> None:
    assert _marks(_read(note)) == [name]


@every_case("note", ["hallmarked Chester", "hallmarked Edinburgh", "marked castle"])
def test_an_office_is_no_signature(note: str) -> None:
    assert not [each for each in _marks(_read(f"brooch, {note}")) if each != "..."]


@every_case("name", NAMES)
@every_case(
    "note",
    [
        *("{0} brooch", "{0} crown pin", "a {0} necklace", "vintage {0} bracelet", "{0} parure"),
        *("{0} gold tone leaf brooch", "brooch, {0} earrings", "{0} enamel flower pin"),
    ],
)
def test_a_name_before_the_piece_is_asked_for(note: str, name: str) -> None:
    reading = _read(note.format(name))
    (asked,) = (each for each in reading.observations if each.feature == MAYBE_MAKER)

    assert asked.value == name
    assert asked.heard
    assert f'marked "{name}"' in asked.assumed
    assert not _marks(reading)
    assert not reading.not_understood


@every_case(
    "note",
    ["Gorgeous brooch", "Grandstaff style brooch", "not a Grandstaff brooch", "grandstaff pin"],
)
def test_a_word_that_describes_or_is_likened_to_is_no_name(note: str) -> None:
    assert not [each for each in _read(note).observations if each.feature == MAYBE_MAKER]
