"""Lots put together so that one buyer wants all of it: one kind, then one colour, then years."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

from markrules.frozen import dataclass


@dataclass(frozen=True, slots=True)
class LotPiece:
    """A piece for a lot: its key, the kind and the colour it goes under, its likeliest year."""

    key: int
    kind: str
    colour: str
    year: int


@dataclass(frozen=True, slots=True)
class Lot:
    """Pieces that go together. `kind` and `colour` are empty where they are mixed."""

    pieces: tuple[LotPiece, ...]
    kind: str
    colour: str

    @property
    def years(self) -> tuple[int, int]:
        """The earliest and the latest likeliest year."""
        years = [each.year for each in self.pieces]
        return min(years), max(years)


def lots_of(
    pieces: Sequence[LotPiece], least: int, most: int
) -> tuple[tuple[Lot, ...], tuple[LotPiece, ...]]:
    """The lots, each of `least` to `most` pieces, and those too few to make one.

    Pieces of one kind go together, and of one colour where there are enough; what is left of
    each kind is mixed by kind, and then all kinds together. Within a lot and from lot to lot
    the years run on. Every piece is in one place only. Raises ValueError where `least` is
    below 1 or `most` below `least`.
    """
    if least < 1 or most < least:
        raise ValueError("a lot has at least one piece, and no more at least than at most")
    lots: list[Lot] = []
    over: list[LotPiece] = []
    for same_kind in _groups(pieces, lambda each: each.kind):
        mixed: list[LotPiece] = []
        for same_colour in _groups(same_kind, lambda each: each.colour):
            made, left = _cut(same_colour, least, most)
            lots += made
            mixed += left
        made, left = _cut(mixed, least, most)
        lots += made
        over += left
    made, left = _cut(over, least, most)
    return (*lots, *made), tuple(left)


def _groups(pieces: Sequence[LotPiece], key: Callable[[LotPiece], str]) -> list[list[LotPiece]]:
    groups: dict[str, list[LotPiece]] = {}
    for each in pieces:
        groups.setdefault(key(each), []).append(each)
    return [groups[name] for name in sorted(groups)]


def _cut(pieces: Sequence[LotPiece], least: int, most: int) -> tuple[list[Lot], list[LotPiece]]:
    """Even parts of at most `most`, in order of years; all are left where they are too few."""
    if len(pieces) < least:
        return [], list(pieces)
    ordered = sorted(pieces, key=lambda each: (each.year, each.key))
    parts = -(-len(ordered) // most)
    while parts > 1 and len(ordered) // parts < least:
        parts -= 1
    ends = [len(ordered) * part // parts for part in range(parts + 1)]
    chunks = [ordered[start : min(end, start + most)] for start, end in pairwise(ends)]
    kept = {each.key for chunk in chunks for each in chunk}
    return [_lot(chunk) for chunk in chunks], [each for each in ordered if each.key not in kept]


def _lot(pieces: Sequence[LotPiece]) -> Lot:
    kinds, colours = {each.kind for each in pieces}, {each.colour for each in pieces}
    return Lot(
        tuple(pieces),
        kinds.pop() if len(kinds) == 1 else "",
        colours.pop() if len(colours) == 1 else "",
    )
