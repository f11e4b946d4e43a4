"""Pieces of a catalogue, or of a note, appraised: read afresh, with sales and figures."""

from __future__ import annotations

import datetime
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from markrules.appraisal.appraisal import Appraisal, appraise
from markrules.appraisal.box import BoxAppraisal, Read, appraise_box
from markrules.appraisal.figures import Figures
from markrules.appraisal.likeness import Measure
from markrules.appraisal.mates import wants_mate
from markrules.catalogue.records import Box, Piece, Sale
from markrules.inference.reading import NextLook
from markrules.reading.reader import Reader, Request

if TYPE_CHECKING:
    from markrules.catalogue.store import Catalogue


@dataclass(frozen=True, eq=False, slots=True)
class Desk:
    """Everything an appraisal needs: the reader, the comparison, sales, figures and the day."""

    reader: Reader
    compared: Measure
    sales: tuple[Sale, ...]
    figures: Figures
    today: datetime.date


def appraise_note(at: Desk, note: str) -> Appraisal:
    """The appraisal of a piece from a note alone."""
    reading = at.reader.read(Request(note=note))
    metals = at.reader.metals(reading.observations)
    return appraise(at.compared, reading, metals, at.sales, at.figures, at.today)


def read_pieces(
    at: Desk, catalogue: Catalogue, pieces: Sequence[Piece], looks: int = 0
) -> dict[int, Read]:
    """The pieces read afresh from their logs, by row number, with so many next looks."""
    from markrules.tasks.reading_pieces import request_of

    kept = stored_looks(catalogue, at.reader.base.version) if looks else {}
    sets = {piece.id: piece.set for piece in pieces}
    found = {}
    for evidence in catalogue.evidence_for([piece.id for piece in pieces]):
        known = kept.get((evidence.piece, evidence.fingerprint))
        request = request_of(at.reader, evidence.observations)
        request = replace(request, next_looks=looks if known is None else 0)
        reading = at.reader.read(request)
        reading = reading if known is None else replace(reading, next=known)
        metals = at.reader.metals(reading.observations)
        found[evidence.piece] = Read(reading, metals, sets[evidence.piece])
    return found


def stored_looks(
    catalogue: Catalogue, version: str
) -> Mapping[tuple[int, str], tuple[NextLook, ...]]:
    """The next looks kept with the latest readings, by piece and fingerprint of its evidence.

    Only those of this version of the knowledge. Finding them anew is the slowest part of a
    reading.
    """
    rows = catalogue.rows(
        "select piece_id, evidence, json_extract(data, '$.next') from reading where"
        " knowledge_version = ? and id in (select max(id) from reading group by piece_id)",
        (version,),
    )
    return {
        (row[0], row[1]): tuple(NextLook(**look) for look in json.loads(row[2] or "[]"))
        for row in rows
    }


def appraise_pieces(
    at: Desk, catalogue: Catalogue, pieces: Sequence[Piece], looks: int = 0
) -> BoxAppraisal:
    """The appraisal of these pieces together."""
    read = read_pieces(at, catalogue, pieces, looks)
    return appraise_box(at.compared, read, at.sales, at.figures, at.today)


def appraise_piece(at: Desk, catalogue: Catalogue, box: Box, piece: Piece) -> Appraisal:
    """The appraisal of one piece; its box is read only where it wants a mate or is of a set."""
    alone = read_pieces(at, catalogue, [piece])
    if piece.set is None and not wants_mate(at.compared.base, alone[piece.id].reading):
        whole = appraise_box(at.compared, alone, at.sales, at.figures, at.today)
    else:
        others = [each for each in catalogue.pieces(box) if each.id != piece.id]
        whole = appraise_pieces(at, catalogue, [piece, *others])
    return whole.pieces[piece.id]
