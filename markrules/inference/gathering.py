"""What is on the table before anything is concluded: the rules, and the clues that speak."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from functools import cached_property

from markrules.frozen import dataclass
from markrules.inference.clues import ClueFacts
from markrules.inference.fired import Fired, Speaking, fire
from markrules.inference.misleading import misled_kinds, vetoed, weighed
from markrules.inference.nextlook import Looks
from markrules.inference.odds import Odds, odds_of
from markrules.inference.tables import PieceKind, PriorYears, YearTables
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.facts import Facts
from markrules.knowledge.matching import Matched, Matcher
from markrules.knowledge.observation import Observation

PIECE = "piece"
"""The built-in feature whose values are the piece types."""


class Model:
    """A knowledge base made ready for readings, on a grid of years up to `last_year`.

    Its tables are made when first needed and kept; it answers alike however often it is
    asked. Raises ValueError when `last_year` lies before the setting `first-year`.
    """

    def __init__(self, base: KnowledgeBase, last_year: int) -> None:
        """Prepare `base` for readings up to `last_year`."""
        self.base = base
        self.tables = YearTables(base, last_year)
        self.looks = Looks(self.tables)
        self.matcher = Matcher(base)

    @cached_property
    def odds(self) -> Odds:
        """How likely questions are answered with something, given what is known."""
        return odds_of(self.base)


@dataclass(frozen=True, slots=True)
class Evidence:
    """All that speaks in one reading.

    `counted` are the observations that count, `kinds` what the piece may be as a whole, and
    `speaking` the clues and types that speak, by part.
    """

    piece_type: str
    prior: PriorYears
    counted: tuple[Observation, ...]
    matched: Matched
    kinds: tuple[PieceKind, ...]
    speaking: Speaking

    @property
    def fired(self) -> list[Fired]:
        """The clues that speak."""
        return self.speaking.fired

    @property
    def silent(self) -> tuple[ClueFacts, ...]:
        """The clues that hold but whose window lies off the grid of years."""
        return self.speaking.silent


def gather(
    model: Model,
    observations: Sequence[Observation],
    *,
    piece_type: str = "",
    origin: str = "",
    without: Collection[str] = (),
) -> Evidence:
    """The evidence on a piece; see `read` for the arguments."""
    tables = model.tables
    counted = [each for each in observations if not each.heard and each.feature not in without]
    piece_type = piece_type or _piece_seen(counted)
    prior = tables.prior(piece_type, origin)
    kinds = tables.kinds(prior)
    told = _told(observations, model.base)
    matched = model.matcher.match(Facts(counted, model.base, piece_type), told)
    misleading = matched.misleading
    vetoes = vetoed(tables, misleading, matched.facts.values.get(PIECE, frozenset()))
    if vetoes:
        without = frozenset(without) | vetoes
        counted = [each for each in counted if each.feature not in without]
        matched = replace(
            model.matcher.match(Facts(counted, model.base, piece_type), told),
            misleading=misleading,
        )
    broader = matched.facts.values.get(PIECE, frozenset())
    misled = misled_kinds(tables, misleading, broader)
    speaking = fire(tables, counted, matched, (*kinds, *misled), without)
    if misled:
        kinds = (*kinds, *weighed(kinds, misled, speaking.parts, counted))
    return Evidence(piece_type, prior, tuple(counted), matched, kinds, speaking)


def _told(observations: Sequence[Observation], base: KnowledgeBase) -> Facts:
    """What was told and not seen, as if it had been seen: only what misleads asks for it."""
    return Facts([replace(each, heard=False) for each in observations if each.heard], base)


def _piece_seen(observations: Sequence[Observation]) -> str:
    """The piece type that was observed, where none was given."""
    kinds = (each.value for each in observations if each.feature == PIECE and each.state == "seen")
    return next(kinds, "")
