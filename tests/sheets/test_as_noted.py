"""A listing in the words of the note: how many, where, of what, and on which part."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

from together import every_case

from markrules.sheets.as_noted import AsNoted
from markrules.sheets.listing import listing


@every_case(
    ("note", "title"),
    [
        ("earring, clip on, faux pearl", "Earring, imitation pearl"),
        ("pair of dress clips, green rhinestones", "Pair of dress clips, green rhinestones"),
        ("tie clip, silver tone, scratches", "Tie clip, silver tone"),
        ("hair comb, celluloid, rhinestones", "Hair comb, celluloid, rhinestones"),
        ("choker, black velvet, cameo", "Choker, black velvet, cameo"),
        ("broach, gold tone", "Brooch, gold tone"),
        ("ring, red stone, gold tone, size 7", "Ring, gold tone, red stone"),
        ("brooch, red and clear rhinestones", "Brooch, red and clear rhinestones"),
        ("brooch for parts, rhinestones", "Brooch for parts, rhinestones"),
        (
            "set: necklace, bracelet and clip earrings, silver tone",
            "Set of necklace, bracelet and clip earrings",
        ),
        ("parure: necklace, brooch, earrings, gold tone", "Parure of necklace, brooch and ear"),
        ("cufflinks and tie clip set, goldtone", "Cufflinks and tie clip set, goldtone"),
        ("cufflinks with matching tie bar", "Cufflinks with matching tie bar"),
        ("clip earrings, hinge bent", "Clip earrings"),
    ],
)
def test_a_title_calls_the_piece_what_the_note_calls_it(
    make_matter: Any, note: str, title: str
) -> None:
    assert listing(make_matter(note)).title.startswith(title)


@every_case(
    ("note", "condition"),
    [
        ("brooch, rhinestones, one stone missing", "One stone missing."),
        ("comb, celluloid, three teeth missing", "Three teeth missing."),
        ("cameo brooch, C catch, crack at top", "Crack at top."),
        (
            "brooch, enamel flower, enamel chipped on the left leaf",
            "Enamel chipped on the left leaf.",
        ),
        ("pin, micro mosaic, 2 tesserae missing near the rim", "2 tesserae missing near the rim."),
        ("brooch, rhinestones, one stone missing from Mrs Hale", "One stone missing."),
        (
            "brooch, rhinestones, stone missing on the left, scratches",
            "Stone missing on the left. Scratches.",
        ),
        ("Gold Tone Brooch - Faux Pearls, One Missing", "One of the faux pearls missing."),
    ],
)
def test_a_flaw_is_told_first_hand(make_matter: Any, note: str, condition: str) -> None:
    assert listing(make_matter(note)).condition == condition


@every_case(
    ("note", "said", "unsaid"),
    [
        (
            "earrings, pierced, hooks marked 925",
            "Hooks marked “925”. Hooks: by the mark, sterling",
            "Marked “925”",
        ),
        (
            'brooch, C catch, engraved "In Memory of M.K. 1868"',
            "Engraved “In Memory of M.K. 1868”.",
            "Marked",
        ),
        ("ring, gold tone, stamped XQV", "“XQV”", "Ring by "),
        (
            "18K ring, tested as gold by a jeweller, 5 g",
            "Tested as gold by a jeweller.",
            "not tested",
        ),
        ("cufflinks, gold tone, in box", "In box.", "part size"),
        ("necklace, blue glass beads, knotted", "Knotted.", "perhaps"),
    ],
)
def test_marks_tests_and_boxes_are_told_as_noted(
    make_matter: Any, note: str, said: str, unsaid: str
) -> None:
    text = listing(make_matter(note)).text()
    assert said in text
    assert unsaid not in text


@every_case(
    ("note", "measures"),
    [
        ("locket, 3 cm, chain 20 inches", ("length 3 cm (1.2 in)", "chain length 50.8 cm (20 in)")),
        ("bangle, red plastic, 7 cm inside", ("inside 7 cm (2.8 in)",)),
        ("ring, size N, 2.3 g", ("ring size N", "weight 2.3 g (0.08 oz)")),
        ("brooch, gold tone, 5 cm", ("length 5 cm (2 in)",)),
    ],
)
def test_measures_say_of_what(make_matter: Any, note: str, measures: tuple[str, ...]) -> None:
    assert listing(make_matter(note)).measurements == measures


def test_a_maker_that_may_be_another_is_not_named(make_matter: Any) -> None:
    matter = make_matter("bracelet, copper, marked TRIFARI")
    makers = tuple(replace(each, probability=0.5) for each in matter.reading.makers)
    doubtful = replace(matter, reading=replace(matter.reading, makers=makers))

    assert "by Trifari" in listing(matter).title
    assert "Trifari," not in listing(doubtful).text()
    assert "marked “TRIFARI”" in listing(doubtful).title


def test_the_years_of_head_and_foot_do_not_contradict(make_matter: Any) -> None:
    """Limits on both sides say less than the range; a limit on one side is told with its range."""
    both, one = (
        listing(make_matter(note))
        for note in ("ring, marked 9CT, Chester, size N", "brooch, gold tone, rollover catch")
    )

    stretch = re.search(r"circa (\d{4}–\d{4})", both.title)
    assert stretch is not None
    assert both.basis.startswith(f"Dated {stretch.group(1)} ")
    told = re.search(r"(no earlier than \d{4}|circa \d{4}–\d{4})", one.title)
    assert told is not None
    assert told.group(1).removeprefix("circa ").casefold() in one.basis.casefold()


@every_case(
    ("note", "words", "in_full"),
    [
        ("two of the stones missing, dull", "stones missing", "two of the stones missing"),
        ("2 stones missing, dull", "stones missing", "2 stones missing"),
        (
            "a few stones missing at the very back of it here and there",
            "stones missing",
            "few stones missing at the very back of",
        ),
        ("stone missing on", "stone missing", "stone missing"),
        ("stone missing on Hale", "stone missing", "stone missing"),
        ("stone missing at top but bright", "stone missing", "stone missing at top"),
        ("nothing like it", "stone missing", "stone missing"),
    ],
)
def test_counts_and_places_beside_the_words(
    make_matter: Any, note: str, words: str, in_full: str
) -> None:
    assert AsNoted(make_matter(note)).in_full(words) == in_full
