"""Pieces of a catalogue, or of a note, appraised: read afresh, with sales and figures.

Both faces ask here, so that what a page says of a piece is what the command says of it.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import replace

from markrules.appraisal.appraisal import Appraisal, appraise
from markrules.appraisal.box import BoxAppraisal, Read, appraise_box
from markrules.appraisal.figures import Figures, figures_from
from markrules.appraisal.glance import Glance, glance_of
from markrules.appraisal.likeness import LikenessSettings, measure
from markrules.appraisal.mates import wants_mate
from markrules.appraisal.stone import stone_of
from markrules.appraisal.stones import StoneAdvice, advise
from markrules.appraisal.worth_data import decision_data
from markrules.catalogue.records import Box, Piece, Sale
from markrules.catalogue.store import Catalogue
from markrules.frozen import dataclass
from markrules.inference.reading import NextLook, Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.notes.vocabulary import SEVERAL_PIECES
from markrules.reading.reader import Request
from markrules.tasks.reading_pieces import NEXT_LOOKS, ReadPieces


@dataclass(frozen=True, eq=False, slots=True)
class AppraisalDesk:
    """Everything an appraisal needs: readings, the comparison, sales, figures and the day."""

    readings: ReadPieces
    compared: LikenessSettings
    sales: tuple[Sale, ...]
    figures: Figures
    today: datetime.date

    @property
    def base(self) -> KnowledgeBase:
        """The knowledge."""
        return self.readings.reader.base


def desk_of(
    readings: ReadPieces, catalogue: Catalogue | None, figures: Mapping[str, str] | None = None
) -> AppraisalDesk:
    """The desk of today with the catalogue's sales and figures.

    `figures` are used in place of the kept ones of the same names. Without a catalogue there
    are no sales.
    """
    kept = {**(catalogue.figures.all() if catalogue is not None else {}), **(figures or {})}
    sales = catalogue.money.sales() if catalogue is not None else ()
    compared = measure(readings.reader.base)
    return AppraisalDesk(readings, compared, sales, figures_from(kept), datetime.date.today())


def appraise_note(at: AppraisalDesk, note: str, seen: tuple[Observation, ...] = ()) -> Appraisal:
    """The appraisal of a piece from a note, and what was seen on it beside."""
    reader = at.readings.reader
    with at.readings.lock:
        reading = reader.read(Request(note, seen))
        metals = reader.metals(reading.observations)
    return appraise(at.compared, reading, metals, at.sales, at.figures, at.today)


def appraise_pieces(
    at: AppraisalDesk, catalogue: Catalogue, pieces: Sequence[Piece], looks: int = 0
) -> BoxAppraisal:
    """The appraisal of these pieces together, each read with so many next looks or more."""
    read = _read(at, catalogue, pieces, looks)
    beside = _fellows(at, catalogue, pieces)
    return appraise_box(at.compared, read, at.sales, at.figures, at.today, beside)


def _fellows(at: AppraisalDesk, catalogue: Catalogue, pieces: Sequence[Piece]) -> dict[int, Read]:
    """The other pieces of the sets that these belong to, read too: a set is worth one price."""
    here = {piece.id for piece in pieces}
    others = [
        each
        for name in sorted({piece.set for piece in pieces if piece.set})
        for each in catalogue.sets.pieces_of_set(name)
        if each.id not in here
    ]
    return _read(at, catalogue, others) if others else {}


def appraise_piece(at: AppraisalDesk, catalogue: Catalogue, piece: Piece) -> Appraisal:
    """The appraisal of one piece, the same as that among all pieces of its box.

    The rest of the box is read only where the piece wants a mate, or a trip may be shared.
    """
    alone = appraise_pieces(at, catalogue, [piece]).pieces[piece.id]
    tested = any(each.choice in ("test", "specialist") for each in alone.decision.weighed)
    box = catalogue.boxes.by_id(piece.box)
    if not (tested or wants_mate(at.base, alone.reading)) or too_many(at.base, catalogue, box):
        return alone
    others = [each for each in catalogue.pieces.all(box) if each.id != piece.id]
    return appraise_pieces(at, catalogue, [piece, *others]).pieces[piece.id]


def too_many(base: KnowledgeBase, catalogue: Catalogue, box: Box) -> bool:
    """Whether a box holds too many pieces to look for mates among them."""
    return catalogue.boxes.counts().get(box.id, 0) > base.setting("box-at-once")


def stones_for(
    at: AppraisalDesk, catalogue: Catalogue, found: Appraisal, note: str = ""
) -> StoneAdvice | None:
    """What the tin holds for a piece that lacks stones; None where it lacks none."""
    if not found.condition.completeness.stones_wanting:
        return None
    wanted = stone_of(at.base, found.reading.observations, note)
    return advise(at.base, wanted, catalogue.stones.all())


def stones_for_box(
    at: AppraisalDesk, catalogue: Catalogue, box: Box
) -> tuple[tuple[Piece, StoneAdvice], ...]:
    """The pieces of a box that lack stones, each with what the tin holds for it."""
    pieces = catalogue.pieces.all(box)
    whole = appraise_pieces(at, catalogue, pieces)
    advised = (
        (piece, stones_for(at, catalogue, whole.pieces[piece.id], piece.note)) for piece in pieces
    )
    return tuple((piece, advice) for piece, advice in advised if advice is not None)


def keep_decision(catalogue: Catalogue, piece: Piece, found: Appraisal, who: str) -> None:
    """Keep what was decided on a piece, with its reasons and sums."""
    decision = found.decision
    reason = " ".join(decision.reasons)
    catalogue.decisions.decide(piece, decision.choice, reason, decision_data(decision), who)


def glance(
    at: AppraisalDesk, catalogue: Catalogue, box: Box, looks: int = 5
) -> tuple[tuple[Piece, ...], BoxAppraisal, Glance]:
    """The pieces of a box, their appraisal together, and the box at a glance."""
    pieces = catalogue.pieces.all(box)
    whole = appraise_pieces(at, catalogue, pieces, NEXT_LOOKS if looks else 0)
    held = {piece.id for piece in pieces}
    acquired = [
        each for each in catalogue.money.acquisitions() if each.box == box.id or each.piece in held
    ]
    together = at.base.setting("price-together")
    return pieces, whole, glance_of(whole, acquired, together, looks)


def _with_its_note(at: AppraisalDesk, note: str, reading: Reading) -> Reading:
    """The reading of a set entered as one piece, with the words that name its pieces: a log keeps
    what was seen, and no word of a piece beside the first.
    """
    if reading.account or SEVERAL_PIECES[0] not in at.base.broader(reading.piece_type):
        return reading
    return replace(reading, account=at.readings.reader.understand(note).account)


def _read(
    at: AppraisalDesk, catalogue: Catalogue, pieces: Sequence[Piece], looks: int = 0
) -> dict[int, Read]:
    """The pieces read from their logs, by row number.

    Looks kept with a reading of the same evidence and knowledge are used again: finding them
    anew is the slowest part of a reading.
    """
    kept = catalogue.readings.looks_kept(at.base.version) if looks else {}
    fellows = {each: catalogue.sets.pieces_of_set(each) for each in {p.set for p in pieces} if each}
    sets = {piece.id: len(fellows.get(piece.set or 0, ())) for piece in pieces}
    halves = {each: _halves(at, catalogue, of) for each, of in fellows.items() if len(of) > 1}
    set_of = {piece.id: piece.set or 0 for piece in pieces}
    found = {}
    for evidence in catalogue.readings.evidence_for([piece.id for piece in pieces]):
        known = kept.get((evidence.piece, evidence.fingerprint))
        read = at.readings.read(evidence, looks if known is None else 0)
        reading = read.reading
        if known is not None:
            reading = replace(reading, next=tuple(NextLook(**look) for look in known))
        reading = _with_its_note(at, evidence.note, reading)
        kinds = halves.get(set_of[evidence.piece], {})
        paired = kinds.get(reading.piece_type, 0) > 1 and wants_mate(at.base, reading)
        found[evidence.piece] = replace(
            read,
            reading=reading,
            of_set=sets[evidence.piece],
            paired=paired,
            set=set_of[evidence.piece],
        )
    return found


def _halves(at: AppraisalDesk, catalogue: Catalogue, pieces: Sequence[Piece]) -> dict[str, int]:
    """How many pieces of a set, by their type, are halves of a pair."""
    counts: dict[str, int] = {}
    for evidence in catalogue.readings.evidence_for([piece.id for piece in pieces]):
        reading = at.readings.read(evidence, 0).reading
        if wants_mate(at.base, reading):
            counts[reading.piece_type] = counts.get(reading.piece_type, 0) + 1
    return counts
