"""Small features of a mark by which an index finds it: letters in place, and pairs of letters.

`^2A` is an A with two letters before it, `$2A` an A with two letters after it, `AB` an A and a
B side by side, `A.B` an A and a B with one letter between them. Letters that the wear model
does not know are all written `?`.
"""

from __future__ import annotations

from collections.abc import Sequence

from markrules.marks.reading_syntax import Cell

DEEPEST = 12
"""Letters further than this from an end have no feature of their place."""

PAIRS = {1: "", 2: "."}
"""The steps from one letter of a pair to the other, and what is written between them."""


def sought(cells: Sequence[Cell]) -> list[tuple[str, ...]]:
    """What a reading asks for: for each place and pair of places, the features that would do.

    Places are counted from an end only where no gap lies between, and a pair never spans a gap.
    """
    kinds = [cell.kind for cell in cells]
    first_gap = kinds.index("gap") if "gap" in kinds else len(cells)
    last_gap = len(cells) - 1 - kinds[::-1].index("gap") if "gap" in kinds else -1
    letters = [tuple(_key(letter) for letter, _ in cell.letters) for cell in cells]
    asked = []
    for place, own in enumerate(letters):
        after = len(cells) - 1 - place
        if place < min(first_gap, DEEPEST):
            asked.append(tuple(f"^{place}{letter}" for letter in own))
        if place > last_gap and after < DEEPEST:
            asked.append(tuple(f"${after}{letter}" for letter in own))
        for step, between in PAIRS.items():
            if place + step < len(cells) and "gap" not in kinds[place : place + step]:
                other = letters[place + step]
                asked.append(tuple(a + between + b for a in own for b in other))
    return [each for each in asked if each]


def _key(letter: str) -> str:
    return letter if letter.isascii() else "?"
