"""No stated fault is lost: more than three hundred ways of saying one, generated.

Things, what befalls them and the turns of phrase are listed here apart from the rules. For each
the faults that a jeweler would write down are given; a fault must always arise, and nearly
always one of those.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from notes_base import lines, shipped
from together import every_case

AFTER = (
    "{thing} {harm}",
    "the {thing} is {harm}",
    "one {thing} is {harm}",
    "{thing} unfortunately {harm}",
    "left hand {thing} has been {harm}",
    "lovely old {piece} with the {thing} {harm}",
    "{thing} on one side {harm}, otherwise nice",
)
BEFORE = (
    "{harm} {thing}",
    "has a {harm} {thing}",
    "comes with one {harm} {thing}",
    "nice {piece} but {harm} {thing}",
)
GONE = (
    "{thing} missing",
    "missing a {thing}",
    "missing its {thing}",
    "{thing} is missing",
    "one {thing} has gone",
    "{thing} lost",
    "lost a {thing}",
    "{thing} has fallen off",
    "{thing} came off",
    "minus one {thing}",
    "{thing} no longer there",
    "{thing} absent",
)
STONES = {
    "missing": {"missing-stones"},
    "cracked": {"cracked-stone", "crazed-glass"},
    "chipped": {"chipped-stones"},
    "loose": {"loose-stones"},
    "replaced": {"replaced-stones"},
    "scratched": {"cloudy-stones", "scratches"},
}
CLASPS = {
    "missing": {"missing-clasp", "missing-catch"},
    "broken": {"missing-clasp", "missing-catch"},
    "bent": {"sprung-catch", "bent-plate"},
    "loose": {"sprung-catch"},
    "replaced": {"replaced-clasp", "replaced-catch"},
    "stiff": {"stuck-part"},
}
THINGS: dict[tuple[str, str], dict[str, set[str]]] = {
    ("brooch", "stone"): STONES,
    ("ring", "sapphire"): STONES,
    ("earrings", "rhinestone"): STONES,
    ("bracelet", "cabochon"): STONES,
    ("necklace", "bead"): STONES,
    ("brooch", "catch"): CLASPS,
    ("necklace", "clasp"): CLASPS,
    ("bracelet", "clasp"): CLASPS,
    ("brooch", "pin"): {
        "missing": {"missing-pin"},
        "bent": {"bent-pin"},
        "broken": {"missing-pin"},
        "replaced": {"replaced-catch"},
        "rusty": {"rusty-steel"},
        "snapped": {"missing-pin"},
    },
    ("brooch", "hinge"): {
        "broken": {"missing-pin", "missing-catch"},
        "loose": {"sprung-catch"},
        "replaced": {"replaced-catch"},
        "stiff": {"stuck-part"},
    },
    ("brooch", "enamel"): {
        "chipped": {"chipped-enamel"},
        "cracked": {"chipped-enamel"},
        "flaking": {"chipped-enamel"},
        "worn": {"chipped-enamel"},
        "damaged": {"chipped-enamel"},
    },
    ("necklace", "link"): {
        "missing": {"broken-link"},
        "broken": {"broken-link"},
        "stretched": {"broken-link"},
        "replaced": {"replaced-part"},
    },
    ("earrings", "clip"): {
        "missing": {"missing-earring-back"},
        "broken": {"missing-earring-back"},
        "loose": {"sprung-catch"},
        "replaced": {"changed-earring-backs"},
    },
    ("earrings", "drop"): {"missing": {"missing-drop"}, "broken": {"missing-drop"}},
    ("ring", "claw"): {
        "missing": {"broken-prongs"},
        "bent": {"broken-prongs"},
        "worn": {"broken-prongs"},
        "broken": {"broken-prongs"},
    },
    ("necklace", "pearl"): {
        "missing": {"missing-stones"},
        "peeling": {"peeling-pearls"},
        "chipped": {"peeling-pearls"},
        "yellowed": {"peeling-pearls"},
    },
    ("bangle", "celluloid"): {"cracked": {"sick-celluloid"}, "sticky": {"sick-celluloid"}},
    ("bangle", "bakelite"): {"cracked": {"broken-plastic-glued"}, "chipped": {"chipped-part"}},
    ("brooch", "gold plating"): {
        "worn": {"worn-plating"},
        "peeling": {"flaking-plating"},
        "flaking": {"flaking-plating"},
        "bubbling": {"blistered-plating"},
    },
    ("brooch", "beak"): {"missing": {"broken", "missing-part"}, "snapped": {"broken"}},
    ("brooch", "petal"): {"bent": {"bent-plate"}, "missing": {"broken", "missing-part"}},
    ("bracelet", "safety chain"): {
        "missing": {"missing-safety-chain"},
        "broken": {"missing-safety-chain"},
    },
    ("pendant", "thread"): {"frayed": {"brittle-string"}, "broken": {"brittle-string"}},
    ("locket", "frame"): {"dented": {"dents"}, "cracked": {"cracked-casting"}},
}


def ways() -> Iterator[tuple[str, set[str]]]:
    """Every way, with the faults that are right."""
    for (piece, thing), harms in THINGS.items():
        for harm, faults in harms.items():
            turns = GONE if harm == "missing" else (*AFTER, *BEFORE)
            for turn in turns:
                said = turn.format(thing=thing, harm=harm, piece=piece)
                yield f"{piece}, {said}", faults


def _faults(note: str) -> set[str]:
    told = lines(shipped(note))
    return {line.partition("=")[2].partition(":")[0] for line in told if line.startswith("fault=")}


def test_no_fault_is_lost_in_more_than_three_hundred_ways_of_saying_one(
    capsys: pytest.CaptureFixture[str],
) -> None:
    tried = [(note, faults, _faults(note)) for note, faults in ways()]
    lost = [note for note, _, made in tried if not made]
    other = [f"{note}: {made}" for note, faults, made in tried if made and not made & faults]
    with capsys.disabled():
        print(f"\n{len(tried)} ways of saying a fault: {len(lost)} lost, {len(other)} another")

    assert len(tried) >= 300
    assert lost == []
    assert len(other) <= len(tried) // 50, other


@every_case(
    ("note", "fault"),
    [
        ("brooch, lots of sparkly stones, one is missing", "missing-stones"),
        ("brooch, a clear rhinestone is missing", "missing-stones"),
        ("brooch, snapped in half", "broken"),
        ("brooch, C catch replaced", "replaced-catch"),
        ("brooch, 2 missing", "missing-stones"),
        ("bracelet, end stones don't match the others", "mismatched-stones"),
        ("bangle, celluloid, sticky and smells of vinegar", "sick-celluloid"),
        ("brooch, tiny chip", "chipped-part"),
        ("earrings, lost two rhinestones", "missing-stones"),
        ("brooch, stem broken off", "missing-pin"),
        ("necklace, clasp doesn't close", "sprung-catch"),
        ("brooch, no pin stem", "missing-pin"),
    ],
)
def test_faults_that_were_once_lost(note: str, fault: str) -> None:
    assert fault in _faults(note)


@every_case(
    "note",
    [
        "brooch, no stones missing",
        "bangle, free of chips and cracks",
        "ring, not broken",
        "brooch, nothing missing",
        "necklace, coral chips",
        "ring, lost wax casting",
        "brooch, dark green stones",
        "brooch, worn on the lapel",
        "brooch, can be worn as a pendant",
        "brooch, broken heart design",
    ],
)
def test_what_is_no_fault_makes_none(note: str) -> None:
    assert _faults(note) == set()


def test_a_replaced_part_does_not_date_the_piece() -> None:
    told = shipped("brooch, C catch replaced, rollover catch, gilt")

    states = {(each.feature, each.value): each.state for each in told.observations}
    assert states["catch", "c-catch"] == "replaced"
    assert states["catch", "rollover"] == "seen"
