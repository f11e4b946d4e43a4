"""The calibration report: everything that an audit finds, as plain frozen records."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from markrules.auditing.calibration import (
    DatedPiece,
    ReliabilityBin,
    Share,
    log_score,
    reliability,
    wilson,
    year_range,
)
from markrules.auditing.costs import ClueCost, Gains, clue_costs, clue_gains
from markrules.auditing.curve_fits import CurveFit, curve_fits
from markrules.auditing.dated_pieces import DatedCase
from markrules.auditing.doubts import Doubts, doubts, named_rightly
from markrules.auditing.first_maker import MakersMeant, attribution
from markrules.auditing.folds import Fold, held_out
from markrules.auditing.measures import AuditFigures, ScoredCurve, figures, holds
from markrules.auditing.preparing import Curve, PieceReader, Prepared, prepare
from markrules.auditing.trials import AXES
from markrules.frozen import dataclass
from markrules.inference.reading import ClueReading

OURS = "markrules"
"""The name under which the engine stands beside the baselines."""


ERAS = (("before 1900", 1900), ("1900 to 1944", 1945), ("1945 to 1979", 1980))
"""Eras by name, and the year before which the middle of the stated years lies."""

LAST_ERA = "from 1980"

LEAST_COST = 0.02
"""Bits that a clue must cost to be said to have misled."""


@dataclass(frozen=True, slots=True)
class ScoredSet:
    """Pieces scored together, by each way to put the same clues together.

    `ways` starts with OURS. `held_out` are the engine's figures where no piece is read with
    settings fitted on it; None without cross-validation.
    """

    name: str
    ways: dict[str, AuditFigures]
    held_out: AuditFigures | None

    @property
    def ours(self) -> AuditFigures:
        """The engine's figures with the settings that the rules hold."""
        return self.ways[OURS]

    @property
    def gains(self) -> dict[str, float]:
        """The bits a piece that the engine's score lies above that of each other way."""
        return _gained(self.ways)


@dataclass(frozen=True, slots=True)
class ScoredGroup:
    """Pieces of one kind: `by` says what they share, `name` which of it.

    `gains` are the bits a piece that the score lies above that of each other way. `held_out` are
    the figures where no piece is read with settings fitted on it; None without cross-validation.
    """

    by: str
    name: str
    figures: AuditFigures
    gains: dict[str, float]
    makers: Share
    held_out: AuditFigures | None


@dataclass(frozen=True, slots=True)
class Miss:
    """A piece whose stated midpoint lies outside the 80 % range, and the clue that misled.

    That is the clue without which the score would be best; `gained` is what it gained, in
    bits, and below 0. None where every clue helped.
    """

    piece: str
    piece_type: str
    stated: tuple[int, int]
    range: tuple[int, int]
    log_score: float
    clue: ClueReading | None
    gained: float


@dataclass(frozen=True, slots=True)
class TrapSeen:
    """A piece on which something misleads, what the reading doubts, and whether its years hold."""

    piece: str
    remark: str
    doubts: Doubts
    held: bool | None


@dataclass(frozen=True, slots=True)
class Traps:
    """How often a reading names something that does not fit, on such pieces and on others.

    `by_branch` counts the traps named by a contradiction or a doubted clue, without the
    statements of findings, faults and cautions. Of the traps with a written key, `rightly` counts
    those of which a statement says the right kind and, where the kind is of a part, names the
    right one; `with_notes` those of which a note to bear in mind does. `alarms` counts the other
    pieces on which something is stated to mislead.
    """

    named: Share
    by_branch: Share
    on_others: Share
    rightly: Share
    with_notes: Share
    alarms: Share
    seen: tuple[TrapSeen, ...]


@dataclass(frozen=True, slots=True)
class AuditReport:
    """All that an audit found.

    `sets` are: years not in what was seen, the ordinary and the misleading pieces of these,
    years in what was seen, all; those that hold a piece.
    """

    knowledge_version: str
    pieces: int
    sets: tuple[ScoredSet, ...]
    groups: tuple[ScoredGroup, ...]
    makers: Share
    maker_reliability: tuple[ReliabilityBin, ...]
    misses: tuple[Miss, ...]
    traps: Traps
    costs: tuple[ClueCost, ...]
    curves: tuple[CurveFit, ...]
    folds: tuple[Fold, ...]
    trials: int


