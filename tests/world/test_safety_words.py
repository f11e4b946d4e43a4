"""Safety words that a piece calls for, each told once; and none where it would be wrong.

Sources stand with the entries: the U.S. CPSC on button cells as told by the press in 2023, NRC
ML24303A127 on "ion" goods, the EPA on uranium in glass and glazes, the Poison Book Project on
arsenic green, the Ivory Act 2018 as extended in January 2025, REACH Annex XVII entries 23 and 63.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from shipped_base import shipped_reader
from together import every_case

from markrules.reading.reader import Reader, Request

RULES = Path(__file__).parents[2] / "rules"


@cache
def reader() -> Reader:
    return shipped_reader()


def cautions(note: str) -> list[str]:
    return [each.caution for each in reader().read(Request(note=note, next_looks=0)).cautions]


WORDINGS = {
    "button-cells": (
        "watch brooch, quartz movement",
        "musical brooch, plays a tune, coin battery",
        "digital watch pendant, battery still in it",
    ),
    "seeds-that-poison": (
        "bracelet, rosary peas",
        "necklace, castor beans",
        "seed necklace, red seeds with a black spot",
    ),
    "seeds-of-an-unknown-plant": (
        "bracelet of real seeds",
        "seed necklace",
        "necklace, dried seeds",
    ),
    "dust-of-phenolic-and-copper-stone": (
        "bangle, bakelite",
        "bracelet, catalin",
        "phenolic resin brooch",
        "brooch, malachite",
        "necklace of malachite beads",
    ),
    "dust-of-shell-coral-and-lacquer": (
        "necklace, coral",
        "coral bead necklace",
        "brooch, abalone",
        "cowrie shell necklace",
        "shell beads",
        "brooch, carved cinnabar lacquer",
        "cinnabar beads",
    ),
    "uranium-in-glass-and-enamel": (
        "necklace, uranium glass",
        "vaseline glass beads",
        "green glass that glows under black light",
    ),
    "uranium-in-orange-glaze-and-enamel": (
        "orange glaze pottery brooch",
        "ceramic pendant, orange-red glaze",
        "bright orange enamel brooch",
    ),
    "pendants-that-radiate": (
        "necklace, negative ion pendant",
        "quantum scalar energy pendant",
        "ion bracelet",
    ),
    "green-that-is-arsenic": (
        "brooch in a box, emerald green lining",
        "box lined with bright green paper",
        "brooch, its box with vivid green lining",
    ),
    "earrings-that-others-wore": (
        "earrings, shepherd hooks",
        "clip earrings converted to pierced",
        "nose ring",
    ),
    "ivory-of-other-animals": (
        "brooch, whale tooth",
        "walrus tusk pin",
        "hornbill",
        "warthog tusk pendant",
        "narwhal ivory ring",
        "hippo tooth beads",
    ),
    "ivory-law": ("brooch, carved ivory", "ivory bangle", "necklace, ivory beads"),
    "tortoiseshell-law": ("tortoiseshell comb", "tortoise shell hair comb", "pin, hawksbill"),
    "coral-law": ("coral branch necklace", "earrings, angel skin coral", "coral bead necklace"),
    "other-wildlife-law": (
        "elephant hair bracelet",
        "snake skin bracelet",
        "necklace, horn beads",
    ),
    "feathers-law": ("egret feather aigrette", "hair pin, kingfisher feather", "feather earrings"),
    "european-limits-on-lead-and-cadmium": (
        "brooch, pot metal",
        "white metal pendant",
        "pewter pendant",
    ),
    "lead-in-soft-grey-metal": ("brooch, pot metal", "white metal pendant", "pewter pendant"),
    "nickel-allergy": ("nickel silver ring", "german silver chain", "nickel plated earrings"),
    "mercury-in-fire-gilding": ("fire gilt brooch", "mercury gilt button", "buckle, fire gilt"),
    "celluloid-burns": ("celluloid bangle", "french ivory brooch", "cellulose nitrate hair comb"),
    "old-watch-dials-may-glow": (
        "luminous dial lapel watch",
        "radium dial",
        "watch, radium numerals",
        "watch brooch, C catch",
        "pendant watch, stopped",
    ),
}
"""Ways of saying what does harm or falls under a law."""


@every_case(
    ("note", "caution"),
    [(note, caution) for caution, notes in WORDINGS.items() for note in notes],
)
def test_a_piece_that_can_do_harm_says_so_once(note: str, caution: str) -> None:
    assert cautions(note).count(caution) == 1


@every_case(
    ("note", "caution"),
    [
        ("necklace, amber", "other-wildlife-law"),
        ("earrings, clip backs", "earrings-that-others-wore"),
        ("watch brooch, wind up", "button-cells"),
        ("watch brooch, quartz movement", "old-watch-dials-may-glow"),
        ("necklace of rosary pea seeds", "seeds-of-an-unknown-plant"),
        ("red and black jequirity seeds", "seeds-of-an-unknown-plant"),
        ("brooch, green glass", "uranium-in-glass-and-enamel"),
        ("bangle, celluloid", "dust-of-phenolic-and-copper-stone"),
        ("brooch, vegetable ivory", "ivory-of-other-animals"),
        ("brooch, whale tooth", "ivory-law"),
        ("string of amber beads", "other-wildlife-law"),
        ("seed bead necklace", "seeds-of-an-unknown-plant"),
        ("coconut shell pendant", "seeds-of-an-unknown-plant"),
        ("earrings converted to clips", "earrings-that-others-wore"),
        ("brooch, blue enamel", "uranium-in-orange-glaze-and-enamel"),
        ("hummingbird brooch", "feathers-law"),
    ],
)
def test_and_one_that_cannot_does_not(note: str, caution: str) -> None:
    assert caution not in cautions(note)


def test_no_words_are_said_twice() -> None:
    for note in ("earrings, abalone, shepherd hooks, pot metal", "brooch, whale tooth, coral"):
        said = [each.say for each in reader().read(Request(note=note, next_looks=0)).cautions]
        assert len(said) == len(set(said)) > 2


TOLD = re.compile(r"^    \s*(?:ask|look|say|hazard|caution|misleads|why|note)\s", re.MULTILINE)
DOING_HARM = re.compile(
    r"(?:^|[.;:]\s+)(?:then |first |carefully |gently )?"
    r"(?:(?:burn|heat|char|singe|prick|file|scratch|sand|grind|drill)"
    r" (?:it|them|the|a|an|one|some|off|into|through)"
    r"|warm it over|touch it with|(?:drop|put|apply) acid|test it with acid|acid[- ]test)\b",
    re.IGNORECASE,
)


def test_no_rule_tells_a_person_to_burn_heat_file_or_acid_test_a_piece() -> None:
    """Every sentence that a person may be told, in every file of rules, taken as an order."""
    told = 0
    for path in sorted(RULES.rglob("*.rules")):
        lines = path.read_text(encoding="utf-8").splitlines()
        for index, line in enumerate(lines):
            if not TOLD.match(line):
                continue
            text = [line]
            for following in lines[index + 1 :]:
                if not following.lstrip().startswith('"'):
                    break
                text.append(following)
            sentence = " ".join(re.findall(r'"((?:[^"\\]|\\.)*)"', " ".join(text)))
            told += 1
            found = DOING_HARM.search(sentence)
            assert found is None, f"{path.name}:{index + 1}: {sentence}"
    assert told > 3000
