"""Short forms of dealers for stones, metals, makers and sizes, and set phrases beside them."""

from __future__ import annotations

import pytest
from notes_base import shipped


def seen(note: str) -> set[str]:
    """What a note tells, as feature=value."""
    return {f"{each.feature}={each.value}" for each in shipped(note).observations}


def faults(note: str) -> set[str]:
    """The faults that a note tells of."""
    return {each.removeprefix("fault=") for each in seen(note) if each.startswith("fault=")}


@pytest.mark.parametrize(
    "note",
    [
        "brooch with SS16 rhinestones",
        "bracelet, ss20 stones",
        "earrings, PP24 chatons",
        "brooch set with ss 30 crystals",
        "earrings with pp 31 and SS39 rhinestones",
    ],
)
def test_sizes_of_stones_are_no_marks(note: str) -> None:
    told = shipped(note)
    assert not any(each.feature == "mark" for each in told.observations)
    assert not told.not_understood


def test_a_size_that_is_marked_is_a_mark() -> None:
    assert "mark=SS16" in seen("brooch marked SS16")


@pytest.mark.parametrize(
    ("note", "told", "never"),
    [
        ("ring, 925 CZ", {"mark=925", "stone-kind=cubic-zirconia"}, "mark=925 CZ"),
        ("ring, 925 CZ halo", {"mark=925", "stone-kind=cubic-zirconia"}, "mark=925 CZ"),
        ("hair locket, IN MEMORY OF, gold", {"mark=IN MEMORY OF"}, ""),
        ("ring, CZ 925", {"fineness-told=told-925", "stone-kind=cubic-zirconia"}, "mark=CZ 925"),
        ("ring, 925 silver CZ", {"fineness-told=told-925", "stone-kind=cubic-zirconia"}, "mark=CZ"),
        ("ring, huge CZ, marked 18KHGE", {"stone-kind=cubic-zirconia", "mark=18KHGE"}, "mark=CZ"),
        ("earrings, GF screw backs", {"finish=gold-filled"}, "mark=GF screw backs"),
        ("RG bangle", set(), "mark=RG"),
        ("ring marked 925 CZ", {"mark=925 CZ"}, "stone-kind=cubic-zirconia"),
        ("bangle marked RG", {"mark=RG"}, "finish=rolled-gold"),
        ("brooch, STERLING", {"mark=STERLING"}, ""),
    ],
)
def test_short_forms_beside_other_words_are_no_marks(note: str, told: set[str], never: str) -> None:
    assert told <= seen(note)
    assert never not in seen(note)


@pytest.mark.parametrize(
    "lead", ["mfr", "mfr.", "mfr:", "mfd by", "mfd. by", "mfg by", "maker -", "maker –", "copr."]
)
def test_short_forms_lead_to_a_makers_name(lead: str) -> None:
    assert "mark=Drovane" in seen(f"brooch, {lead} Drovane, rollover catch")


def test_a_year_behind_a_copyright_is_no_maker() -> None:
    assert not any(each.startswith("mark=") for each in seen("brooch, box copr. 1955"))


def test_an_unknown_name_in_small_letters_behind_by_is_asked_for() -> None:
    assert "maybe-maker=drovane" in seen("bracelet by drovane")
    assert not any("maker" in each or "mark" in each for each in seen("brooch made by hand"))


@pytest.mark.parametrize("short", ["n/s", "N/S"])
def test_not_signed(short: str) -> None:
    assert "mark=" in seen(f"brooch, {short}, clear rhinestones")


@pytest.mark.parametrize(
    "note",
    [
        "necklace, broken chain pattern",
        "bracelet, broken link design",
        "brooch, cracked ice pattern",
    ],
)
def test_the_name_of_a_pattern_is_no_harm(note: str) -> None:
    assert not faults(note)
    assert faults("bracelet, broken chain") == {"broken-link"}


@pytest.mark.parametrize(
    "note", ["necklace, clasp is a modern lobster", "necklace, the clasp is a modern lobster claw"]
)
def test_a_modern_clasp_is_a_replaced_one(note: str) -> None:
    assert faults(note) == {"replaced-clasp"}
    assert "setting=prong" not in seen(note)
    assert not faults("necklace, clasp is a lobster")


@pytest.mark.parametrize("note", ["locket lacks a photo", "locket, photo missing"])
def test_a_locket_that_lacks_something_has_lost_no_catch(note: str) -> None:
    assert faults(note) == {"missing-part"}
    assert faults("locket lacks its glass") == {"missing-locket-glass"}
