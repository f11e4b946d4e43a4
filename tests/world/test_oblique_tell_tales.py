"""Parts and the tell-tales that people tell of at them, without drawing a conclusion.

Each way of telling stands beside each part, in turning orders of the words, and is to come to a
remark that blames the part. All notes are invented. A third of the ways of telling, drawn by their
hash, was not looked at while words were added: of these 82% were named at first, and 90% once
whole classes of words had been filled up. (Before there were such remarks, half of the others
were named.)
"""

from __future__ import annotations

from collections.abc import Iterator
from hashlib import sha256
from typing import NamedTuple

import pytest
from samples import some_of
from shipped_base import shipped_reader
from together import every_case

from markrules.auditing.doubts import named_rightly
from markrules.reading.reader import Request

NAMED_AT_LEAST = 0.93
NAMED_OF_THOSE_LAID_ASIDE = 0.85

FASTENING = "catch pin-stem hinge pin-mount catch-working stem-metal"
EAR_FITTING = "earring-back clip-mechanism ear-pad"
PARTS = (
    ("silver brooch with blue paste", "pin", False, FASTENING),
    ("gilt flower brooch", "catch", False, FASTENING),
    ("cameo brooch in a rope frame", "pin stem", False, FASTENING),
    ("enamel bar brooch", "hinge", False, FASTENING),
    ("garnet brooch", "back", False, "back-texture pin-mount"),
    ("shell cameo brooch", "frame", False, "setting back-texture pin-mount"),
    ("paste star brooch", "centre stone", False, "gem stone-kind stone-cut stone-back setting"),
    ("glass bead necklace", "clasp", False, "clasp clasp-make"),
    ("silver pendant on a chain", "chain", False, "chain-link chain-length"),
    ("crystal necklace", "drop", False, "hang moving-part"),
    ("enamel pendant", "bail", False, "bail"),
    ("pearl necklace", "string", False, "stringing"),
    ("amber necklace", "beads", True, "bead pearl"),
    ("rhinestone earrings", "clips", True, EAR_FITTING),
    ("jet earrings", "ear wires", True, EAR_FITTING),
    ("coral earrings", "drops", True, "hang moving-part"),
    ("cluster ring", "shank", False, "ring-shank"),
    ("garnet ring", "head", False, "setting ring-form"),
    ("opal ring", "claws", True, "setting stone-seating solder-work"),
    ("gilt bracelet", "safety chain", False, "chain-link chain-length"),
    ("charm bracelet", "links", True, "chain-link chain-length"),
    ("silver locket", "lid", False, "compartment locket-inside"),
    ("hair locket", "glass", False, "compartment locket-inside"),
    ("paste shoe buckle", "tongue", False, "buckle-fitting"),
)
"""A piece, its part, whether that is a plural, and the features of the part."""

