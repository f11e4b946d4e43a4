"""What is denied stays denied along a list, and what is said behind it does not."""

from __future__ import annotations

from notes_base import lines, shipped
from together import every_case

DENIED = {
    "brooch, no chips, cracks or losses": {"chipped-part", "cracked-part", "missing-part"},
    "ring, No chips, cracks, or repairs.": {"chipped-part", "cracked-part", "repaired"},
    "brooch, free of chips, cracks and scratches": {"chipped-part", "cracked-part", "scratches"},
    "bangle, not cracked, chipped or repaired": {"cracked-part", "chipped-part", "repaired"},
    "brooch, there's no damage, cracks etc": {"broken", "cracked-part"},
    "brooch, no visible damage or repairs": {"broken", "repaired"},
    "brooch, no dents dings or scratches": {"dents", "scratches"},
    "brooch, neither chipped nor cracked": {"chipped-part", "cracked-part"},
    "brooch, no scratches on the back or dents": {"scratches", "dents"},
    "earrings, no missing or loose stones": {"missing-stones", "loose-stones"},
    "ring, no chips or cracks in the stone": {"chipped-stones", "cracked-stone"},
    "brooch with no cracks in the stone or chips to the enamel": {
        "cracked-stone",
        "chipped-enamel",
    },
    "brooch, zero flaws": {"general-wear"},
    "locket, the hinge isn't loose": {"body-hinge-worn"},
    "brooch, stones not loose": {"loose-stones"},
}
KEPT = {
    "brooch, no missing stones, bent pin": {"bent-pin"},
    "brooch, no stones missing but the pin is bent": {"bent-pin"},
    "bangle, no cracks that I can see, few scratches": {"scratches"},
    "brooch, no chips, a crack in one stone": {"cracked-stone"},
    "brooch, no chips and bent pin": {"bent-pin"},
    "brooch, no damage, 2 stones missing": {"missing-stones"},
    "brooch, no rust, no verdigris, one bent prong": {"broken-prongs"},
    "brooch, no cracks. Repaired": {"repaired"},
}


def _faults(note: str, state: str) -> set[str]:
    told = (line.partition(": ")[0] for line in lines(shipped(note)))
    return {line.removeprefix(state) for line in told if line.startswith(state)}


@every_case("note", DENIED)
def test_a_denial_reaches_all_that_it_lists(note: str) -> None:
    assert _faults(note, "fault=") == set()
    assert _faults(note, "not fault=") == DENIED[note]


@every_case("note", KEPT)
def test_what_a_denial_does_not_reach_is_a_fault(note: str) -> None:
    assert _faults(note, "fault=") == KEPT[note]


@every_case(
    ("note", "ruled_out"),
    [
        ("brooch, no catch no hinge", {"no catch", "no hinge"}),
        ("brooch, no rhinestones, or amethysts", {"not stone-kind=rhinestone", "not gem=amethyst"}),
        ("brooch without catch without hinge", {"no catch", "no hinge"}),
        ("brooch, no rollover catch no tube hinge", {"not catch=rollover", "not hinge=tube-hinge"}),
    ],
)
def test_a_second_denial_does_not_take_the_first_back(note: str, ruled_out: set[str]) -> None:
    told = {line.partition(": ")[0] for line in lines(shipped(note))}
    assert ruled_out <= told, told
