"""What the words of a whole note tell: the sums against plain ones, and any text."""

from __future__ import annotations

from array import array
from itertools import pairwise
from math import exp, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import samples

from markrules.language.tree import MISLEADING_KINDS
from markrules.notes.whole_note import (
    LONGEST_SAID,
    SOUND,
    WholeNote,
    key_of,
    packed,
    shipped,
    signs_of,
    unpacked,
    words_of,
)

KINDS = ("replaced", "copy", SOUND)
SIGNS = {
    "newer": (1.5, (100, 5, -80)),
    "clasp": (1.0, (20, -10, 0)),
    "newer clasp": (3.0, (60, 0, -60)),
    "cast": (2.0, (-5, 90, -40)),
    "#year": (1.0, (0, 0, 10)),
}
STEP, BASES = 0.1, (-0.5, -0.25, 0.75)


def little() -> WholeNote:
    by_key = sorted((key_of(sign), *rest) for sign, rest in SIGNS.items())
    return WholeNote(
        KINDS,
        BASES,
        STEP,
        array("I", [key for key, _, _ in by_key]),
        array("f", [rareness for _, rareness, _ in by_key]),
        array("b", [weight for _, _, row in by_key for weight in row]),
    )


def plainly(text: str) -> dict[str, float]:
    """The same by the definition, sign by sign."""
    words = words_of(text)
    met = {*words, *(f"{one} {other}" for one, other in pairwise(words))} & SIGNS.keys()
    norm = sqrt(sum(SIGNS[sign][0] ** 2 for sign in met)) or 1.0
    logs = [
        base + sum(SIGNS[sign][0] / norm * SIGNS[sign][1][at] * STEP for sign in met)
        for at, base in enumerate(BASES)
    ]
    total = sum(map(exp, logs))
    return {kind: exp(log) / total for kind, log in zip(KINDS, logs, strict=True)}


@pytest.mark.parametrize(
    "text",
    [
        "",
        "a brooch",
        "Newer clasp, 1920",
        "cast, cast and newer",
        "the clasp is newer. newer clasp",
    ],
)
def test_chances_are_those_of_the_definition(text: str) -> None:
    assert little().chances(text) == pytest.approx(plainly(text))


def test_years_and_long_numbers_are_alike_and_short_ones_are_not() -> None:
    assert words_of("1923, 45 mm, 925 and 18K, Newer, 1852188") == [
        "#year",
        "45",
        "mm",
        "925",
        "and",
        "18k",
        "newer",
        "#",
    ]
    assert list(signs_of(["a", "b", "c"])) == ["a", "b", "c", "a b", "b c"]


def test_the_stretch_that_speaks_most_is_told_back() -> None:
    note = "A gold chain with a locket. The newer clasp is brass, but the rest is of 1920."
    assert little().said(note, "replaced") == "The newer clasp is brass"


@settings(max_examples=samples(200))
@given(st.text(max_size=300))
def test_any_text_is_taken_and_told_back_plainly(text: str) -> None:
    model = shipped()
    chances = model.chances(text)
    assert sum(chances.values()) == pytest.approx(1.0)
    assert all(0.0 <= each <= 1.0 for each in chances.values())
    said = model.said(text, "copy")
    assert said.isprintable()
    assert len(said) <= LONGEST_SAID + 2


def test_a_model_comes_back_as_it_was_kept() -> None:
    assert unpacked(packed(little())) == little()
    with pytest.raises(ValueError, match="not a model"):
        unpacked(b"something else")


def test_the_shipped_model_knows_every_kind() -> None:
    assert shipped().kinds == (*MISLEADING_KINDS, SOUND)
    assert list(shipped().keys) == sorted(shipped().keys)
