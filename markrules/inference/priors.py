"""Which prior of the rules stands for a piece: by where it comes from and what it is."""

from __future__ import annotations

from markrules.frozen import dataclass
from markrules.inference.years import Table
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.workings import NO_MAKERS
from markrules.language.tree import Prior

FLAT = "flat"
"""The origin that makes all years alike before anything is seen; it needs no entry."""

ANY_TYPE = "*"
"""What stands for every piece type where priors are kept by type; no name of the language."""


@dataclass(frozen=True, slots=True)
class PriorYears:
    """The prior in force: its name, its table and ln of it, and the origin that it stands for."""

    name: str
    table: Table
    log: Table
    origin: str = ""


def default_origin(base: KnowledgeBase) -> str:
    """The origin that is taken where nobody says: the one marked so, else the first."""
    marked = (each.name for each in base.origins.values() if each.default)
    return next(marked, next(iter(base.origins), ""))


def prior_for(base: KnowledgeBase, piece_type: str, origin: str) -> Prior | None:
    """The prior of an origin for a piece type; without one, that of no origin."""
    named = base.workings.parts("priors", lambda: _named_priors(base), apart_from=NO_MAKERS)
    for source in dict.fromkeys((origin, "")):
        of_types = named.get(source, {})
        for kind in (*(base.broader(piece_type) or (piece_type,)), ANY_TYPE):
            if kind in of_types:
                return base.priors[of_types[kind]]
    return None


def _named_priors(base: KnowledgeBase) -> dict[str, dict[str, str]]:
    """The first prior of each origin for each piece type, and for any (`ANY_TYPE`), by name."""
    found: dict[str, dict[str, str]] = {}
    for prior in base.priors.values():
        of_types = found.setdefault(prior.origin.name if prior.origin is not None else "", {})
        for kind in [each.name for each in prior.on] or [ANY_TYPE]:
            of_types.setdefault(kind, prior.name)
    return found
