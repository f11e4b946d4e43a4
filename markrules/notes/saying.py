"""What one segment says, before the rest of the note is known."""

from __future__ import annotations

from typing import Literal

from markrules.frozen import dataclass
from markrules.knowledge.observation import Observation, State


@dataclass(frozen=True, slots=True)
class MarkText:
    """Text or symbols on the piece, as the note gives them.

    `text` is as written, empty for symbols alone; `words` tell of the lettering (`script`),
    `symbols` of devices beside it (`crown over the T`), `place` where it stands. `label` marks
    text on something loose, `certainty` names a certainty entry, `heard` what was only told.
    """

    text: str
    words: tuple[str, ...] = ()
    symbols: tuple[str, ...] = ()
    certainty: str = "sure"
    place: str = ""
    label: bool = False
    heard: bool = False


@dataclass(frozen=True, slots=True)
class Open:
    """Something said that has several meanings until the piece type is known.

    `choices` are (feature, value) pairs. `marked` tells that the segment speaks of a mark, and
    `alone` that it says nothing else.
    """

    choices: tuple[tuple[str, str], ...]
    state: State
    number: float | None
    certainty: str
    heard: bool
    words: str
    assumed: str
    marked: bool
    alone: bool


@dataclass(frozen=True, slots=True)
class OpenFault:
    """A fault made of a word of damage and a thing, until the rest of the note is known.

    `choices` are (fault, thing) pairs; where there is none, no thing was named: `damages` then
    tell what to look for in the segment before, `counted` that a number was given. `renewed`
    tells that the thing is a later one, and `of` are the places in `order` of what was seen of it.
    `assumed` is what was assumed where no word tells of the damage.
    """

    choices: tuple[tuple[str, str], ...]
    damages: tuple[str, ...]
    state: State
    number: float | None
    certainty: str
    heard: bool
    words: str
    renewed: bool
    counted: bool
    of: tuple[int, ...] = ()
    assumed: str = ""


@dataclass(frozen=True, slots=True)
class Unread:
    """A mark that is there and of which no letter is given, until the rest of the note is known.

    `sure` tells that the segment by itself shows that there is one, `heard` that it was only told.
    """

    words: str
    sure: bool
    heard: bool = False


@dataclass(frozen=True, slots=True)
class SpokenThing:
    """A thing that a segment speaks of, for what the next one says of it: `2 missing`.

    `names` are as in the words of faults, `plural` tells that several were meant, `at` are the
    places in `order` of what was seen of it.
    """

    names: tuple[str, ...]
    words: str
    plural: bool
    at: tuple[int, ...]


Lot = Literal["said", "neutral", "unknown"]


@dataclass(frozen=True, slots=True)
class Portion:
    """A stretch of a segment, as written, and what became of it.

    `order` are the places in the segment's `order` that it is part of; `pieces` are the piece
    types that it names, `quiet` that its words are neutral ones should that come to nothing, and
    `little` that they are all articles and the like. A stretch that is part of nothing is
    `neutral` or `unknown`. Its words are those from `first` to `end` (not included) of the
    segment's `folds`.
    """

    words: str
    lot: Lot
    order: tuple[int, ...] = ()
    pieces: frozenset[str] = frozenset()
    quiet: bool = False
    little: bool = False
    first: int = 0
    end: int = 0


@dataclass(frozen=True, slots=True)
class Said:
    """One segment understood: observations that are settled, those still open, and the rest.

    `order` interleaves both. `pieces` holds the piece types named, each with whether it follows
    the one before without a word between. `total` and `understood` count the words that carry
    meaning. `mark_absent` tells that no mark at all was found,
    `letter` holds a text that is one letter by itself, `denies` tells that the last damage spoken
    of was denied, `denies_thing` that it ends in a denied thing. `folds` are the folds of all its
    words, in order. `either` tells that it begins with `or`: one more reading of what was before.
    """

    order: tuple[Observation | Open | OpenFault | Unread, ...]
    marks: tuple[MarkText, ...]
    pieces: tuple[tuple[str, bool], ...]
    not_understood: tuple[str, ...]
    assumed: tuple[str, ...]
    total: int
    understood: int
    ends_in_mark: bool
    mark_absent: bool
    letter: str
    things: tuple[SpokenThing, ...] = ()
    denies: bool = False
    denies_thing: bool = False
    account: tuple[Portion, ...] = ()
    folds: tuple[str, ...] = ()
    either: bool = False