@dataclass(frozen=True, slots=True)
class Watch:
    """Told how the audit goes on: pieces read, and settings tried."""

    piece: Callable[[], None] = lambda: None
    trial: Callable[[], None] = lambda: None


def audit(
    reader: PieceReader,
    cases: Sequence[DatedCase],
    folds: int = 0,
    watch: Watch | None = None,
    axes: Sequence[str] = tuple(AXES),
) -> AuditReport:
    """The report over these pieces; with `folds` of 2 or more, cross-validated as well.

    Settings are fitted along these `axes` of trials.AXES.

    Raises ValueError where no piece states years that are believed, or too few for the folds,
    and WordProblem where a piece names a feature or value that is not known.
    """
    watch = watch or Watch()
    pieces = prepare(reader, cases, watch.piece)
    scored = [each for each in pieces if each.case.dated]
    if not scored:
        raise ValueError("no piece of the file states years that are believed")
    out = (
        held_out(reader.base, reader.last_year, scored, folds, watch.trial, axes)
        if folds >= 2
        else None
    )
    tried = dict(zip((each.case.name for each in scored), out.curves, strict=True)) if out else {}
    makers = {
        each.case.name: found
        for each in pieces
        if each.case.score_maker
        and (found := attribution(each.case.maker, each.reading, reader.base.makers)) is not None
    }
    gains = clue_gains(reader.model, scored)
    return AuditReport(
        knowledge_version=reader.base.version,
        pieces=len(pieces),
        sets=tuple(_sets(scored, tried)),
        groups=tuple(_groups(reader, scored, makers, tried)),
        makers=_right(makers.values()),
        maker_reliability=reliability(
            [each.chance for each in makers.values()], [each.right for each in makers.values()], 5
        ),
        misses=tuple(_misses(scored, gains)),
        traps=_traps(reader, pieces),
        costs=tuple(clue_costs(gains)),
        curves=tuple(curve_fits(reader.base, scored)),
        folds=out.folds if out else (),
        trials=out.trials if out else 0,
    )


def scored_piece(piece: Prepared, curve: Curve | None = None) -> ScoredCurve:
    """The piece as it is scored, with its own curve or another."""
    return ScoredCurve(
        DatedPiece(
            piece.reading.date.curve if curve is None else curve,
            piece.reading.date.first_year,
            *piece.case.years,
        ),
        piece.case.tolerance,
        sum(min(each.window) < max(each.window) for each in piece.reading.clues),
    )


def _sets(scored: Sequence[Prepared], tried: dict[str, Curve]) -> Iterable[ScoredSet]:
    unknown = [each for each in scored if not each.case.year_known]
    for name, inside in (
        ("year not in what was seen", unknown),
        ("ordinary pieces of these", [each for each in unknown if not each.case.trap]),
        ("misleading pieces of these", [each for each in unknown if each.case.trap]),
        ("year in what was seen", [each for each in scored if each.case.year_known]),
        ("all dated pieces", list(scored)),
    ):
        if not inside:
            continue
        ways = _ways(inside)
        yield ScoredSet(name, ways, _held_out(inside, tried))


def _held_out(inside: Sequence[Prepared], tried: dict[str, Curve]) -> AuditFigures | None:
    """The figures of these pieces, none read with settings fitted on it; None without folds."""
    if not tried:
        return None
    return figures([scored_piece(each, tried[each.case.name]) for each in inside])


def _ways(inside: Sequence[Prepared]) -> dict[str, AuditFigures]:
    """The figures of these pieces, at least one, by each way; the engine's own first."""
    curves: list[tuple[str, list[ScoredCurve]]] = [(OURS, [scored_piece(each) for each in inside])]
    for way in inside[0].baselines:
        curves.append((way, [scored_piece(each, each.baselines[way]) for each in inside]))
    found = ((way, figures(scored)) for way, scored in curves)
    return {way: each for way, each in found if each is not None}


def _gained(ways: dict[str, AuditFigures]) -> dict[str, float]:
    own = ways[OURS].log_score
    return {name: own - each.log_score for name, each in ways.items() if name != OURS}


def _middle(piece: Prepared) -> float:
    return sum(piece.case.years) / 2


