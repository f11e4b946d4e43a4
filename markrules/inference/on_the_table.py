"""What is on the table before anything is concluded: the rules, and the clues that speak."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from functools import cached_property

from markrules.frozen import dataclass
from markrules.inference.clues import PIECE, ClueFacts
from markrules.inference.fired import Fired, Speaking, fire
from markrules.inference.held import hold
from markrules.inference.misleading import doubted_kinds, fates, misled_kinds, weighed
from markrules.inference.nextlook import Looks
from markrules.inference.odds import Odds, odds_of
from markrules.inference.priors import PriorYears
from markrules.inference.year_tables import PieceKind, YearTables
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.knowledge.rule_matching import HeldRules, Matcher


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
    matched: HeldRules
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
    heard: bool = False,
    without: Collection[str] = (),
) -> Evidence:
    """The evidence on a piece; see `read` for the arguments."""
    tables = model.tables
    held = hold(model.matcher, model.base, observations, piece_type=piece_type, without=without)
    matched, counted = held.matched, held.counted
    prior = tables.prior(held.piece_type, origin, heard)
    kinds = tables.kinds(prior)
    broader = matched.facts.values.get(PIECE, frozenset())
    misled = misled_kinds(tables, matched.misleading, broader)
    misled += doubted_kinds(tables, prior, matched.misleading, broader, misled)
    befallen = fates(model.base, matched.misleading, broader)
    speaking = fire(tables, counted, matched, (*kinds, *misled), held.without, befallen)
    if misled:
        kinds = (*kinds, *weighed(kinds, misled, speaking.parts, counted))
    return Evidence(held.piece_type, prior, counted, matched, kinds, speaking)
