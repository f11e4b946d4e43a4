"""Small features of a mark by which an index finds it: letters in place, and pairs of letters.

`^2A` is an A with two letters before it, `$2A` an A with two letters after it, `AB` an A and a
B side by side, `A.B` and `A..B` with one or two letters between them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from markrules.marks.reading_syntax import Cell
from markrules.marks.wear import WearModel

DEEPEST = 12
"""Letters further than this from an end have no feature of their place."""

LEAST_LIKENESS = 0.1
"""A letter struck is a look-alike of the one read from this share of its misreadings on."""


def features(mark: str) -> Iterator[str]:
    """All features of a mark in folded letters."""
    last = len(mark) - 1
    for place, letter in enumerate(mark):
        if place < DEEPEST:
            yield f"^{place}{letter}"
        if last - place < DEEPEST:
            yield f"${last - place}{letter}"
        for step, between in ((1, ""), (2, "."), (3, "..")):
            if place + step <= last:
                yield f"{letter}{between}{mark[place + step]}"


def sought(
    cells: Sequence[Cell], model: WearModel
) -> list[tuple[tuple[str, ...], tuple[str, ...]]]:
    """The features that a reading asks for: (those as read, those of look-alikes), one pair each.

    Places are counted from an end only where no gap lies between.
    """
    kinds = [cell.kind for cell in cells]
    first_gap = kinds.index("gap") if "gap" in kinds else len(cells)
    last_gap = len(cells) - 1 - kinds[::-1].index("gap") if "gap" in kinds else -1
    letters = [_letters(cell, model) for cell in cells]
    asked = []
    for place, (own, like) in enumerate(letters):
        if place < min(first_gap, DEEPEST):
            asked.append(_each(f"^{place}", own, like))
        after = len(cells) - 1 - place
        if place > last_gap and after < DEEPEST:
            asked.append(_each(f"${after}", own, like))
        for step, between in ((1, ""), (2, "."), (3, "..")):
            if place + step < len(cells) and "gap" not in kinds[place : place + step + 1]:
                asked.append(_pairs(letters[place], between, letters[place + step]))
    return [each for each in asked if each[0]]


_Letters = tuple[tuple[str, ...], tuple[str, ...]]


def _letters(cell: Cell, model: WearModel) -> _Letters:
    """The letters that a place may be, and those it may have been worn from."""
    if cell.kind != "letter":
        return (), ()
    own = tuple(letter for letter, _ in cell.letters)
    like = {other for letter in own for other in model.look_alikes(letter, LEAST_LIKENESS)}
    return own, tuple(like.difference(own))


def _each(place: str, own: tuple[str, ...], like: tuple[str, ...]) -> _Letters:
    return tuple(place + letter for letter in own), tuple(place + letter for letter in like)


def _pairs(first: _Letters, between: str, second: _Letters) -> _Letters:
    own = tuple(a + between + b for a in first[0] for b in second[0])
    like = [a + between + b for a in first[0] for b in second[1]]
    like += [a + between + b for a in first[1] for b in second[0]]
    return own, tuple(like)
