"""A whole box: every piece appraised, likely mates found, lots put together."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from types import MappingProxyType

from markrules.appraisal.appraisal import Appraisal, appraise
from markrules.appraisal.deciding import wants_look
from markrules.appraisal.figures import Figures, currency_of
from markrules.appraisal.likeness import LikenessSettings
from markrules.appraisal.lots import Lot, LotPiece, lots_of
from markrules.appraisal.mates import Mate, mates_in, wants_mate
from markrules.appraisal.set_worth import PieceOfSet, SetWorth, set_worth
from markrules.catalogue.records import Sale
from markrules.frozen import dataclass
from markrules.inference.reading import Reading
from markrules.language.builtin import COLOUR
from markrules.marks.metal import MetalReading


@dataclass(frozen=True, slots=True)
class Read:
    """A piece of the box that was read, and its marks of metal content.

    `of_set` is how many pieces the set has that the owner put it in, 0 where it is in none;
    `paired` whether its other half is among them, `set` the key of the set, 0 without one.
    """

    reading: Reading
    metals: tuple[MetalReading, ...]
    of_set: int = 0
    paired: bool = False
    set: int = 0


@dataclass(frozen=True, slots=True)
class BoxAppraisal:
    """Appraisals by the key of the piece; mates; lots; pieces too few for a lot; and sets whole."""

    pieces: Mapping[int, Appraisal]
    mates: tuple[Mate, ...]
    lots: tuple[Lot, ...]
    lone: tuple[int, ...]
    sets: tuple[SetWorth, ...] = ()


def appraise_box(
    compared: LikenessSettings,
    pieces: Mapping[int, Read],
    sales: Sequence[Sale],
    figures: Figures,
    today: datetime.date,
    beside: Mapping[int, Read] = MappingProxyType({}),
) -> BoxAppraisal:
    """The appraisal of every piece, with what the box as a whole allows.

    `beside` are pieces that lie elsewhere and belong to sets of these.

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
    sets = _sets(compared, {**beside, **pieces}, sales, figures, today)
    gains = {key: each.gain for each in sets for key in each.pieces if each.whole is not None}
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
            set_gain=gains.get(key),
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
    here = tuple(each for each in sets if not pieces.keys().isdisjoint(each.pieces))
    return BoxAppraisal(appraisals, mates, lots, tuple(each.key for each in lone), here)


def _sets(
    compared: LikenessSettings,
    pieces: Mapping[int, Read],
    sales: Sequence[Sale],
    figures: Figures,
    today: datetime.date,
) -> tuple[SetWorth, ...]:
    """The sets of which every piece is at hand."""
    of: dict[int, dict[int, PieceOfSet]] = {}
    for key, each in sorted(pieces.items()):
        if each.set and each.of_set > 1:
            of.setdefault(each.set, {})[key] = PieceOfSet(each.reading, each.paired)
    currency = currency_of(figures, sales)
    return tuple(
        set_worth(compared, members, sales, currency, today)
        for members in of.values()
        if len(members) == pieces[next(iter(members))].of_set
    )


def _lot_piece(compared: LikenessSettings, key: int, appraisal: Appraisal) -> LotPiece:
    reading = appraisal.reading
    colours = [
        each.value
        for each in reading.observations
        if each.feature == COLOUR and each.state == "seen" and not each.heard
    ]
    broader = compared.chains.get(reading.piece_type, ())
    kind = broader[-1] if broader else ""
    return LotPiece(key, kind, colours[0] if colours else "", reading.date.likeliest)
