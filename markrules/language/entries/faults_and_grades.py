"""What is wrong with a piece, and how it is graded."""

from __future__ import annotations

from markrules.frozen import dataclass
from markrules.language.conditions import Condition
from markrules.language.entries.citing import Cite
from markrules.language.spans import Named, Span, its_span

SEVERITIES = ("slight", "moderate", "severe")

FAULT_VALUES = ("up", "none", "down-slightly", "down", "down-strongly")

MENDINGS = ("no", "home", "partly", "trade")


@dataclass(frozen=True, slots=True)
class Fault:
    """Something wrong with a piece. Each fault is also a value of the built-in feature `fault`.

    `severity` is slight, moderate or severe; `value` one of FAULT_VALUES; `mend` one of MENDINGS.
    `within` names features of which its own words may hold words, as those of a `Value` may: `dark
    rhinestones` have lost their foil, and they are rhinestones. `unless` tells of pieces that have
    no such part by nature: there words that only deny it (`no clasp`) tell of no fault.
    """

    name: str
    say: str
    also: tuple[str, ...] = ()
    within: tuple[Named, ...] = ()
    look: str = ""
    cause: str = ""
    originality: str = ""
    make: str = ""
    severity: str = "moderate"
    value: str = "down"
    mend: str = "no"
    mend_how: str = ""
    caution: str = ""
    when: Condition | None = None
    unless: Condition | None = None
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Grade:
    """A step of condition: a piece has it from so many `points` of faults on.

    `brings` is what such a piece fetches beside one without a fault, `also` are sellers' words
    for it.
    """

    name: str
    points: float
    brings: float
    also: tuple[str, ...] = ()
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()
