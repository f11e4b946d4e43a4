"""What one word tells of several things, and what is wrong with what is called not so sound."""

from __future__ import annotations

from itertools import permutations, product

import pytest
from notes_base import lines, shipped
from samples import some_of
from together import every_case

GONE = {
    "two stones": "missing-stones: 2",
    "the pin stem": "missing-pin",
    "its catch": "missing-catch",
    "one drop": "missing-drop: 1",
    "the safety chain": "missing-safety-chain",
}
LISTS = (
    "missing {0}, {1} and {2}",
    "lacks {0}, {1} and {2}",
    "has lost {0}, {1} and {2}",
    "gilt metal, missing {0}, {1} & {2}",
    "Missing: {0}, {1}, {2}",
    "Gilt metal. Missing: {0}, {1} and {2}. Unsigned.",
    "lost: {0}, {1}, {2}; unsigned",
    "missing {0} as well as {1} and {2}",
)


def faults(note: str) -> list[str]:
    """The faults of a note as they are told, without what names them as faults."""
    return [each.removeprefix("fault=") for each in lines(shipped(note)) if "fault=" in each]


@every_case("things", some_of(list(permutations(GONE, 3))))
def test_all_that_one_word_of_loss_lists_is_lost(things: tuple[str, ...]) -> None:
    for saying in LISTS:
        note = f"brooch, {saying.format(*things)}"
        assert set(faults(note)) == {GONE[each] for each in things}, note


@every_case(
    ("note", "told"),
    [
        ("brooch, missing a stone, gilt and silver", {"missing-stones"}),
        ("brooch, missing one stone, a rollover catch and a safety chain", {"missing-stones: 1"}),
        ("brooch, missing a stone, pearls and rhinestones", {"missing-stones"}),
        (
            "ring, missing a stone, the shank bent and gilt worn",
            {"missing-stones", "cut-shank", "worn-plating"},
        ),
        ("brooch, missing a stone, the pin and catch work well", {"missing-stones"}),
        ("brooch, missing nothing, the pin and a safety chain", set()),
        ("brooch, damaged: catch, one leaf", {"missing-catch", "broken: 1"}),
        ("brooch, loose: two stones, the pin", {"loose-stones: 2", "sprung-catch"}),
        ("brooch, one stone missing as well as the pin", {"missing-stones: 1", "missing-pin: 1"}),
        ("brooch, condition: good, stones: glass, catch: c", set()),
    ],
)  # fmt: skip
def test_a_list_ends_where_something_else_is_told(note: str, told: set[str]) -> None:
    assert {each for each in faults(note) if not each.startswith("not ")} == told


SOUND = ("undamaged", "perfect", "fine", "in good condition", "no damage", "nothing wrong")
EXCEPT = (
    *("except for", "except", "apart from", "other than", "but for", "save for", "aside from"),
    *("bar", "barring", "excepting", "with the exception of"),
)
PARTS = ("the catch", "one stone", "the hinge", "the enamel", "a leaf")


@every_case(("sound", "but"), some_of(list(product(SOUND, EXCEPT))))
def test_what_is_excepted_has_a_flaw_and_nobody_says_which(sound: str, but: str) -> None:
    for part in PARTS:
        note = f"brooch, {sound} {but} {part}"
        seen = [each for each in faults(note) if not each.startswith("not ")]
        assert [each.partition(":")[0] for each in seen] == ["flaw-not-told"], note


@pytest.mark.parametrize("only", ["only fault is", "only problem is", "the only thing wrong is"])
def test_the_only_fault_is_a_flaw_of_its_thing(only: str) -> None:
    for part in PARTS:
        assert any("flaw-not-told" in each for each in faults(f"brooch, {only} {part}")), part
    assert faults(f"brooch, {only} a bent pin") == ["bent-pin"]
    assert faults(f"brooch, {only} two missing stones") == ["missing-stones: 2"]


FLAWS = {
    "enamel": {"a chip": "chipped-enamel", "a flake": "chipped-enamel"},
    "stones": {"a chip": "chipped-stones", "two cracks": "cracked-stone"},
    "plating": {"a scratch": "scratches", "rubbing": "worn-plating"},
}