AT_A_PART = (
    "the {P} {is} yellower than the rest",
    "the {P} {is} a different colour",
    "{P} of a redder gold than the body",
    "two colours of gold, the {P} pale and the rest rosy",
    "the {P} {is} not the same colour as the front",
    "the colour of the {P} is off",
    "{P} in a greyer metal",
    "everything is rosy except the {P}",
    "the {P} {is} a good deal brighter",
    "everything is dulled but the {P}",
    "only the {P} {is} bright",
    "the rest has tarnished, the {P} {has} not",
    "there is no tarnish on the {P} although the front is black",
    "the whole thing is dull apart from the {P}",
    "the {P} {is} hardly worn while the front is rubbed",
    "not a scratch on the {P}, the rest is scratched all over",
    "the front is worn, the {P} {is} not",
    "worn everywhere but at the {P}",
    "wear on the front does not go on to the {P}",
    "the {P} {has} none of the wear of the rest",
    "body worn thin, {P} hardly scratched",
    "the {P} look{s} too new",
    "the {P} do{es}n't look as old as the front",
    "the {P} look{s} like yesterday",
    "the {P} can't be as old as the rest",
    "I doubt the {P} {is} as old",
    "the front is far older than the {P}",
    "the {P} do{es} not match",
    "the {P} look{s} out of place",
    "the {P} seem{s} to come from something else",
    "the {P} {is} not what I would expect on this",
    "I would have expected another {P}",
    "the {P} {is} of a cheaper sort than the rest",
    "something is wrong with the {P}",
    "the {P} {is} too big for it",
    "the {P} do{es}n't quite fit",
    "the {P} {was} made for something larger",
    "the {P} {is} out of scale",
    "the {P} {is} a bad fit",
    "the {P} {has} been bent to fit",
    "solder blobs at the {P}",
    "messy solder where the {P} join{s}",
    "a smear of solder under the {P}",
    "the {P} {is} swimming in solder",
    "blobs where the {P} {is} attached",
    "untidy soldering by the {P}",
    "glue round the {P}",
    "a glue line under the {P}",
    "there is dried glue by the {P}",
    "the {P} {is} held on with glue",
    "a shiny line of adhesive at the {P}",
    "file marks beside the {P}",
    "somebody has filed the {P}",
    "coarse filing by the {P}",
    "grinding marks under the {P}",
    "plier marks on the {P}",
)
WITHOUT_A_PART = (
    "two small holes near the edge that do nothing",
    "holes nothing goes through",
    "unused holes in the rim",
    "four empty holes that serve no purpose",
    "tiny holes that are not used for anything",
    "a drilled hole that makes no sense",
    "a stump where a loop was",
    "the remains of a filed down stalk",
    "little stubs of wire left behind",
    "what is left of a hook",
    "half of a hinge still there",
    "the ghost of a clip across the back",
    "a paler patch where something sat",
    "you can see where another pin was",
    "a mark where something was attached",
    "print of a former hinge on the metal",
    "a loop that holds nothing",
    "an eye at the bottom with nothing hanging from it",
    "a ring on each end that does nothing",
    "loops for something that is gone",
    "a filled hole beside the edge",
    "holes stopped with solder",
    "a plug of metal where a hole was",
    "holes that have been soldered shut",
)
PIECES = ("oval brooch", "silver pendant", "gold earrings", "paste ring", "link bracelet")
ORDERS = ("{piece}, {told}", "{told}, {piece}", "{piece}; bought at a fair; {told}; else sound")
OF_PARTS = ("replaced", "repaired", "married", "old-part", "converted")
OF_TRACES = ("converted", "repaired", "replaced")


class Told(NamedTuple):
    """A note, and the kinds and features of which one is to be named."""

    note: str
    kinds: tuple[str, ...]
    parts: tuple[str, ...]


def laid_aside(way: str) -> bool:
    return int(sha256(way.encode()).hexdigest(), 16) % 3 == 0


def said_of(way: str, part: str, plural: bool) -> str:
    forms = {
        "is": ("is", "are"),
        "has": ("has", "have"),
        "was": ("was", "were"),
        "s": ("s", ""),
        "es": ("es", ""),
    }
    return way.format(P=part, **{name: both[plural] for name, both in forms.items()})


def notes(*, aside: bool) -> Iterator[Told]:
    for number, way in enumerate(AT_A_PART):
        for at, (piece, part, plural, features) in enumerate(PARTS):
            if laid_aside(way) is aside:
                order = ORDERS[(number + at) % len(ORDERS)]
                told = said_of(way, part, plural)
                parts = tuple(features.split())
                yield Told(order.format(piece=piece, told=told), OF_PARTS, parts)
    for number, way in enumerate(WITHOUT_A_PART):
        for at, piece in enumerate(PIECES):
            if laid_aside(way) is aside:
                order = ORDERS[(number + at) % len(ORDERS)]
                yield Told(order.format(piece=piece, told=way), OF_TRACES, ())


@pytest.mark.parametrize(
    ("aside", "least"), [(False, NAMED_AT_LEAST), (True, NAMED_OF_THOSE_LAID_ASIDE)]
)
def test_an_oblique_tell_tale_names_its_part(aside: bool, least: float) -> None:
    told = some_of(notes(aside=aside), least=150)
    reader = shipped_reader()

    missed = [
        each.note
        for each in told
        if not named_rightly(
            reader.read(Request(note=each.note, next_looks=0)), each.kinds, each.parts
        )
    ]

    print(f"\n{len(told) - len(missed)} of {len(told)} named rightly")
    assert 1 - len(missed) / len(told) >= least, missed


@every_case(
    "note",
    [
        "necklace, the centre bead is larger than the others",
        "brooch, all complete except for the pin",
        "earrings, rhinestones glued as usual",
        "silver brooch, no glue, no solder, the catch works",
        "rhinestone brooch, an empty hole where a stone is missing",
        "bracelet, extra links included",
        "brooch with a loop for a safety chain",
        "ring, the shank tapers to the back, no repairs",
        "brooch, name on the back, maker's mark worn",
    ],
)
def test_what_a_designer_meant_or_a_sound_piece_is_no_tell_tale(note: str) -> None:
    assert not [
        each.name for each in shipped_reader().read(Request(note=note, next_looks=0)).misleading
    ]
