"""What a catalogue holds, as plain frozen records."""

from __future__ import annotations

from markrules.frozen import dataclass
from markrules.knowledge.observation import Observation


@dataclass(frozen=True, slots=True)
class Box:
    """A box, tin or tray of pieces. `added` is an ISO 8601 date-time, and so is `gone`, if set."""

    id: int
    name: str
    note: str
    added: str
    gone: str = ""


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece: its number within its box (`number`), the note it began with, and its set.

    `uid` is the piece's own identifier, the same in every copy of the catalogue. `told` is
    what an owner or seller said, kept apart from what was seen. A pair of earrings is one piece.
    `gone` is the date-time at which it left the box, or empty, and `gone_why` says how.
    `not_understood` holds the stretches of the note that no rule knows, in the writer's words.
    `own_number` is the owner's own name for it, as on a tag or in a list of theirs: `BR-0014`.
    """

    id: int
    uid: str
    box: int
    number: int
    title: str
    note: str
    told: str
    set: int | None
    added: str
    gone: str
    gone_why: str = ""
    not_understood: tuple[str, ...] = ()
    own_number: str = ""


@dataclass(frozen=True, slots=True)
class NewPiece:
    """A piece to be entered, and what is seen on it at once."""

    note: str = ""
    title: str = ""
    told: str = ""
    observations: tuple[Observation, ...] = ()
    set: int | None = None
    not_understood: tuple[str, ...] = ()
    own_number: str = ""


@dataclass(frozen=True, slots=True)
class PieceSet:
    """Pieces that belong together: a necklace and its earrings."""

    id: int
    name: str
    note: str


@dataclass(frozen=True, slots=True)
class Listed:
    """A piece as a line of a list, with its latest reading's years and maker where it has one.

    `maker` is an entry name of the rules, empty for the unknown maker; `gain_bits` is what the
    best next look is expected to tell. `photo` is the digest of the first photo, or empty.
    `fresh` is False where something was added since the reading, or there is none. `unlisted` is
    a signature that was read and is of no maker in the rules, `in_part` one that was read in part.
    """

    piece: Piece
    first_year: int | None
    last_year: int | None
    maker: str
    maker_probability: float
    gain_bits: float
    photo: str
    fresh: bool
    unlisted: str = ""
    in_part: str = ""


@dataclass(frozen=True, slots=True)
class LogStep:
    """One change: when, by whom, what it did; `undone` is empty unless it was taken back.

    `kept` tells what of it stayed when it was taken back, since later steps had touched it;
    `browser` stands for the admitted browser that it came from, empty for the terminal.
    """

    id: int
    when: str
    who: str
    what: str
    undone: str
    kept: tuple[str, ...] = ()
    browser: str = ""


@dataclass(frozen=True, slots=True)
class Seen:
    """One line of the observation log. `corrects` names the line that it takes the place of.

    `withdrawn` marks a line that takes another back without putting anything in its place.
    """

    id: int
    piece: int
    observation: Observation
    who: str
    when: str
    photo: int | None
    corrects: int | None
    withdrawn: bool


@dataclass(frozen=True, slots=True)
class LampsUsed:
    """How a picture was worked out: photos by number, the lamp's hour of each, and the box.

    The box round the mark is (left, top, width, height), each from 0 to 1 across the first photo.
    """

    photos: tuple[int, ...]
    hours: tuple[float, ...]
    box: tuple[float, float, float, float]
    lines: int
    shows: str


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo: `digest` is the SHA-256 of the kept bytes; `place` says what it shows.

    `pins` are (x, y, observation line) with x and y from 0 to 1 across the picture. `made_from`
    is empty for a photo as taken; of a picture worked out from others it says how. `original` is
    the SHA-256 of the photo as it was given, empty where that is not kept.
    """

    id: int
    piece: int
    digest: str
    media_type: str
    width: int
    height: int
    place: str
    added: str
    pins: tuple[tuple[float, float, int], ...] = ()
    made_from: LampsUsed | None = None
    original: str = ""


@dataclass(frozen=True, slots=True)
class Acquisition:
    """How a piece or a whole box came in; `cost` in minor units (cents, pence) of `currency`."""

    id: int
    box: int | None
    piece: int | None
    when: str
    where: str
    who_from: str
    cost_minor: int | None
    currency: str
    note: str


@dataclass(frozen=True, slots=True)
class Sale:
    """A sold price: of a piece of this catalogue (`piece`), or of another like it.

    Amounts are in minor units of `currency`: `fees_minor` is what the venue kept,
    `postage_minor` what sending cost, `paid_postage_minor` what the buyer paid for it; None where
    not known. `material` holds words parted by semicolons. Of `pieces` sold together this is the
    part of one. `returned` is the day it came back, or empty: then the price does not count.
    """

    id: int
    piece: int | None
    when: str
    price_minor: int
    currency: str
    maker: str
    piece_type: str
    first_year: int | None
    last_year: int | None
    condition: str
    signed: bool | None
    note: str
    link: str
    venue: str = ""
    fees_minor: int | None = None
    postage_minor: int | None = None
    paid_postage_minor: int | None = None
    material: str = ""
    size_mm: float | None = None
    subject: str = ""
    pieces: int = 1
    returned: str = ""

    @property
    def received_minor(self) -> int:
        """What came in less what the sale cost, as far as it is known; nothing when returned."""
        came = 0 if self.returned else self.price_minor + (self.paid_postage_minor or 0)
        return came - (self.fees_minor or 0) - (self.postage_minor or 0)


@dataclass(frozen=True, slots=True)
class Event:
    """What became of a piece on a day: `listed` at a venue and price, `unlisted`, `stored` in a
    place, or `returned` by the buyer of sale `sale`.
    """

    id: int
    piece: int
    sale: int | None
    kind: str
    day: str
    place: str
    price_minor: int | None
    currency: str
    note: str
    who: str
    when: str


@dataclass(frozen=True, slots=True)
class SpareStone:
    """Stones in the tin: size in millimetres, colour as CIE Lab or a name."""

    id: int
    shape: str
    size_mm: float | None
    size_code: str
    colour: str
    lab: tuple[float, float, float] | None
    cut: str
    back: str
    count: int
    from_piece: int | None
    note: str


@dataclass(frozen=True, slots=True)
class StoredReading:
    """A reading as it was given: its data, when, and the knowledge version behind it."""

    id: int
    piece: int
    when: str
    knowledge_version: str
    evidence_fingerprint: str
    data: dict[str, object]


@dataclass(frozen=True, slots=True)
class KeptDecision:
    """What to do with a piece, why, by whom, and the sums it rests on."""

    id: int
    piece: int
    when: str
    who: str
    choice: str
    reason: str
    sums: dict[str, object]
