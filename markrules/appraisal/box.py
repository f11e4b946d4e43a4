"""A whole box: every piece appraised, likely mates found, lots put together."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from markrules.appraisal.appraisal import Appraisal, appraise
from markrules.appraisal.figures import Figures
from markrules.appraisal.likeness import Measure
from markrules.appraisal.lots import Lot, LotPiece, lots_of
from markrules.appraisal.mates import Mate, mates_in, wants_mate
from markrules.catalogue.records import Sale
from markrules.inference.reading import Reading
from markrules.marks.metal import MetalReading

COLOUR = "colour"


@dataclass(frozen=True, slots=True)
class Read:
    """A piece of the box that was read, and its marks of metal content.

    `set` is the set that the owner put it in, None where it is in none.
    """

    reading: Reading
    metals: tuple[MetalReading, ...]
    set: int | None = None


@dataclass(frozen=True, slots=True)
class BoxAppraisal:
    """Appraisals by the key of the piece; mates; lots; and pieces too few for a lot."""

    pieces: Mapping[int, Appraisal]
    mates: tuple[Mate, ...]
    lots: tuple[Lot, ...]
    lone: tuple[int, ...]


def appraise_box(
    compared: Measure,
    pieces: Mapping[int, Read],
    sales: Sequence[Sale],
    figures: Figures,
    today: datetime.date,
) -> BoxAppraisal:
    """The appraisal of every piece, with what the box as a whole allows."""
    base = compared.base
    readings = {key: each.reading for key, each in pieces.items()}
    wanting = [key for key, reading in readings.items() if wants_mate(base, reading)]
    mates = mates_in(base, readings, wanting)
    counts: dict[int, int] = {}
    for mate in mates:
        for key in (mate.one, mate.other):
            counts[key] = counts.get(key, 0) + 1
    sets = Counter(each.set for each in pieces.values() if each.set is not None)
    appraisals = {
        key: appraise(
            compared,
            each.reading,
            each.metals,
            sales,
            figures,
            today,
            mates=counts.get(key, 0),
            of_set=sets.get(each.set, 0) if each.set is not None else 0,
        )
        for key, each in pieces.items()
    }
    least = int(base.setting("lot-least", 3))
    most = max(least, int(figures.get("lot-pieces") or base.setting("lot-most", 12)))
    lots, lone = lots_of(
        [
            _lot_piece(compared, key, a)
            for key, a in appraisals.items()
            if a.decision.choice == "lot"
        ],
        least,
        most,
    )
    return BoxAppraisal(appraisals, mates, lots, tuple(each.key for each in lone))


def _lot_piece(compared: Measure, key: int, appraisal: Appraisal) -> LotPiece:
    reading = appraisal.reading
    colours = [
        each.value
        for each in reading.observations
        if each.feature == COLOUR and each.state == "seen" and not each.heard
    ]
    broader = compared.chains.get(reading.piece_type, ())
    kind = broader[-1] if broader else ""
    return LotPiece(key, kind, colours[0] if colours else "", reading.date.likeliest)
