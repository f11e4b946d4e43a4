"""No fault is lost, whatever turn of phrase states it, and none made of one that denies it.

Words for states, things and turns of phrase are listed here apart from the rules; every thing is
said to be in every state that can befall it, in turns drawn with one seed. For each the faults
are given, as a pattern, that a jeweler would write down.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import product

import pytest
from notes_base import lines, shipped
from samples import some_of
from together import every_case

STATES: dict[str, tuple[str, ...]] = {
    "missing": ("missing", "gone", "lost", "fallen out"),
    "broken": ("broken", "snapped"),
    "loose": ("loose", "wobbly"),
    "chipped": ("chipped",),
    "cracked": ("cracked",),
    "bent": ("bent", "crooked"),
    "worn": ("worn", "rubbed"),
    "replaced": ("replaced", "not original"),
    "glued": ("glued back", "reglued"),
    "repaired": ("repaired", "mended"),
    "mismatched": ("mismatched", "odd"),
    "dark": ("gone dark", "tarnished"),
    "cloudy": ("cloudy",),
    "yellowed": ("yellowed", "discolored"),
    "peeling": ("peeling", "flaking"),
    "sticky": ("sticky",),
    "stuck": ("stuck", "stiff", "jammed"),
    "dented": ("dented",),
    "smelly": ("smelly",),
}
"""What may befall a thing, and adjectives for it."""

THINGS: tuple[tuple[str, str, str, dict[str, str]], ...] = (
    (
        "brooch",
        "stone",
        "stones",
        {
            "missing": "missing-stones",
            "loose": "loose-stones",
            "chipped": "chipped-stones|chipped-part",
            "cracked": "cracked-stone",
            "replaced": "replaced-stones",
            "glued": "glue-repair|replaced-stones",
            "mismatched": "mismatched-stones|replaced-stones",
            "cloudy": "cloudy-stones|dead-foil",
            "yellowed": "yellow|discolored|dead-foil",
            "dark": "dead-foil|tarnish|cloudy|discolored",
        },
    ),
    (
        "brooch",
        "catch",
        "catch",
        {
            "missing": "missing-catch",
            "broken": "sprung-catch|missing-catch|broken",
            "loose": "sprung-catch|loose-part",
            "bent": "bent|sprung",
            "worn": "sprung-catch|wear|worn",
            "replaced": "replaced-catch",
            "repaired": "repaired|solder|glue",
            "stuck": "stuck|sprung",
            "glued": "glue|repaired",
        },
    ),
    (
        "brooch",
        "pin",
        "pin",
        {
            "missing": "missing-pin",
            "broken": "missing-pin|broken|bent-pin|sprung",
            "bent": "bent-pin",
            "loose": "sprung|loose",
            "replaced": "replaced-catch|replaced-part",
            "stuck": "stuck|sprung",
        },
    ),
    (
        "brooch",
        "hinge",
        "hinge",
        {
            "broken": "sprung|missing-pin|broken|missing-catch",
            "loose": "sprung|loose",
            "worn": "sprung|wear|worn",
            "replaced": "replaced",
            "stuck": "stuck|sprung",
            "repaired": "repaired|solder",
        },
    ),
    (
        "brooch",
        "enamel",
        "enamel",
        {
            "missing": "chipped-enamel",
            "chipped": "chipped-enamel",
            "cracked": "chipped-enamel|crack",
            "worn": "chipped-enamel|worn|wear",
            "peeling": "chipped-enamel",
            "repaired": "repainted|repaired",
        },
    ),
    (
        "brooch",
        "plating",
        "plating",
        {
            "missing": "plating",
            "worn": "plating",
            "peeling": "plating",
            "dark": "tarnish|plating|blister",
        },
    ),
    (
        "necklace",
        "clasp",
        "clasp",
        {
            "missing": "missing-clasp",
            "broken": "missing-clasp|broken",
            "loose": "loose|sprung|clasp",
            "bent": "bent|clasp|sprung",
            "replaced": "replaced-clasp",
            "stuck": "stuck|clasp|sprung",
            "worn": "clasp|wear|sprung",
        },
    ),
    (
        "necklace",
        "bead",
        "beads",
        {
            "missing": "missing-stones|missing-part",
            "broken": "broken|chip|crack",
            "chipped": "chipped",
            "cracked": "crack",
            "replaced": "replaced",
            "mismatched": "mismatch|replaced",
            "loose": "loose",
        },
    ),
    (
        "necklace",
        "pearl",
        "pearls",
        {
            "missing": "missing-stones",
            "peeling": "peeling-pearls",
            "loose": "loose",
            "yellowed": "peeling|yellow|discolored",
            "replaced": "replaced",
            "mismatched": "mismatch|replaced",
            "chipped": "peeling|chip",
            "worn": "peeling|wear",
        },
    ),
    (
        "necklace",
        "chain",
        "chain",
        {
            "broken": "broken-link|broken",
            "missing": "missing|broken-link",
            "replaced": "replaced",
            "worn": "link|wear",
            "bent": "bent|link",
            "dark": "tarnish|discolored",
            "repaired": "repaired|solder",
        },
    ),
    (
        "bracelet",
        "link",
        "links",
        {
            "broken": "broken-link",
            "missing": "broken-link|missing",
            "bent": "broken-link|bent",
            "replaced": "replaced",
            "loose": "broken-link|loose",
            "worn": "link|wear",
        },
    ),
    (
        "bracelet",
        "safety chain",
        "safety chain",
        {"missing": "missing-safety-chain", "broken": "safety-chain|broken"},
    ),
    (
        "ring",
        "prong",
        "prongs",
        {
            "missing": "broken-prongs",
            "broken": "broken-prongs",
            "bent": "prongs",
            "worn": "prongs",
            "loose": "prongs|loose",
        },
    ),
    (
        "ring",
        "shank",
        "shank",
        {
            "worn": "shank|wear|worn|thin",
            "bent": "bent|shank",
            "cracked": "crack|shank",
            "repaired": "shank|repaired|solder",
            "replaced": "replaced|shank|added",
        },
    ),
    (
        "earrings",
        "clip",
        "clips",
        {
            "missing": "earring-back|missing",
            "broken": "earring-back|broken",
            "loose": "earring-back|sprung|loose",
            "bent": "bent-earring-back",
            "replaced": "earring-back|replaced",
            "stuck": "stuck|earring-back|sprung",
        },
    ),
    (
        "earrings",
        "drop",
        "drops",
        {
            "missing": "missing-drop",
            "broken": "broken|drop",
            "chipped": "chipped",
            "replaced": "replaced",
            "loose": "loose",
        },
    ),
    (
        "brooch",
        "petal",
        "petals",
        {
            "missing": "missing-part|broken",
            "broken": "broken|missing-pin",
            "chipped": "chip",
            "bent": "bent",
            "loose": "loose",
        },
    ),
    (
        "bangle",
        "plastic",
        "plastic",
        {
            "cracked": "crack|broken-plastic",
            "chipped": "chip",
            "yellowed": "yellowed",
            "sticky": "celluloid|failing",
            "smelly": "smell|celluloid|failing",
        },
    ),
    (
        "locket",
        "hinge",
        "hinge",
        {
            "broken": "broken|missing-pin",
            "loose": "body-hinge-worn|sprung|loose",
            "bent": "body-hinge-worn|bent|sprung",
        },
    ),
    (
        "locket",
        "lid",
        "lid",
        {
            "dented": "dents",
            "bent": "bent",
            "loose": "loose|sprung|body-hinge",
            "scratched": "scratches",
        },
    ),
    (
        "brooch",
        "frame",
        "frame",
        {
            "bent": "bent",
            "broken": "broken|missing-pin",
            "dented": "dents",
            "repaired": "repaired|solder",
            "cracked": "crack",
        },
    ),
)
"""A piece, a thing of it, several of it, and for each state the faults that it makes."""

STATED = (
    "{t} {d}",
    "{d} {t}",
    "the {t} is {d}",
    "{t} is a bit {d}",
    "{t} is slightly {d}",
    "one {t} {d}",
    "one of the {ts} is {d}",
    "2 {ts} are {d}",
    "two {ts} {d}",
    "a couple of {ts} {d}",
    "has a {d} {t}",
    "with {d} {t}",
    "{t} at the back is {d}",
    "good except the {t} is {d}",
    "undamaged except for the {d} {t}",
    "undamaged except for the {t}, which is {d}",
    "undamaged except the {t}, {d}",
    "perfect apart from a {d} {t}",
    "fine but for the {d} {t}",
    "all good bar a {d} {t}",
    "no damage other than the {d} {t}",
    "no chips or cracks but the {t} is {d}",
    "lovely condition, just the {t} is {d}",
    "only fault is the {d} {t}",
    "the only flaw: {t} {d}",
    "sadly the {t} is {d}",
    "{t} looks {d}",
    "{t}: {d}",
    "Condition: {t} {d}",
    "{t} ({d})",
    "please note {d} {t}",
    "NB {t} {d}",
    "NB: {t} {d}",
    "there is a {d} {t}",
    "I noticed that the {t} near the edge is {d}",
    "the {t} on the left side, which is original, is {d}",
    "{t} has been {d}",
    "it has a {d} {t} sadly",
    "{t}'s {d}",
    "{t} - {d}",
    "otherwise sound, {t} {d}",
    "{t} unfortunately {d}",
    "{t} now {d}",
    "{t} a tad {d}",
    "{t} rather {d}",
    "{t} seems {d}",
    "{t} appears {d}",
    "{t} possibly {d}",
    "I think the {t} is {d}",
    "no marks, {t} {d}",
    "good clean condition but {d} {t}",
    "stones all there but {t} {d}",
    "not perfect: {t} {d}",
    "some wear and the {t} is {d}",
    "{t} {d} on one side",
    "{t} {d} at one end",
    "{t} {d} otherwise good",
    "excellent, save for a {d} {t}",
    "aside from a {d} {t} it is perfect",
    "other than one {d} {t} it is fine",
    "with the exception of a {d} {t}, very good",
    "barring one {d} {t}",
    "it's not mint - {t} {d}",
    "The {t}? {d}.",
    "shame about the {d} {t}",
    "pity the {t} is {d}",
    "beware {d} {t}",
    "as found with {d} {t}",
    "a.f. {t} {d}",
    "{t} is {d} and the finish bright",
    "finish bright and {t} {d}",
    "nothing wrong but the {t} is {d}",
    "works fine though {t} is {d}",
    "{t} {d}, see photo 4",
    "{t} (see photo) is {d}",
    "{t} is {d} as shown",
    "the {t} looks to be {d}",
    "the {t} must have been {d}",
    "my gran's, {t} {d}",
)
DENIED = (
    "no {d} {ts}",
    "{t} not {d}",
    "the {t} is not {d}",
    "the {t} isn't {d}",
    "without any {d} {ts}",
    "none of the {ts} are {d}",
    "{ts} {d}? no",
    "{t} never {d}",
    "no sign of {d} {ts}",
    "free of {d} {ts}",
    "not a {d} {t} on it",
    "{t} {d}: no",
    "{d} {ts}: none",
    "{d} {ts}? none",
    "nothing {d} about the {t}",
    "not one {t} {d}",
    "zero {d} {ts}",
    "0 {ts} {d}",
    "neither chipped nor with {d} {ts}",
    "I can see no {d} {ts}",
    "couldn't find any {d} {ts}",
    "there aren't any {d} {ts}",
    "don't see any {d} {ts}",
)

AFTER_IS = ("not original", "gone dark", "fallen out", "gone", "glued back")
"""Said behind a thing only: nobody has a fallen out stone."""
BEFORE = re.compile(r"\{d\} \{t")
PASSIVE = ("{t} has been {d}", "the {t} must have been {d}")
DONE_TO_IT = (
    *("broken", "snapped", "chipped", "cracked", "bent", "worn", "rubbed", "replaced", "reglued"),
    *("repaired", "mended", "dented", "jammed", "lost", "glued back", "scratched"),
)


def _said(turns: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    """Each note, and the pattern of the faults that it states."""
    for (piece, thing, things, faults), turn in product(THINGS, turns):
        for state, pattern in faults.items():
            for word in STATES.get(state, (state,)):
                if word in AFTER_IS and BEFORE.search(turn):
                    continue
                if turn in PASSIVE and word not in DONE_TO_IT:
                    continue
                if turn.startswith("0") and thing == things:
                    continue
                said = turn.format(t=thing, ts=things, d=word)
                yield f"{piece}, {said}", pattern


def _faults(note: str) -> list[str]:
    return [
        each.value
        for each in shipped(note).observations
        if each.feature == "fault" and each.state == "seen"
    ]


def test_a_stated_fault_is_told_of_the_right_thing(capsys: pytest.CaptureFixture[str]) -> None:
    """Of 19,000 when this was written 3 in a thousand told another fault, 1 in a thousand none."""
    notes = some_of(list(_said(STATED)))[:3000]
    silent = [note for note, _ in notes if not _faults(note)]
    other = [
        note
        for note, pattern in notes
        if not any(re.search(pattern, each) for each in _faults(note))
    ]
    with capsys.disabled():
        print(f"\n{len(notes)} ways: {len(silent)} lost, {len(other)} another or none", end="")

    assert len(notes) >= 2000
    assert len(silent) <= len(notes) * 0.002, silent
    assert len(other) <= len(notes) * 0.008, other


def test_what_is_denied_is_no_fault() -> None:
    notes = [
        note
        for note, _ in _said(DENIED)
        if not any(word in note for word in (*AFTER_IS, "odd", "repaired"))
    ]
    told = [note for note in some_of(notes)[:1200] if _faults(note)]

    assert not told


@every_case(
    ("note", "told"),
    [
        ("brooch, undamaged except for the catch", "fault=flaw-not-told"),
        ("necklace, all original except the clasp", "fault=replaced-clasp"),
        ("brooch, all stones there bar one", "fault=missing-stones: 1"),
        ("brooch, in good condition apart from one stone", "fault=flaw-not-told: 1"),
        ("brooch, not perfect: a stone chipped", "fault=chipped-stones"),
        ("brooch, glued? no. rollover catch", "catch=rollover"),
        ("brooch, plating on the clasp worn", "fault=worn-plating"),
        ("ring, two prongs worn", "fault=broken-prongs: 2"),
        ("brooch, the stone on the left, which is original, is loose", "fault=loose-stones"),
    ],
)
def test_ways_of_saying_that_were_lost_once(note: str, told: str) -> None:
    assert told in lines(shipped(note))


@every_case(
    ("note", "never"),
    [
        ("brooch silver except for the pin", "fault="),
        ("brooch, all stones there bar one", "stones-count="),
        ("brooch, not a single stone missing", "no stone-kind"),
        ("brooch, none of the prongs bent", "not setting="),
        ("brooch, probably not gold", "metal=gold"),
        ("brooch, glued? no. rollover catch", "not catch="),
    ],
)
def test_an_exception_or_denial_tells_no_more_than_it_says(note: str, never: str) -> None:
    assert not [line for line in lines(shipped(note)) if line.startswith(never)]
