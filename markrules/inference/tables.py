"""A knowledge base made ready for reading: tables of years, built when first needed and kept."""

from __future__ import annotations

from dataclasses import dataclass
from math import log
from operator import mul

from markrules.inference.clues import ClueFacts, certainty_misread, clue_facts, trust_misread
from markrules.inference.evidence import (
    Factor,
    Likelihood,
    Rates,
    bounded_rates,
    factor,
    likelihood,
    likelihood_table,
)
from markrules.inference.memo import Memo
from markrules.inference.settings import settings_of
from markrules.inference.years import (
    Ends,
    Table,
    flat_table,
    mixed_table,
    prior_table,
    resolve,
    softened_table,
    window_table,
)
from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Prior, Window

Bracket = tuple[int, int] | None
Weighted = tuple[tuple[int, float], ...]

KEPT_LIKELIHOODS = 2048
KEPT_FACTORS = 4096
"""How many tables are kept. Brackets of years and tempering make ever new ones in a batch."""


@dataclass(frozen=True, slots=True)
class PriorYears:
    """The prior in force: its entry's name (empty for the flat one), its table, and ln of it."""

    name: str
    table: Table
    log: Table


@dataclass(frozen=True, slots=True)
class Saying:
    """A clue as it speaks in one reading: what its tables depend on.

    `bracket` is the year or the years read off the piece, for windows that count from them;
    `weighted` holds them with relative likelihoods where they lie apart.
    """

    clue: str
    rates: Rates
    bracket: Bracket = None
    weighted: Weighted = ()


class YearTables:
    """A knowledge base, a grid of years, and the tables that readings share.

    `years` runs from the setting `first-year` to `last_year`. Raises ValueError when the
    grid would be empty.
    """

    def __init__(self, base: KnowledgeBase, last_year: int) -> None:
        """Prepare `base` for readings up to `last_year`."""
        self.base = base
        self.settings = settings_of(base)
        self.years = range(self.settings.first_year, last_year + 1)
        if not self.years:
            raise ValueError(
                f"the last year ({last_year}) lies before the first ({self.settings.first_year})"
            )
        self.overlaps = {name: family.overlap for name, family in base.families.items()}
        self._priors: Memo[str, PriorYears] = Memo(256)
        self._facts: Memo[str, ClueFacts] = Memo(1 << 20)
        self._certainties: Memo[str, float] = Memo(256)
        self._likelihoods: Memo[tuple[Saying, str], Likelihood | None] = Memo(KEPT_LIKELIHOODS)
        self._factors: Memo[tuple[Saying, str, float], Factor] = Memo(KEPT_FACTORS)
        self._makers: Memo[tuple[str, str, str], Table] = Memo(1 << 14)

    def prior(self, piece_type: str, flat: bool = False) -> PriorYears:
        """The prior for a piece type: its own, else a broader type's, else the general one."""
        entry = None if flat else _prior_for(self.base, piece_type)
        name = entry.name if entry is not None else ""
        return self._priors.get(name, lambda: self._prior_years(name, entry))

    def facts(self, clue: str) -> ClueFacts:
        """The facts of a clue of the knowledge base."""
        return self._facts.get(clue, lambda: clue_facts(self.base, self.base.clues[clue]))

    def certainty(self, name: str) -> float:
        """The chance that an observer this sure is wrong."""
        return self._certainties.get(name, lambda: certainty_misread(self.base, name))

    @property
    def surest(self) -> float:
        """The chance that the surest kind of observer is wrong."""
        return min((each.misread for each in self.base.certainties.values()), default=0.0)

    def rates(self, misread: float, refit: float, reuse: float) -> Rates:
        """Rates kept within the bounds of the settings."""
        return bounded_rates(misread, refit, reuse, self.settings.misread_least)

    def ends(self, saying: Saying) -> Ends:
        """The window of a clue with its years worked out."""
        return self._ends(self._window(saying.clue), saying.bracket)

    def likelihood(self, saying: Saying, prior: PriorYears) -> Likelihood | None:
        """The clue's likelihood of each year; None when its window lies off the grid."""
        return self._likelihoods.get(
            (saying, prior.name),
            lambda: likelihood(self._window_table(saying), prior.table, saying.rates),
        )

    def likelihood_table(self, saying: Saying, prior: PriorYears) -> Table | None:
        """The bare likelihood of each year, not kept; None when the window lies off the grid."""
        return likelihood_table(self._window_table(saying), prior.table, saying.rates)

    def factor(self, saying: Saying, prior: PriorYears, given: Likelihood, weight: float) -> Factor:
        """The clue's likelihood raised to `weight`."""
        return self._factors.get((saying, prior.name, weight), lambda: factor(given, weight))

    def maker_years(self, maker: str, mark: str, prior: PriorYears) -> Table:
        """P(year | this maker and mark) over the prior of the year, for each year.

        It is the mark's window, or else the maker's working years, softened, normalised
        over the prior; mixed with the prior itself by the mark's chance of being misdated.
        """
        return self._makers.get(
            (maker, mark, prior.name), lambda: self._maker_years(maker, mark, prior)
        )

    def _prior_years(self, name: str, entry: Prior | None) -> PriorYears:
        table = flat_table(self.years) if entry is None else prior_table(entry.points, self.years)
        return PriorYears(name, table, tuple(map(log, table)))

    def _window(self, clue: str) -> Window:
        return self.base.clues[clue].made or Window()

    def _ends(self, window: Window, bracket: Bracket) -> Ends:
        return resolve(window, self.years, self.settings, bracket)

    def _window_table(self, saying: Saying) -> Table:
        window = self._window(saying.clue)
        if not saying.weighted:
            return window_table(self._ends(window, saying.bracket), self.years)
        return mixed_table(
            [
                (weight, window_table(self._ends(window, (year, year)), self.years))
                for year, weight in saying.weighted
            ]
        )

    def _maker_years(self, maker: str, mark: str, prior: PriorYears) -> Table:
        window, misread = self._maker_window(maker, mark)
        suits = sum(map(mul, prior.table, window))
        if suits <= 0:
            return (1.0,) * len(window)
        return tuple(misread + (1.0 - misread) * value / suits for value in window)

    def _maker_window(self, maker: str, mark: str) -> tuple[Table, float]:
        """The window of a mark and the chance that it misleads; all years when none is known."""
        entry = self.base.makers.get(maker)
        variant = next((each for each in entry.marks if each.name == mark), None) if entry else None
        trust = variant.trust.name if variant and variant.trust else "moderate"
        misread = max(trust_misread(self.base, trust), self.settings.misread_least)
        if variant is not None and variant.used is not None:
            return window_table(self._ends(variant.used, None), self.years), misread
        if entry is not None and entry.works is not None:
            return softened_table(self._ends(entry.works, None), self.years), misread
        return (1.0,) * len(self.years), misread


def _prior_for(base: KnowledgeBase, piece_type: str) -> Prior | None:
    for kind in base.broader(piece_type) or (piece_type,):
        for prior in base.priors.values():
            if any(each.name == kind for each in prior.on):
                return prior
    return next((prior for prior in base.priors.values() if not prior.on), None)
