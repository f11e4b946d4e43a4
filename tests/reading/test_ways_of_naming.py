"""How people name a maker: as a signature, as a likeness, with a doubt, on a card."""

from __future__ import annotations

import pytest
from shipped_base import shipped_reader
from together import every_case

from markrules.reading.reader import Reading, Request


def _read(note: str) -> Reading:
    return shipped_reader().read(Request(note=note, next_looks=0))


def _share(note: str, maker: str) -> float:
    return sum(each.probability for each in _read(note).makers if each.maker == maker)


@every_case(
    "note",
    [
        *("brooch in the style of Schreiner", "Schreiner style brooch", "Schreiner-style brooch"),
        *("brooch after Schreiner", "brooch à la Schreiner", "brooch, Schreiner inspired"),
        *("brooch, looks like Schreiner", "brooch resembling Schreiner", "brooch, not Schreiner"),
        *("copy of a Schreiner brooch", "fake Schreiner brooch", "brooch, Schreiner lookalike"),
        *("brooch, reminiscent of Schreiner", "brooch in the manner of Schreiner"),
        *("brooch, school of Schreiner", "brooch, Schreiner era", "brooch, Schreiner type"),
    ],
)
def test_a_likeness_names_no_maker(note: str) -> None:
    reading = _read(note)

    assert not [each for each in reading.makers if each.maker]
    assert not reading.not_understood


def test_a_likeness_beside_a_signature_takes_nothing_from_it() -> None:
    assert _share("brooch in the style of Schreiner, signed Trifari", "trifari") > 0.9
    assert _share("Trifari brooch, faux pearls", "trifari") > 0.8
    assert _share("Trifari brooch like new", "trifari") > 0.8


def test_a_doubt_about_a_name_is_heeded() -> None:
    plain = _share("brooch, Trifari", "trifari")
    doubted = [_share(f"brooch, {word} Trifari", "trifari") for word in ("possibly", "maybe")]

    assert plain > 0.8
    assert all(0.4 < each < 0.75 for each in doubted)


@every_case("lead", ["sgd.", "mkd.", "sig.", "sig", "sgd", "stmpd"])
def test_a_short_word_for_signed_is_one_with_its_stop(lead: str) -> None:
    assert _share(f"brooch {lead} Trifari", "trifari") > 0.95


@pytest.mark.parametrize("thing", ["hangtag", "card", "box"])
def test_a_name_on_what_lies_beside_is_probable_and_no_more(thing: str) -> None:
    assert 0.4 < _share(f"brooch with Trifari {thing}", "trifari") < 0.85


def test_a_note_of_two_words_in_capitals_names_the_maker_and_the_piece() -> None:
    reading = _read("NAPIER BRACELET")

    assert reading.piece_type == "bracelet"
    assert reading.makers[0].maker == "napier"


def test_a_count_ends_a_mark() -> None:
    assert _share("earrings signed Trifari on one only", "trifari") > 0.95


@pytest.mark.parametrize("note", ["brooch, marked leaf", "brooch marked leaf on the back"])
def test_a_picture_after_marked_is_the_device_of_the_mark(note: str) -> None:
    features = {each.feature for each in _read(note).observations}

    assert "mark-device" in features
    assert features.isdisjoint(("motif", "subject"))
    assert "subject" in {each.feature for each in _read("leaf brooch").observations}


def test_a_word_in_quotes_after_marked_is_text() -> None:
    assert [each.text for each in _read('brooch, marked "leaf"').marks] == ["leaf"]


@every_case("note", ["maker's mark JS", "makers mark JS", "marked JS", "mark of JS"])
def test_initials_that_an_assay_master_has_too_sign_the_piece(note: str) -> None:
    assert [each.text for each in _read(f"brooch, {note}").marks] == ["JS"]


def test_a_name_after_a_colon_may_be_in_small_letters() -> None:
    assert [each.text for each in _read("brooch, mark: novak").marks] == ["novak"]


def test_a_number_on_the_piece_takes_nothing_from_a_name_before_it() -> None:
    assert _share("Boucher brooch numbered 3014", "boucher") > 0.8
    assert _share("Boucher brooch numbered 7812P", "boucher") > 0.8
    assert _share("Brooch by Boucher, marked 7812P", "boucher") > 0.8
    assert _share("Boucher brooch, marked NOVAK", "boucher") < 0.2
    assert _share("Boucher brooch, marked NOVAK", "boucher") < 0.2


@every_case(
    "beside",
    ["made in England", "marked made in France", "sterling", "Pat. pend.", "number 1234", "PARIS"],
)
@every_case("named", ["Monet brooch", "brooch by Monet", "brooch signed Monet"])
def test_words_that_any_piece_may_bear_take_nothing_from_a_name(named: str, beside: str) -> None:
    assert _share(f"{named}, {beside}", "monet") > 0.8


def test_another_signature_takes_the_piece_from_a_name_before_it() -> None:
    assert _share("Monet brooch, signed Novak, made in England", "monet") < 0.2


@every_case(
    ("text", "signs"),
    [
        ("SOUVENIR OF MALTA", False),
        ("In memory of John Wrenfield", False),
        ("GREETINGS FROM OSTEND", False),
        ("MALTA SOUVENIRS LTD", True),
        ("WRENFIELD", True),
    ],
)
def test_what_follows_words_of_an_occasion_is_no_maker(text: str, signs: bool) -> None:
    assert shipped_reader().may_sign(text) is signs


@pytest.mark.parametrize(
    "note", ["brooch, Trifari on the clips", "brooch, trifari on back", "brooch, Trifari in script"]
)
def test_a_name_with_the_place_where_it_stands_was_read_there(note: str) -> None:
    assert _share(note, "trifari") > 0.95
    assert _share("brooch, Trifari", "trifari") < 0.95
