"""What a note tells of other things than the piece changes nothing that is read of the piece."""

from __future__ import annotations

from functools import lru_cache

from shipped_base import shipped_reader
from together import every_case

from markrules.reading.reader import Reading, Request

PIECES = (
    "brooch, safety catch, gilt sterling, jelly belly bird, mark ?RIF...",
    "cameo brooch, shell, lady facing left, 9ct frame, C clasp, safety chain",
    "necklace, silver charms, lobster clasp, 925",
    "Signed Hollycraft 1950 pastel bracelet, missing one stone",
)

OF_OTHER_THINGS = (
    "From a house clearance",
    "Kept in a velvet pouch",
    "It was in the same jar as some buttons",
    "Measures about the size of a coin",
    "Roughly the width of a pencil",
    "As heavy as two golf balls",
    "Shown next to a ruler",
    "Rested on a wooden tray for the picture",
    "The background is a piece of silk",
    "Sold as seen",
    "Dispatched within two days in a gift box",
    "Comes with free pouch",
    "My phone camera is broken so no photo",
    "I paid 3 euros for it",
    "Postage is 4.50 within the UK",
    "My sister would like to know more",
    "Given to me by my first boss",
    "Picked up on holiday in Spain years ago",
    "Collection only from the shop",
    "Looked everywhere and there is nothing on the internet",
)


@lru_cache
def _read(note: str) -> Reading:
    return shipped_reader().read(Request(note=note, next_looks=0))


def _told(note: str) -> tuple[object, ...]:
    reading = _read(note)
    return (
        reading.piece_type,
        reading.date,
        [(each.title, each.probability) for each in reading.makers],
        [each.fault for each in reading.faults],
        [each.name for each in reading.misleading],
    )


@every_case("said", OF_OTHER_THINGS)
def test_what_is_said_of_other_things_changes_nothing(said: str) -> None:
    for piece in PIECES:
        assert _told(f"{piece}. {said}.") == _told(piece), piece
        assert _told(f"{piece}, {said.casefold()}") == _told(piece), piece


@every_case(
    ("note", "feature", "value"),
    [
        ("brooch, kept in a drawer but the pin stem is bent", "fault", "bent-pin"),
        ("brooch, small chip, kept in a drawer", "fault", "chipped-part"),
        ("brooch, kept in a box marked TRIFARI", "label", "TRIFARI"),
        ("brooch, sold as seen, one stone missing", "fault", "missing-stones"),
        ("brooch with C catch from a house clearance", "catch", "c-catch"),
    ],
)
def test_what_comes_back_to_the_piece_is_heard(note: str, feature: str, value: str) -> None:
    observed = _read(note).observations
    assert (feature, value) in [(each.feature, each.value) for each in observed]


@every_case(
    "note",
    [
        "brooch, unmarked but matches my signed Eisenberg set",
        "brooch, no mark, identical to a signed Schreiner brooch I have",
        "brooch, often signed Napier but this one is not",
    ],
)
def test_a_name_on_another_piece_is_no_mark_of_this_one(note: str) -> None:
    assert not [each for each in _read(note).makers if each.maker]


@every_case(
    "phrase",
    [
        *("given as a marriage gift", "the replacement value is silly", "battery replaced"),
        *("with a copy of the receipt", "bought in a converted farmhouse", "at a revival meeting"),
        *("beside the museum shop cafe", "from an old friend"),
    ],
)
def test_words_that_together_mean_something_else_change_nothing(phrase: str) -> None:
    plain = shipped_reader().read(Request("silver brooch, C catch, paste", next_looks=0))
    told = shipped_reader().read(Request(f"silver brooch, C catch, {phrase}, paste", next_looks=0))

    assert not [each.name for each in told.misleading if each.stated]
    assert {each.feature for each in told.observations} <= {
        *(each.feature for each in plain.observations),
        *("said-origin", "remark"),
    }
    assert told.date.years == plain.date.years


def test_the_same_words_by_themselves_still_tell_what_misleads() -> None:
    told = shipped_reader().read(
        Request("silver brooch, C catch, a marriage of two halves", next_looks=0)
    )

    assert "married" in {each.kind for each in told.misleading}
