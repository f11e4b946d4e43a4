"""Faults crossed with parts: every part noun of the rules in the frames that people use.

The frames are ways of speaking (`one of the X has gone`, `where the X should be there is nothing`),
the parts all words of the things that the rules name. A stated fault is never lost, and where the
thing is gone, replaced or broken the fault tells so.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from notes_base import shipped, shipped_vocabulary
from samples import some_of

FRAMES = {
    "gone": (
        "{x} missing",
        "the {x} has gone",
        "{x} has come off",
        "{x} off",
        "no {x} left",
        "missing its {x}",
        "has lost its {x}",
        "where the {x} should be there is nothing",
        "nothing where the {x} should be",
        "a hole where the {x} was",
        "needs a {x}",
        "no longer has its {x}",
        "could do with a new {x}",
        "one {x} off",
        "one {x} gone",
        "someone has lost the {x}",
        "only one {x} left",
        "looks like it has lost its {x}",
    ),
    "broken": (
        "{x} broken",
        "broken {x}",
        "the {x} has snapped",
        "has a broken {x}",
        "looks like the {x} broke",
        "someone has broken the {x}",
        "{x} could do with mending",
        "something wrong with the {x}",
        "{x} split at the back",
        "might need the {x} fixing",
    ),
    "replaced": (
        "{x} replaced",
        "{x} is a replacement",
        "could be a replaced {x}",
        "someone has fitted a new {x}",
        "someone has put a new {x} on",
        "looks like the {x} was replaced",
        "the {x} isn't original",
        "has had a new {x}",
        "{x} swapped for a new one",
    ),
    "mended": (
        "{x} repaired",
        "{x} soldered back on",
        "{x} has been glued back on",
        "someone has mended the {x}",
    ),
}
PIECES = {
    "stone": "brooch",
    "bead-part": "necklace",
    "pin": "brooch",
    "catch-of-a-pin": "brooch",
    "hinge-of-a-pin": "brooch",
    "hinge-of-a-body": "bangle",
    "clasp-of-a-string": "necklace",
    "ear-fitting": "earrings",
    "ear-wire": "earrings",
    "link": "bracelet",
    "guard-chain": "bracelet",
    "drop": "earrings",
    "bail-or-loop": "pendant",
    "loose-thing": "brooch",
    "glass-cover": "locket",
    "thread": "necklace",
    "shank": "ring",
}
_NO_NOUN = re.compile(
    r"^(?:the|to|on|in|a|an|of|its|two|three|four|five|one|some|all)\b|[#{/.]|of "
)
RENEWED = "replaced"
"""The state of what is seen of a part that is said to be a later one."""


def _parts() -> Iterator[tuple[str, str]]:
    """Single parts with the piece that they are of."""
    wordings = shipped_vocabulary().base.wordings
    for name, piece in PIECES.items():
        for words in wordings[name].words:
            plural = words.endswith("s") and not words.endswith("ss")
            if len(words) > 2 and not plural and not _NO_NOUN.search(words):
                yield words, piece


def _faults(note: str) -> list[str]:
    seen = shipped(note).observations
    told = [each.value for each in seen if each.feature == "fault" and each.state == "seen"]
    return told + [RENEWED for each in seen if each.state == RENEWED]


@pytest.mark.parametrize("kind", FRAMES)
def test_no_fault_of_a_part_is_lost_in_any_way_of_saying_it(kind: str) -> None:
    notes = [
        f"{piece}, {frame.format(x=words)}" for words, piece in _parts() for frame in FRAMES[kind]
    ]
    tried = some_of(notes)
    lost = [note for note in tried if not _faults(note)]

    assert len(notes) > 800
    assert len(lost) * 200 <= len(tried), lost


@pytest.mark.parametrize(
    ("note", "fault"),
    [
        ("brooch, someone has fitted a modern catch", "replaced-catch"),
        ("brooch, could be a replaced pin", "replaced-catch"),
        ("ring, shank split at the back", "cut-shank"),
        ("earrings, one dangle off", "missing-drop"),
        ("ring, only one prong left", "broken-prongs"),
        ("pendant, no bail left", "missing-part"),
        ("necklace, worn glass beads", "chipped-stones"),
        ("brooch, someone has bent the hook catch", "sprung-catch"),
    ],
)
def test_what_was_lost_in_a_phrase_is_told(note: str, fault: str) -> None:
    assert fault in _faults(note)


@pytest.mark.parametrize(
    "note",
    [
        "brooch, missing safety chain",
        "brooch, no longer has its safety chain",
        "bracelet, lost its safety chain",
        "locket, missing locket glass",
    ],
)
def test_what_is_gone_as_a_whole_is_not_seen(note: str) -> None:
    seen = {each.feature for each in shipped(note).observations if each.state == "seen"}

    assert "fault" in seen
    assert seen.isdisjoint(("fitting", "locket-inside"))


@pytest.mark.parametrize(
    "note",
    [
        "brooch, safety chain not missing",
        "bracelet, safety chain snapped but still attached",
        "bracelet, safety chain present",
        "brooch, missing rhinestone, safety chain",
    ],
)
def test_what_is_there_is_seen(note: str) -> None:
    assert any(each.value == "safety-chain" for each in shipped(note).observations)


@pytest.mark.parametrize(
    "note",
    [
        "brooch, leaf tip snapped off",
        "ring, a prong has snapped off",
        "necklace, off white beads",
        "brooch, could be replaced",
        "brooch, shows off the stones",
        "ring, opens off the shoulder",
    ],
)
def test_a_little_word_tells_of_no_other_loss(note: str) -> None:
    assert "missing-part" not in _faults(note)
    assert "missing-stones" not in _faults(note)