def _era(piece: Prepared) -> str:
    return next((name for name, before in ERAS if _middle(piece) < before), LAST_ERA)


def _groups(
    reader: PieceReader,
    scored: Sequence[Prepared],
    makers: dict[str, MakersMeant],
    tried: dict[str, Curve],
) -> Iterable[ScoredGroup]:
    for by, kind in (
        ("era", _era),
        ("piece type", lambda each: each.reading.piece_type or "not told"),
        ("decade", lambda each: f"{sum(each.case.years) // 20 * 10}s"),
        ("strongest clue", lambda each: _strongest(reader, each)),
        ("mark", _marked),
        ("year in what was seen", lambda each: "yes" if each.case.year_known else "no"),
    ):
        inside: dict[str, list[Prepared]] = {}
        for piece in scored:
            inside.setdefault(kind(piece), []).append(piece)
        by_year = by in ("era", "decade")  # the rest by number
        for name in sorted(
            inside,
            key=lambda name: (
                min(map(_middle, inside[name])) if by_year else -len(inside[name]),
                name,
            ),
        ):
            ways = _ways(inside[name])
            asked = [makers[each.case.name] for each in inside[name] if each.case.name in makers]
            out = _held_out(inside[name], tried)
            yield ScoredGroup(by, name, ways[OURS], _gained(ways), _right(asked), out)


def _strongest(reader: PieceReader, piece: Prepared) -> str:
    """The family of the clue that gave most, else its feature."""
    if not piece.reading.clues:
        return "none"
    best = max(piece.reading.clues, key=lambda clue: clue.bits)
    if best.clue not in reader.base.clues:  # a named type
        return best.feature
    return reader.model.tables.facts(best.clue).family or best.feature


def _marked(piece: Prepared) -> str:
    if any(each.feature == "mark" and each.state == "seen" for each in piece.reading.observations):
        return "text read"
    return "no text read"


def _right(found: Iterable[MakersMeant]) -> Share:
    rights = [each.right for each in found]
    return wilson(sum(rights), len(rights))


def _misses(scored: Sequence[Prepared], gains: Gains) -> list[Miss]:
    missed = [each for each in scored if not holds(scored_piece(each), 0.8)]
    found = [_miss(each, gains[each.case.name]) for each in missed]
    return sorted(found, key=lambda miss: miss.log_score)


def _miss(piece: Prepared, gains: dict[str, float]) -> Miss:
    held = scored_piece(piece).piece
    worst = min(gains, key=gains.__getitem__, default="")
    gained = gains.get(worst, 0.0)
    misled = gained < -LEAST_COST
    clue = next((each for each in piece.reading.clues if each.clue == worst), None)
    return Miss(
        piece.case.name,
        piece.reading.piece_type,
        piece.case.years,
        year_range(held, 0.8),
        log_score(held),
        clue if misled else None,
        gained if misled else 0.0,
    )


def _rightly(piece: Prepared, *, notes: bool) -> bool:
    key = piece.case
    return named_rightly(piece.reading, key.misleads, key.parts, notes=notes, part_named=True)


def _traps(reader: PieceReader, pieces: Sequence[Prepared]) -> Traps:
    found = list(zip(pieces, doubts(reader.base, [each.reading for each in pieces]), strict=True))
    traps = [(piece, doubt) for piece, doubt in found if piece.case.trap]
    others = [doubt for piece, doubt in found if not piece.case.trap]
    keyed = [piece for piece in pieces if piece.case.trap and piece.case.misleads]
    rightly, with_notes = (
        wilson(sum(_rightly(each, notes=notes) for each in keyed), len(keyed))
        for notes in (False, True)
    )
    return Traps(
        named=wilson(sum(doubt.any for _, doubt in traps), len(traps)),
        by_branch=wilson(
            sum(bool(doubt.contradictions or doubt.clues) for _, doubt in traps), len(traps)
        ),
        on_others=wilson(sum(doubt.any for doubt in others), len(others)),
        rightly=rightly,
        with_notes=with_notes,
        alarms=wilson(sum(bool(doubt.misleading) for doubt in others), len(others)),
        seen=tuple(
            TrapSeen(
                piece.case.name,
                piece.case.remark,
                doubt,
                holds(scored_piece(piece), 0.8) if piece.case.dated else None,
            )
            for piece, doubt in traps
        ),
    )
