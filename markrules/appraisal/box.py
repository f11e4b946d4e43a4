"""A whole box: every piece appraised, likely mates found, lots put together."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence

from markrules.appraisal.appraisal import Appraisal, appraise
from markrules.appraisal.deciding import wants_look
from markrules.appraisal.figures import Figures
from markrules.appraisal.likeness import Measure
from markrules.appraisal.lots import Lot, LotPiece, lots_of
from markrules.appraisal.mates import Mate, mates_in, wants_mate
from markrules.catalogue.records import Sale
from markrules.frozen import dataclass
from markrules.inference.reading import Reading
from markrules.marks.metal import MetalReading

COLOUR = "colour"


@dataclass(frozen=True, slots=True)
class Read:
    """A piece of the box that was read, and its marks of metal content.

    `of_set` is how many pieces the set has that the owner put it in, 0 where it is in none;
    `paired` whether its other half is among them.
    """

    reading: Reading
    metals: tuple[MetalReading, ...]
    of_set: int = 0
    paired: bool = False


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
    """The appraisal of every piece, with what the box as a whole allows.

    In a box of more pieces than the setting `box-at-once` says, no mates are looked for and no
    trips shared: there, a piece by itself is answered without reading the others, and the answer
    is to be the same.
    """
    base = compared.base
    readings = {key: each.reading for key, each in pieces.items()}
    together = readings if len(readings) <= base.setting("box-at-once") else {}
    wanting = [key for key, reading in together.items() if wants_mate(base, reading)]
    mates = mates_in(base, readings, wanting)
    counts: dict[int, int] = {}
    for mate in mates:
        for key in (mate.one, mate.other):
            counts[key] = counts.get(key, 0) + 1
    going = max(1, sum(wants_look(base, reading) for reading in together.values()))
    appraisals = {
        key: appraise(
            compared,
            each.reading,
            each.metals,
            sales,
            figures,
            today,
            mates=counts.get(key, 0),
            of_set=each.of_set,
            paired=each.paired,
            going=going,
        )
        for key, each in pieces.items()
    }
    least = int(base.setting("lot-least"))
    most = max(least, int(figures.get("lot-pieces") or base.setting("lot-most")))
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
