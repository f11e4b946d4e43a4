"""Pieces made ready to be read again and again with other settings."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from markrules.auditing.dated_pieces import DatedCase
from markrules.auditing.trials import Trial, tried
from markrules.frozen import dataclass
from markrules.inference.baselines import baseline_curves
from markrules.inference.makers import hypotheses
from markrules.inference.on_the_table import Model, gather
from markrules.inference.posterior import posterior, said_by
from markrules.inference.reading import Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import MarkEvidence
from markrules.reading.batch import request_of
from markrules.reading.reader import Reader, Request

Curve = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Prepared:
    """A piece with its reading by the rules as they are, and what the mark says of its maker.

    `baselines` holds the curve of each simpler way to put the same clues together.
    """

    case: DatedCase
    reading: Reading
    marks: MarkEvidence | None
    baselines: dict[str, Curve]


class PieceReader(Reader):
    """A reader that keeps what it made of the words, which no setting of the engine changes."""

    def prepared(self, case: DatedCase) -> Prepared:
        """The piece, read. Raises WordProblem where it names a feature or value not known."""
        reading = self.read(request_of(self, case.question, Request(next_looks=0)))
        return Prepared(
            case,
            reading,
            self.mark_evidence(reading.observations),
            baseline_curves(self.model, reading.observations, piece_type=reading.piece_type),
        )


def curves(
    base: KnowledgeBase, last_year: int, pieces: Sequence[Prepared], trial: Trial
) -> list[Curve]:
    """The curve of each piece with the settings of a trial."""
    model = Model(tried(base, trial), last_year)
    return [_curve(model, each) for each in pieces]


def _curve(model: Model, piece: Prepared) -> Curve:
    """The curve that a reading gives, without the rest of a reading."""
    told = gather(model, piece.reading.observations, piece_type=piece.reading.piece_type)
    parts, kinds = told.speaking.parts, told.kinds
    makers = hypotheses(model.tables, piece.marks, told.fired, told.prior)
    return posterior(kinds, said_by(parts, len(kinds)), makers).curve.table


def prepare(
    reader: PieceReader, cases: Sequence[DatedCase], done: Callable[[], None]
) -> list[Prepared]:
    """All pieces, read once; `done` is called after each."""
    pieces = []
    for case in cases:
        pieces.append(reader.prepared(case))
        done()
    return pieces