@every_case(
    ("thing", "but"), some_of([each for each in product(FLAWS, EXCEPT) if each[1] != "bar"])
)
def test_a_flaw_that_is_excepted_is_of_what_was_called_sound(thing: str, but: str) -> None:
    for flaw, fault in FLAWS[thing].items():
        for sound in ("perfect", "good", "in excellent condition"):
            note = f"brooch, {thing} {sound} {but} {flaw}"
            seen = [each.partition(":")[0] for each in faults(note)]
            assert seen == [fault], note


@pytest.mark.parametrize(
    "note",
    ["brooch, stones cracked, damage: none", "brooch. Damage: none. Two stones cracked."],
)
def test_a_general_denial_takes_no_fault_back_that_is_told(note: str) -> None:
    assert any(each.startswith("cracked-stone") for each in faults(note))
    assert not any(each.startswith("not cracked-stone") for each in faults(note))


HARM = ("stone missing", "pin bent", "catch broken", "enamel chipped", "hinge loose")
PUT_RIGHT = (
    *("since replaced", "now replaced", "but has been replaced", "and has since been replaced"),
    *("now repaired", "since mended", "but now fixed", "and has now been repaired"),
)


@every_case(("harm", "righted"), some_of(list(product(HARM, PUT_RIGHT))))
def test_what_was_wrong_and_was_put_right_is_told_as_that_alone(harm: str, righted: str) -> None:
    thing, _, state = harm.partition(" ")
    for note in (
        f"brooch, the {thing} was {state}, {righted}",
        f"brooch, {harm} {righted}",
        f"brooch, the {thing} was {state} {righted}, gilt worn",
    ):
        told = faults(note)
        wanted = "replaced-" if "replaced" in righted else "repaired"
        assert [each for each in told if each != "worn-plating"] != [], note
        assert all(each.startswith((wanted, "worn-plating")) for each in told), (note, told)


@every_case(
    ("note", "value", "fault"),
    [
        ("ring, has been sized up", "ring-shank=sizing-seam", "cut-shank"),
        ("ring, resized", "ring-shank=sizing-seam", "cut-shank"),
        ("earrings, converted to pierced", "earring-conversion=", "changed-earring-backs"),
        ("earrings, converted from clips", "earring-conversion=", "changed-earring-backs"),
        ("set, set not complete", "set-state=", "incomplete-set"),
    ],
)
def test_a_phrase_that_tells_of_making_and_of_a_fault_tells_of_both(
    note: str, value: str, fault: str
) -> None:
    told = lines(shipped(note))

    assert f"fault={fault}" in told
    assert any(each.startswith(value) for each in told)


@every_case(
    ("note", "told"),
    [
        ("brooch, date letter R for the year 1900", "hallmark-year: 1900"),
        ("brooch, a 1930s design", "introduced-year: 1930"),
        ("necklace, from the 1930s based on the design", "told-date: 1930 heard"),
        ("two gold filled and engraved hearts", "finish=gold-filled"),
        ("Type: Brooch / Stones: paste, foiled / Catch: C / Marks: none", "catch=c-catch"),
        ("beads with the appearance of malachite", "stone-kind=imitation-gem"),
        ("necklace, oval cut amethyst Czech glass", "colour=purple"),
        ("brooch, butterfly wing under glass", "organic=butterfly-wing"),
    ],
)
def test_words_farther_off_do_not_turn_what_is_said(note: str, told: str) -> None:
    assert told in lines(shipped(note))


@pytest.mark.parametrize(
    ("run_on", "told"),
    [
        ("bangle carved deep with leaves all round no seam small nick", "fault=chipped-part"),
        (
            "sash pin brass large purple glass stone pin missing c catch present",
            "fault=missing-pin",
        ),
        ("brooch with a rose and leaves in gilt metal The pin is bent", "fault=bent-pin"),
    ],
)
def test_without_commas_a_capital_a_denial_and_a_small_flaw_begin_anew(
    run_on: str, told: str
) -> None:
    assert told in lines(shipped(run_on))


@pytest.mark.parametrize(
    "note",
    [
        "brooch, missing: two stones, the pin stem and a dangle",
        "earrings, missing one dangle",
        "brooch, one of the hanging drops missing",
    ],
)
def test_what_hangs_and_is_gone_is_a_drop_and_no_trembler(note: str) -> None:
    told = {each.value for each in shipped(note).observations if each.feature == "fault"}

    assert "missing-drop" in told
    assert "broken-trembler" not in told
