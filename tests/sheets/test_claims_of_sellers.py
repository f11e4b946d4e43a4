"""What sellers write: one flag where the same is said twice, likenesses, names, wars, sums."""

from __future__ import annotations

from shipped_base import shipped_reader
from together import every_case

from markrules.reading.reader import Request
from markrules.sheets.claims import check_text

UNSIGNED = "brooch, unsigned, rhinestones, gold tone"


def flagged(note: str, text: str) -> list[str]:
    reader = shipped_reader()
    flags = check_text(reader.base, text, reader.read(Request(note=note)))
    return [flag.words for flag in flags]


@every_case(
    ("note", "text", "words"),
    [
        # The same, said twice in one breath; said again in another sentence, it counts again.
        (
            UNSIGNED,
            "Hypoallergenic so fine for sensitive ears.",
            ["Hypoallergenic so fine for sensitive ears"],
        ),
        (UNSIGNED, "Hypoallergenic. Nickel free.", ["Hypoallergenic", "Nickel free"]),
        (UNSIGNED, "Relieves anxiety.", ["Relieves anxiety"]),
        (UNSIGNED, "Boosts immunity.", ["Boosts immunity"]),
        # Names written large, whoever it is.
        (UNSIGNED, "Unmarked but by Grandstaff.", ["by Grandstaff"]),
        (UNSIGNED, "Rhinestones, posted by Monday, by me, by my daughter.", []),
        # What is only likened on record.
        (
            "cufflinks, mother of pearl look, base metal",
            "Cufflinks with mother of pearl faces.",
            ["with mother of pearl"],
        ),
        ("cufflinks, mother of pearl, base metal", "Cufflinks with mother of pearl faces.", []),
        ("cameo brooch, shell looking", "A shell cameo brooch.", ["shell cameo brooch"]),
        ("shell cameo brooch", "A shell cameo brooch.", []),
        # Wars, places, sums.
        ("locket, yellow metal, 1980s", "WW1 sweetheart locket.", ["WW1"]),
        (UNSIGNED, "£195 in the shop.", ["195 in the shop"]),
        (UNSIGNED, "Sold for £195.", []),
        ("necklace, amber coloured beads", "Baltic, honey glow.", ["Baltic"]),
        (UNSIGNED, "Rare colour, do not miss it.", ["Rare colour"]),
        # What is on record.
        ("cufflinks, silver hallmarked", "Hallmarked silver.", []),
        ("cufflinks, silver tone", "Hallmarked silver.", ["Hallmarked silver"]),
        ("bracelet, lava beads, elastic", "Pop a drop of oil on the lava.", []),
        ("bracelet, glass beads, elastic", "Pop a drop of oil on the lava.", ["lava"]),
        (UNSIGNED, "Leave the real one at home.", []),
        ("brooch frame, agates, one chipped", "Scottish pebble brooch.", []),
    ],
)
def test_what_is_flagged(note: str, text: str, words: list[str]) -> None:
    assert flagged(note, text) == words
