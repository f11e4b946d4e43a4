"""What misleads about a piece, and the remarks of people that tell of it."""

from __future__ import annotations

from collections.abc import Mapping

from markrules.frozen import dataclass
from markrules.language.conditions import Condition
from markrules.language.entries.citing import Cite
from markrules.language.spans import Named, Span, its_span
from markrules.language.windows import Spread, Window

MISLEADING_KINDS: Mapping[str, str] = {
    "replaced": "part replaced",
    "repaired": "repaired or altered",
    "converted": "converted to another use",
    "married": "put together from several pieces",
    "old-part": "an old part in a later piece",
    "copy": "later copy",
    "reissue": "later issue from the old model",
    "cast-from-original": "cast from an older piece",
    "revival": "revival of an older style",
    "old-stock": "old stock, sold or put together later",
    "technique-lives-on": "older way of making that lives on",
    "told-claim": "told, and not borne out",
    "other-year": "a year of something else",
    "later-mark": "a mark put on later, or not at all",
    "other-cycle": "letters of another cycle, office or country",
    "finding-mark": "mark of a part, and not of the maker",
    "namesake": "another of the same name",
    "look-alike": "looks like another's work",
    "false-mark": "false mark",
    "looks-later": "older than it looks",
}
"""What may mislead about a piece: the kinds, each with its heading."""


@dataclass(frozen=True, slots=True)
class Chance:
    """How often pieces like this are the misleading ones; `on` narrows it to piece types."""

    share: float
    on: tuple[Named, ...] = ()


@dataclass(frozen=True, slots=True)
class Fill:
    """One thing that may fill a slot: how it is called in a sentence, and the words that name it.

    A text of `words` may be the name of a wording or a feature in braces: all words of it are
    meant. `part` are the features that tell of it, `on` the piece types that alone have it.
    """

    name: str
    words: tuple[str, ...]
    say: str = ""
    part: tuple[Named, ...] = ()
    on: tuple[Named, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Slot:
    """A place in remarks and situations that several things may fill: a part of a piece, say."""

    name: str
    fills: tuple[Fill, ...]
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Remark:
    """What people say of a piece, known by the order of words in a note.

    In `words` and `never`, names in braces stand for any word of a slot, a wording, a feature or
    a piece type, `~` for a few words between, and `...` for what lies between two parts of a note;
    what one of `never` fits is no such remark. Each remark is also a value of the built-in feature
    `remark`; where its words have a slot, it has one more value for each of that slot's fills.
    A year that `{its-year}` stands for is of the feature `year`, and not told of the piece.
    Without words it `tells` of a kind of what misleads, by all words of a note together.
    Where a note makes it, the share `leaves` is left of the odds of all that misleads.

    One that names `damages` is a way of telling of these, by the order of words in a stretch of a
    note that tells of no other; it is no value of `remark`. `{thing}` stands in it for any part.

    One that `shows` a fault is seen on the piece as that fault too, where its words tell no other.
    """

    name: str
    words: tuple[str, ...] = ()
    tells: str = ""
    leaves: float = 1.0
    damages: tuple[Named, ...] = ()
    shows: Named | None = None
    never: tuple[str, ...] = ()
    on: tuple[Named, ...] = ()
    year: Named | None = None
    say: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


ALL_ELSE = "rest"
"""In the order of years, this name stands for all that speaks but for the other side."""


@dataclass(frozen=True, slots=True)
class Order:
    """What the clues on `earlier` say lies at least `years` before what those on `later` say.

    Both name features or clues; ALL_ELSE, alone on one side, stands for all other clues.
    """

    earlier: tuple[Named, ...]
    later: tuple[Named, ...]
    years: int = 1
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Misleading:
    """A situation in which a piece, or a part or mark of it, is taken for what it is not.

    It holds where `when` holds of what was seen and `told` of what was only told (each may be
    left out, not both), `unless` is not known to hold, the piece was, by all that speaks,
    three to one made within `dated` (which may count from a year that `told` asks for), and what
    its clues say stands in this `order`. Where `known` holds of what was told and seen, whoever
    tells of the piece is not misled, and it is borne in mind and no more. `kind` is one of
    MISLEADING_KINDS; `taken` and `truth`
    finish the sentences "it is taken for" and "it is"; `look` is the tell-tale. `part` names the
    features it blames and `never` features and clues that do not count where it holds; to look at
    those in `settle` would settle the matter. `made` and `common` are the years of such pieces,
    as in a clue. `each` names a slot: the entry then stands for one of each of its fills.
    """

    name: str
    kind: str
    taken: str
    truth: str
    look: str
    each: Named | None = None
    when: Condition | None = None
    told: Condition | None = None
    unless: Condition | None = None
    known: Condition | None = None
    on: tuple[Named, ...] = ()
    part: tuple[Named, ...] = ()
    chances: tuple[Chance, ...] = ()
    order: Order | None = None
    dated: Window | None = None
    made: Window | None = None
    common: Spread | None = None
    never: tuple[Named, ...] = ()
    settle: tuple[Named, ...] = ()
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()
