"""What can be looked at, and the words for it: piece types, features, their values, colours."""

from __future__ import annotations

from markrules.frozen import dataclass
from markrules.language.entries.citing import Cite
from markrules.language.spans import Named, Span, its_span

FEATURE_KINDS = (
    "choice",  # one of the values; seeing one rules out the others
    "many",  # several values can stand side by side
    "number",  # a quantity with a unit
    "year",  # a year read off the piece
    "text",  # words on the piece
)

EFFORTS = ("glance", "close", "loupe", "tool")

WORN = "worn"
"""Of a year: that somebody had the piece then."""
STRUCK = "struck"
"""Of a year: that of a coin or medal in the piece. It is read off the coin, whoever tells it."""
KEPT = "kept"
"""Of a year: that of an event which the piece was sold to keep in mind."""
READ_OFF = frozenset((STRUCK, KEPT))
"""Years that stand on what was named, whoever tells them: they count as seen."""
DATINGS = (
    "designed",
    "patented",
    "registered",
    "made",
    "assayed",
    "imported",
    "engraved",
    WORN,
    STRUCK,
    KEPT,
    "sold",
    "boxed",
)
"""What a year on a piece or in a record may date."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece type and the words for it. `under` names the broader type."""

    name: str
    also: tuple[str, ...] = ()
    under: Named | None = None
    say: str = ""
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Value:
    """One value of a feature; `share` is how often it is met among pieces that show any.

    `within` names features of which its own words may hold words: `celluloid beads` are beads of
    plastic, and the plastic is celluloid.
    """

    name: str
    say: str = ""
    also: tuple[str, ...] = ()
    share: float | None = None
    look: str = ""
    within: tuple[Named, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Feature:
    """Something that can be looked at. `kind` is one of FEATURE_KINDS.

    `refit` and `reuse` are the shares of such parts that were fitted later, or are older
    parts used again; `effort` is one of EFFORTS. `describes` marks a feature that only
    describes, so that no rule need reach its values. `dates` is one of DATINGS: what the years
    that it holds date; empty where that is not said.
    """

    name: str
    kind: str = "choice"
    ask: str = ""
    look: str = ""
    also: tuple[str, ...] = ()
    on: tuple[Named, ...] = ()
    unit: str = ""
    family: Named | None = None
    refit: float = 0.0
    reuse: float = 0.0
    effort: str = "glance"
    hazard: str = ""
    describes: bool = False
    dates: str = ""
    values: tuple[Value, ...] = ()
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


ADDED_TO = ("feature", "piece", "fault", "maker", "shade", "grade", "origin", "certainty")
"""Kinds of entries to which another entry may add words."""


@dataclass(frozen=True, slots=True)
class More:
    """What is added to an entry that stands elsewhere, of the same name and of this `kind`.

    `also` are further words for it. Of a feature, `values` are new ones, each with its title, or
    such as are there already, without, which get further words.
    """

    name: str
    kind: str = ADDED_TO[0]
    also: tuple[str, ...] = ()
    values: tuple[Value, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Shade:
    """A colour of stones by the name the trade has for it.

    `of` is the value of the feature `colour` that it is a kind of, `looks` the colour as sRGB,
    `#RRGGBB`. `also` are words for it that mean nothing else; the name alone means it only where
    stones are spoken of.
    """

    name: str
    of: Named
    looks: str
    also: tuple[str, ...] = ()
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Wording:
    """Words of the note language: `role` says what they do (see `roles.WORDING_ROLES`).

    A `thing` that is found on some piece types only names them in `on`.
    """

    name: str
    role: str
    words: tuple[str, ...]
    target: Named | None = None  # what the role is of: see `roles.TARGETS`
    on: tuple[Named, ...] = ()
    span: Span = its_span()
