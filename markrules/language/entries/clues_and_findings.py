"""What follows from what was seen: years, findings, signs of make, cautions."""

from __future__ import annotations

from typing import Literal

from markrules.frozen import dataclass
from markrules.language.conditions import Condition
from markrules.language.entries.citing import Cite
from markrules.language.spans import Named, Span, its_span
from markrules.language.windows import Spread, Window


@dataclass(frozen=True, slots=True)
class Clue:
    """What was seen, and the years that it speaks for.

    `common` tells how common the surviving pieces that show it are, by year; `made` holds its
    hard limits, and the bulk of the years as a source gives it. `refit` and `reuse` override
    the feature's. `points` names makers that the clue speaks
    for. `region` is where the window holds. `misleads` says when the clue is wrong.
    """

    name: str
    when: Condition
    made: Window | None
    trust: Named
    why: str
    cites: tuple[Cite, ...]
    family: Named | None = None
    refit: float | None = None
    reuse: float | None = None
    on: tuple[Named, ...] = ()
    points: tuple[Named, ...] = ()
    region: str = ""
    misleads: str = ""
    common: Spread | None = None
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Type:
    """A kind of piece that is dated at a glance; where it holds, it speaks for its parts.

    `common` and `made` speak as in a clue. `copies` tell later copies from it.
    """

    name: str
    title: str
    when: Condition
    trust: Named
    why: str
    cites: tuple[Cite, ...] = ()
    common: Spread | None = None
    made: Window | None = None
    on: tuple[Named, ...] = ()
    points: tuple[Named, ...] = ()
    copies: tuple[str, ...] = ()
    misleads: str = ""
    span: Span = its_span()


ADVICE = ("first", "against", "toward", "done", "care", "identify", "describe")
"""What a finding can be advice on: an effect on a choice, care, a category of Object ID, or what a
part of a listing tells."""

CHOICES = ("alone", "lot", "pair", "mend", "stones", "test", "specialist", "melt", "keep")
"""What may be done with a piece."""

CATEGORIES = (
    "type",
    "measurements",
    "materials",
    "inscriptions",
    "title",
    "subject",
    "date",
    "maker",
    "distinguishing",
)
"""Categories of the Object ID standard that what was seen can fill."""

LISTING_PARTS = (
    "subject",
    "form",
    "colour",
    "materials",
    "stones",
    "fastening",
    "wearing",
    "state",
    "tested",
    "hallmark",
    "inscription",
    "packaging",
)
"""Parts of the text of a listing that what was seen can fill."""


@dataclass(frozen=True, slots=True)
class Advice:
    """What a finding advises: `against lot signed`, `care`, `identify materials`.

    `effect` is one of `ADVICE`; `choice` of `CHOICES`, for `identify` of `CATEGORIES`, for
    `describe` of `LISTING_PARTS`, and empty
    for `care`. `about` tells what a choice comes first, or is ruled out, for.
    """

    effect: str
    choice: str = ""
    about: str = ""
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Finding:
    """A derived fact. With `means`, it also puts a value to a feature.

    It does not hold where `unless` is known to hold; what was not looked at is no hindrance.
    With `advise` it is told with a decision or on a sheet, and not with a reading.
    """

    name: str
    when: Condition
    say: str = ""
    means: tuple[Named, Named] | None = None
    unless: Condition | None = None
    advise: Advice | None = None
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


STRENGTHS = ("weak", "moderate", "strong")


@dataclass(frozen=True, slots=True)
class Sign:
    """A sign of better or poorer make. `strength` is weak, moderate or strong."""

    name: str
    when: Condition
    direction: Literal["better", "poorer", "neutral"]
    strength: str
    say: str
    but: str = ""
    on: tuple[Named, ...] = ()
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


CAUTION_LEVELS = ("care", "hazard", "law")

CAUTION_PLACES = ("anywhere", "bench")


@dataclass(frozen=True, slots=True)
class Caution:
    """A danger or a point of law. `level` is one of CAUTION_LEVELS, `where` of CAUTION_PLACES:
    what threatens at the bench alone is nothing to tell a buyer.
    """

    name: str
    when: Condition
    level: str
    say: str
    where: str = "anywhere"
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()
