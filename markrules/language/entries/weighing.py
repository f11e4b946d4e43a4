"""How evidence weighs: the numbers of the engine, and how common pieces, parts and makers are."""

from __future__ import annotations

from markrules.frozen import dataclass
from markrules.language.entries.citing import Cite
from markrules.language.spans import Named, Span, its_span
from markrules.language.windows import Spread


@dataclass(frozen=True, slots=True)
class Trust:
    """How often a clue of this trust misleads: `misread` is a share from 0 to 1."""

    name: str
    misread: float
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Certainty:
    """How often an observer this sure is wrong. `also` are the words that show it in notes.

    `by_ear` is how often a name told so is written as it was heard.
    """

    name: str
    misread: float
    also: tuple[str, ...] = ()
    why: str = ""
    by_ear: float = 0.0
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Setting:
    """One tunable number of the engine, with the note of how it was set."""

    name: str
    value: float
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Family:
    """Clues that would be wrong together; `overlap` 0 is independent, 1 is one clue said twice."""

    name: str
    overlap: float
    why: str = ""
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Prior:
    """How common surviving pieces are by year: (year, weight) points, joined by straight lines.

    `on` narrows it to piece types; the prior without `on` serves the rest. `origin` names
    where such pieces come from; a prior without it serves every origin that has none of its
    own. `common` says the same in years by which 10, 50 and 90% had been made.
    """

    name: str
    points: tuple[tuple[int, float], ...] = ()
    on: tuple[Named, ...] = ()
    why: str = ""
    cites: tuple[Cite, ...] = ()
    origin: Named | None = None
    common: Spread | None = None
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Origin:
    """Where pieces come from, which tells how common those of each year are.

    `say` is how a reading names it and `also` are other words for it. `default` marks the
    one that is taken where nobody says. `share` is how much of all surviving pieces, which
    curves are held against, comes from there; None where it is not told.
    """

    name: str
    say: str = ""
    also: tuple[str, ...] = ()
    default: bool = False
    share: float | None = None
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class PieceException:
    """A way in which a whole piece is not what its clues make it: a later copy, say.

    `share` of all pieces are of this kind. On them clues mislead with the chance `misread`:
    those on the features in `of`, or all where none is named. `common` tells when such pieces
    were made, where that differs from pieces in general. `title` names it.
    """

    name: str
    share: float
    misread: float
    title: str = ""
    of: tuple[Named, ...] = ()
    common: Spread | None = None
    say: str = ""
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Fittings:
    """Features of parts that share one fate: fitted later together, or used again together."""

    name: str
    of: tuple[Named, ...]
    refit: float = 0.0
    reuse: float = 0.0
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class SharesRow:
    """The shares of a feature's values among the pieces of one year."""

    year: int
    values: tuple[tuple[Named, float], ...]


@dataclass(frozen=True, slots=True)
class Shares:
    """How values that exclude each other compete, by year.

    `of` is the feature, the entry's name where it is left out. `rows` are joined by straight
    lines; what a row leaves over is spread on values that it does not name.
    """

    name: str
    rows: tuple[SharesRow, ...]
    of: tuple[Named, ...] = ()
    on: tuple[Named, ...] = ()
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Commonness:
    """How often a maker's pieces are met, relative to the others: a prior weight for makers."""

    name: str
    weight: float
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Esteem:
    """What the trade thinks of some makers: a signed piece of theirs `brings` so many times what
    one of an ordinary maker does, as far as no sales of one's own tell.
    """

    name: str
    brings: float
    makers: tuple[Named, ...] = ()
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()
