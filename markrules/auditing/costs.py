"""What each clue gains or costs: the log score of a piece with it and without it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from markrules.auditing.preparing import Prepared
from markrules.inference.calibration import dated, log_score
from markrules.inference.engine import Model, read


@dataclass(frozen=True, slots=True)
class ClueCost:
    """Bits that a clue gained over all pieces on which it spoke; negative where it misled.

    `worst` is the piece on which it cost most, or gained least, and `worst_bits` what it
    gained there.
    """

    clue: str
    bits: float
    pieces: int
    worst: str
    worst_bits: float


def clue_costs(model: Model, pieces: Sequence[Prepared]) -> list[ClueCost]:
    """Every clue that spoke, the costliest first. All pieces must state years."""
    gains: defaultdict[str, list[tuple[float, str]]] = defaultdict(list)
    for piece in pieces:
        with_all = log_score(dated(piece.reading.date, *piece.case.years))
        for clue in dict.fromkeys(each.clue for each in piece.reading.clues):
            gains[clue].append((with_all - _without(model, piece, clue), piece.case.name))
    costs = [
        ClueCost(clue, sum(bits for bits, _ in each), len(each), min(each)[1], min(each)[0])
        for clue, each in gains.items()
    ]
    return sorted(costs, key=lambda cost: (cost.bits, cost.clue))


def _without(model: Model, piece: Prepared, clue: str) -> float:
    again = read(
        model,
        piece.reading.observations,
        marks=piece.marks,
        piece_type=piece.reading.piece_type,
        without=(clue,),
        next_looks=0,
    )
    return log_score(dated(again.date, *piece.case.years))
