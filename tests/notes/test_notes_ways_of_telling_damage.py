"""Damage told by the order of words alone: of the right thing, and never of what is sound."""

from __future__ import annotations

from notes_base import lines, shipped, shipped_vocabulary
from together import every_case

from markrules.notes.damage_ways import DamageWays, damage_ways_of


def faults(note: str) -> set[str]:
    """What is told of faults, those that are denied with `not ` before them."""
    told = {line.split(":")[0] for line in lines(shipped(note)) if "fault=" in line}
    return {line.replace("fault=", "") for line in told}


@every_case(
    ("note", "told"),
    [
        # What should be where there is nothing; fewer than there should be.
        ("brooch, only the empty claws are left where the topaz was", {"missing-stones"}),
        ("brooch, one marcasite short", {"missing-stones"}),
        # What it will not do, and what it keeps on doing.
        ("bracelet, the catch keeps slipping open", {"sprung-catch"}),
        ("necklace, you need pliers to open the clasp", {"sprung-catch"}),
        # What holds it instead, and who did that.
        ("bracelet, clasp done up with a bit of wire", {"repaired"}),
        ("brooch, some previous owner has shortened the pin", {"repaired"}),
        # What befell it.
        ("brooch, the wing parted ways with the rest", {"broken"}),
        # No narrower sense: it is told as said, and not understood.
        ("bracelet, clasp could be tighter", {"state-not-understood ~guess"}),
        ("earrings, the left clip hangs open", {"state-not-understood"}),
        ("brooch, the catch isn't what it was", {"state-not-understood"}),
        ("brooch, the catch is rickety", {"state-not-understood"}),
        # What is denied, praised, hoped for or said of hearts and purses is no fault.
        ("brooch, the catch isn't rickety", set()),
        ("brooch, not a stone is wonky", {"not bent-plate"}),
        ("brooch, the clasp won't disappoint", set()),
        ("brooch, could do with a new home", set()),
        ("necklace, drop dead gorgeous", set()),
        ("necklace, my loss is your gain", set()),
        ("brooch, it breaks my heart to sell it", set()),
        ("brooch, I have had it in my collection since 1990", set()),
        ("brooch, openwork at the back where the pin is", set()),
        # Where a fault or a grade is told, by its own words, nothing is added.
        ("brooch, the catch is bent and gave up", {"sprung-catch"}),
    ],
)
def test_damage_told_by_the_order_of_words(note: str, told: set[str]) -> None:
    assert faults(note) == told, note


def test_what_was_said_is_kept_in_full_and_marked_as_taken_so() -> None:
    seen = shipped("bracelet, clasp could be tighter").observations
    fault = next(each for each in seen if each.feature == "fault")
    assert fault.words == "clasp could be tighter"
    assert fault.assumed


def test_words_that_a_way_rests_on_are_not_lost_to_the_account() -> None:
    told = shipped("bracelet, the clasp is rickety")
    assert not told.not_understood
    fates = {each.words: each.fate for each in told.account}
    assert any("rickety" in words and fate == "guessed" for words, fate in fates.items()), fates


def test_words_of_but_undo_only_the_ways_that_share_a_word_with_them() -> None:
    note = "necklace, the clasp won't disappoint but the catch gave up on me"
    assert faults(note), note


def test_a_base_without_such_ways_tells_of_none() -> None:
    vocabulary = shipped_vocabulary()
    base = vocabulary.base
    from dataclasses import replace

    bare = replace(base, remarks={})
    kept = damage_ways_of(bare, vocabulary.folding)
    ways = DamageWays(kept, bare, vocabulary.folding, vocabulary.passed_over)
    assert ways.ways_in(["clasp", "gave", "up"], {"thing": [(0, 1)]}) == []
