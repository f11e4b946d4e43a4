"""Words of harm are told wherever they stand; what only sounds like harm is none."""

from __future__ import annotations

from notes_base import shipped
from together import every_case


def _faults(note: str) -> list[str]:
    return [
        each.value
        for each in shipped(note).observations
        if each.feature == "fault" and each.state == "seen" and not each.heard
    ]


@every_case(
    "note",
    [
        "turquoise ring has a fracture running through",
        "pearls, bald patches",
        "paste earrings, haze under the glass",
        "silver ring, squeezed oval",
        "brooch, base metal peeping out",
        "bracelet where the skin has eaten the gold off",
        "cigarette case style compact, lid no longer attached to base",
        "cameo brooch - no needle at back, jeweller needed",
        "bracelet with one link which came from something else",
        "pendant with a chain in another tone of gold",
        "Necklace. Of the 40 little crystals 38 remain.",
        "pair of clips one bigger",
        "ring, stone turns in its mount",
        "necklace chain in 2 pcs",
        "brooch with box, box poor",
        "brooch, worn",
    ],
)
def test_harm_is_told(note: str) -> None:
    assert _faults(note), note


@every_case(
    "note",
    [
        "cracked ice lucite earrings",
        "locket pendant, would need a chain to wear",
        "a gift after my mother broke her arm, brooch",
        "brooch bought to replace one I lost",
        "pin from the 40s, this one was missing from my collection until now",
        "foggy grey lucite bangle",
        "rose in bent wire, modernist brooch",
        "crown brooch with a missing piece puzzle motif",
        "brooch, free of any fractures",
        "used in this unusual piece, brooch",
        "brooch, worn by my grandmother",
        "stones do not move, ring",
        "the lamp was cheap, brooch",
    ],
)
def test_no_harm_is_made_up(note: str) -> None:
    assert _faults(note) == [], note


def test_spaced_slashes_part_things_of_several_words() -> None:
    def meant(note: str) -> set[tuple[str, object]]:
        return {(each.feature, each.value) for each in shipped(note).observations}

    pieces = ("gold tone initial pendant", "huge letter D", "Monet")
    assert meant(" / ".join(pieces)) == meant(", ".join(pieces))
    assert meant("brooch, pink / white / blue beads") == meant("brooch, pink/white/blue beads")
