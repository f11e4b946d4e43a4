"""What each clue gains or costs: the log score of a piece with it and without it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from markrules.auditing.calibration import dated, log_score
from markrules.auditing.preparing import Prepared
from markrules.frozen import dataclass
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


Gains = dict[str, dict[str, float]]
"""For each piece by name, the bits that each of its clues gained."""


def clue_gains(model: Model, pieces: Sequence[Prepared]) -> Gains:
    """What each clue gained on each piece. All pieces must state years."""
    return {piece.case.name: _gains(model, piece) for piece in pieces}


def clue_costs(gains: Gains) -> list[ClueCost]:
    """Every clue that spoke, over all pieces, the costliest first."""
    by_clue: defaultdict[str, list[tuple[float, str]]] = defaultdict(list)
    for piece, clues in gains.items():
        for clue, bits in clues.items():
            by_clue[clue].append((bits, piece))
    costs = [
        ClueCost(clue, sum(bits for bits, _ in each), len(each), min(each)[1], min(each)[0])
        for clue, each in by_clue.items()
    ]
    return sorted(costs, key=lambda cost: (cost.bits, cost.clue))


def _gains(model: Model, piece: Prepared) -> dict[str, float]:
    with_all = log_score(dated(piece.reading.date, *piece.case.years))
    return {
        clue: with_all - _without(model, piece, clue)
        for clue in dict.fromkeys(each.clue for each in piece.reading.clues)
    }


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
