"""Ways of telling a fault that stand by their grammar, each with what it comes to."""

from __future__ import annotations

from notes_base import lines, shipped
from together import every_case


def faults(note: str) -> set[str]:
    """What is told of faults, those that are denied with `not ` before them."""
    told = {line.split(":")[0] for line in lines(shipped(note)) if "fault=" in line}
    return {line.replace("fault=", "") for line in told}


@every_case(
    ("note", "told"),
    [
        # What is denied is the damage, and not the thing, whatever little words lie between.
        ("brooch, no prongs tarnished", {"not tarnish"}),
        ("brooch, no safety chains are crooked", {"not bent-plate"}),
        ("necklace, no clasps are broken", {"not missing-clasp"}),
        ("necklace, no clasp, broken link", {"missing-clasp", "broken-link"}),
        ("necklace, no clasp broken link", {"missing-clasp", "broken-link"}),
        ("brooch no pin a bent catch", {"missing-pin", "sprung-catch"}),
        # A word that denies and tells of loss tells of the loss of what stands behind it.
        ("brooch, it lacks the needle", {"missing-pin"}),
        ("brooch, lacking its catch", {"missing-catch"}),
        ("necklace lacks its original clasp", {"missing-clasp"}),
        ("brooch lacks any damage", {"not broken"}),
        # Of two things the damage is of that beside it, where `and` parts it from the other.
        ("brooch, the tail has a chip and one eye is missing", {"chipped-part", "missing-stones"}),
        ("brooch, wing nicked and stone loose", {"chipped-part", "loose-stones"}),
        ("brooch, stone and wing nicked", {"chipped-stones", "chipped-part"}),
        # A piece behind `on` is the place of a thing.
        ("the catch on this brooch is bent", {"sprung-catch"}),
        ("the hinge on this locket is bent", {"body-hinge-worn"}),
        ("the charm on this bracelet is missing", {"missing-drop"}),
        ("weak clip on one earring", {"sprung-catch"}),
        # What an exception is told to be is no more than that.
        ("bracelet, good apart from the link, which is glued", {"glue-repair"}),
        ("necklace, good apart from the clasp, which is replaced", {"replaced-clasp"}),
        ("brooch, good except for the catch", {"flaw-not-told"}),
        # Words that announce damage are none besides.
        ("this brooch has one problem: the catch is stiff", {"stuck-part"}),
        ("brooch, only issue: a stone is loose", {"loose-stones"}),
        ("brooch, damage: none", {"not broken"}),
        # A pronoun is for the thing before, also behind `though`.
        ("brooch, clasp isn't broken, though it is stiff", {"not missing-clasp", "stuck-part"}),
        # Words of damage that go on behind a phrase are no part of it.
        ("necklace, facets cut down to", {"added-fitting"}),
        ("necklace, bead drops open", {"sprung-catch"}),
        # What stands in its stead, what is unlike its mate, and how many there should be.
        ("necklace, clasp on a wire instead of its old ring", {"replaced-part"}),
        ("brooch, one drop is different from its mate", {"unlike-chain-or-drop"}),
        ("spider brooch, six legs, should be eight", {"missing-part"}),
        ("dress clip, about six marcasites down", {"missing-stones"}),
        ("brooch, three drops down the front", set()),
        ("bangle, seam opening up", {"broken"}),
        # A part that does not do something, whatever it is; what is no harm is none.
        ("brooch, the pin doesn't reach the catch", {"state-not-understood"}),
        ("earrings, the stones don't have any marks", set()),
        # Of the whole piece, whatever was named right before.
        ("brooch with rhinestones, A/F", {"broken"}),
        # What is lost may be a quality.
        ("earrings, clip has lost its tension", {"sprung-catch"}),
        # The nearest thing before is meant.
        ("ring, large glass turns in its claws", {"loose-stones"}),
        ("watch pin, damp has got in", {"state-not-understood"}),
        # A word that denies harm, and what is free of it.
        ("glass pendant, unbroken", set()),
        ("brooch, rust free", {"not rusty-steel"}),
        ("brooch, mirror finish unmarked by scratches", {"not scratches"}),
        # A thing of its own: stiff is not loose, off is not cracked, yellow is not peeling.
        ("ring, the head is stiff", {"stuck-part"}),
        ("earrings, one screw is stiff", {"stuck-part"}),
        ("pendant, cameo has come unglued from the frame", {"loose-stones"}),
        ("necklace, the pearls have yellowed", {"discolored"}),
        ("brooch, one stone isn't the same blue as the others", {"mismatched-stones"}),
        ("locket, water damage behind the glass", {"discolored"}),
        ("brooch for parts or repair only", {"broken"}),
        ("brooch, foil dark", {"dead-foil"}),
        ("brooch, stones are dark", {"dead-foil"}),
        ("brooch, stones are dark green", set()),
        ("brooch, cloudy rhinestone", {"cloudy-stones"}),
        ("ring, cloudy moonstone", set()),
        ("bangle, the lucite is cloudy", {"discolored"}),
        ("brooch, two scratched beads", {"cloudy-stones"}),
        ("ring, prongs need retightening", {"loose-stones"}),
        ("bracelet, one link is opened up", {"broken-link"}),
        ("earrings don't quite match", {"mismatched-pair"}),
        ("bracelet has seen better days", {"general-wear"}),
        ("brooch, 3 marcasites lacking trombone catch", {"missing-stones"}),
        # So many of so many left: the rest are gone, and told by their number.
        ("brooch, 3 of the 5 stones are blue", set()),
        ("brooch, 12 of 12 stones present", set()),
    ],
)  # fmt: skip
def test_a_fault_is_told_of_its_thing(note: str, told: set[str]) -> None:
    assert faults(note) == told


@every_case(
    "note",
    [
        "earrings, only 5 of the 7 drops remain",
        "brooch, five of seven stones present",
        "brooch has 5 of its 7 stones left",
        "brooch, 2 of the 7 stones are missing",
    ],
)
def test_what_is_left_of_so_many_tells_how_many_are_gone(note: str) -> None:
    (told,) = [line for line in lines(shipped(note)) if line.startswith("fault=missing-")]

    assert told.endswith(": 2")
