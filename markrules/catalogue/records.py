"""What a catalogue holds, as plain frozen records."""

from __future__ import annotations

from dataclasses import dataclass

from markrules.inference.observation import Observation


@dataclass(frozen=True, slots=True)
class Box:
    """A box, tin or tray of pieces. `added` is an ISO 8601 date-time."""

    id: int
    name: str
    note: str
    added: str


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece: its number within its box (`number`), the note it began with, and its set.

    `uid` is the piece's own identifier, the same in every copy of the catalogue. `told` is
    what an owner or seller said, kept apart from what was seen. A pair of earrings is one piece.
    `gone` is the date-time at which it left the box, or empty.
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
class Photo:
    """A photo: `digest` is the SHA-256 of the kept bytes; `place` says what it shows.

    `pins` are (x, y, observation line) with x and y from 0 to 1 across the picture.
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
    """A sold price: of a piece of this catalogue (`piece`), or of another like it."""

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
class Decision:
    """What to do with a piece, why, by whom, and the sums it rests on."""

    id: int
    piece: int
    when: str
    who: str
    choice: str
    reason: str
    sums: dict[str, object]
