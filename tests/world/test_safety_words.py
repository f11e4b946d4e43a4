"""Safety words that a piece calls for, each told once; and none where it would be wrong.

Sources stand with the entries: the U.S. CPSC on button cells as told by the press in 2023, NRC
ML24303A127 on "ion" goods, the Poison Book Project on arsenic green, the Ivory Act 2018 as
extended in January 2025, REACH Annex XVII entries 23 and 63.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from markrules.knowledge.loading import load
from markrules.knowledge.places import cache_folder
from markrules.reading.reader import Reader, Request

RULES = Path(__file__).parents[2] / "rules"


@cache
def reader() -> Reader:
    base, _ = load([RULES], cache_folder=cache_folder())
    return Reader(base, 2026)


def cautions(note: str) -> list[str]:
    return [each.caution for each in reader().read(Request(note=note)).cautions]


@pytest.mark.parametrize(
    ("note", "caution"),
    [
        ("watch brooch, quartz movement", "button-cells"),
        ("bracelet, rosary peas", "seeds-that-poison"),
        ("necklace, castor beans", "seeds-that-poison"),
        ("bangle, bakelite", "dust-of-phenolic-and-copper-stone"),
        ("brooch, malachite", "dust-of-phenolic-and-copper-stone"),
        ("necklace, coral", "dust-of-shell-coral-and-lacquer"),
        ("brooch, abalone", "dust-of-shell-coral-and-lacquer"),
        ("brooch, carved cinnabar lacquer", "dust-of-shell-coral-and-lacquer"),
        ("necklace, uranium glass", "uranium-in-glass-and-enamel"),
        ("necklace, negative ion pendant", "pendants-that-radiate"),
        ("brooch in a box, emerald green lining", "green-that-is-arsenic"),
        ("earrings, shepherd hooks", "earrings-that-others-wore"),
        ("brooch, whale tooth", "ivory-of-other-animals"),
        ("brooch, pot metal", "european-limits-on-lead-and-cadmium"),
    ],
)
def test_a_piece_that_can_do_harm_says_so_once(note: str, caution: str) -> None:
    assert cautions(note).count(caution) == 1


@pytest.mark.parametrize(
    ("note", "caution"),
    [
        ("necklace, amber", "other-wildlife-law"),
        ("earrings, clip backs", "earrings-that-others-wore"),
        ("watch brooch, wind up", "button-cells"),
        ("brooch, green glass", "uranium-in-glass-and-enamel"),
        ("bangle, celluloid", "dust-of-phenolic-and-copper-stone"),
        ("brooch, vegetable ivory", "ivory-of-other-animals"),
    ],
)
def test_and_one_that_cannot_does_not(note: str, caution: str) -> None:
    assert caution not in cautions(note)


def test_no_words_are_said_twice() -> None:
    for note in ("earrings, abalone, shepherd hooks, pot metal", "brooch, whale tooth, coral"):
        said = [each.say for each in reader().read(Request(note=note)).cautions]
        assert len(said) == len(set(said)) > 2
