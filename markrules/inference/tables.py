"""A knowledge base made ready for reading: tables of years, built when first needed and kept."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from contextlib import suppress
from itertools import count
from math import log
from operator import mul
from typing import Generic, TypeVar

from markrules.frozen import dataclass
from markrules.inference.clues import ClueFacts, certainty_misread, clue_facts, trust_misread
from markrules.inference.curves import Spell, spell
from markrules.inference.evidence import (
    Factor,
    Likelihood,
    Rates,
    bounded_rates,
    combined_misread,
    factor,
    likelihood,
    likelihood_table,
)
from markrules.inference.settings import settings_of
from markrules.inference.years import (
    Ends,
    Table,
    fading,
    flat_table,
    mark_table,
    mixed_table,
    prior_table,
    resolve,
    softened_table,
    window_table,
)
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import PLAIN
from markrules.language.tree import Clue, Prior, Window

Key = TypeVar("Key", bound=Hashable)
Made = TypeVar("Made")


class Memo(Generic[Key, Made]):
    """Keeps what was made for a key; beyond `limit` keys the oldest is forgotten.

    What is made must depend on nothing but the key, so that forgetting changes no answer.
    """

    __slots__ = ("_kept", "_limit")

    def __init__(self, limit: int) -> None:
        """A memory for at most `limit` keys."""
        self._limit = limit
        self._kept: dict[Key, Made] = {}

    def get(self, key: Key, make: Callable[[], Made]) -> Made:
        """What was kept for the key, or what `make` gives, which is then kept."""
        try:
            return self._kept[key]
        except KeyError:
            made = make()
            if len(self._kept) >= self._limit:
                # Another thread may add at the same moment; then this one leaves room to it.
                with suppress(RuntimeError, StopIteration):
                    self._kept.pop(next(iter(self._kept)), None)
            self._kept[key] = made
            return made


YearsRead = tuple[tuple[int, int] | None, tuple[tuple[int, float], ...]]
"""A bracket of years, and the years in it with their likelihoods where they lie apart."""

NO_YEARS: YearsRead = (None, ())
Observed = tuple[float, float, float]
VoiceKey = tuple[str, Observed, YearsRead, str]

KEPT_VOICES = 2048
KEPT_FACTORS = 3072
"""How many tables are kept. Years read off pieces and tempering make ever new ones in a batch."""


@dataclass(frozen=True, slots=True)
class PriorYears:
    """The prior in force: its entry's name (empty for the flat one), its table, and ln of it."""

    name: str
    table: Table
    log: Table


@dataclass(frozen=True, slots=True, eq=False)
class Voice:
    """A clue as it speaks in a reading: its rates there, its window and its likelihood.

    `first` and `last` are the hard limits of its window that lie inside the grid of years.
    `number` tells it from other voices.
    """

    number: int
    facts: ClueFacts
    rates: Rates
    ends: Ends
    first: int | None
    last: int | None
    likelihood: Likelihood


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
        plain = base.certainties.get(PLAIN)
        self.surest = plain.misread if plain is not None else 0.0
        self._priors: Memo[str, PriorYears] = Memo(256)
        self._facts: Memo[str, ClueFacts] = Memo(1 << 20)
        self._certainties: Memo[str, float] = Memo(256)
        self._voices: Memo[VoiceKey, Voice | None] = Memo(KEPT_VOICES)
        self._factors: Memo[tuple[int, float], Factor] = Memo(KEPT_FACTORS)
        self._numbers = count()
        self._faded = fading(self.years, self.settings.mark_life)
        self._works: Memo[Window, Table] = Memo(1 << 12)
        self._alike: Memo[tuple[Window | None, Window | None, float, str], Spell] = Memo(1 << 12)
        self._masses: Memo[tuple[Window | None, Window | None, str], float] = Memo(1 << 13)
        self._shares: Memo[tuple[str, str], Mapping[str, float]] = Memo(1 << 12)
        self._spells: Memo[tuple[str, str, str], Spell] = Memo(1 << 14)

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

    def rates(self, facts: ClueFacts, observer: float, refit: float, reuse: float) -> Rates:
        """The rates of a clue whose observer is wrong with the chance `observer`.

        `refit` and `reuse` are those of the part seen; the clue's own stand before them.
        """
        clue = facts.clue
        return bounded_rates(
            combined_misread(facts.misread, observer),
            refit if clue.refit is None else clue.refit,
            reuse if clue.reuse is None else clue.reuse,
            self.settings.misread_least,
        )

    def voice(
        self, clue: str, observed: Observed, years_read: YearsRead, prior: PriorYears
    ) -> Voice | None:
        """The clue as it speaks of what was observed; None when its window lies off the grid.

        `observed` holds the chance that the observer is wrong, and the shares of such parts
        that are refitted and used again. `years_read` is what a register or a year feature
        gave, for windows that count from it.
        """
        return self._voices.get(
            (clue, observed, years_read, prior.name),
            lambda: self._voice(clue, observed, years_read, prior),
        )

    def factor(self, voice: Voice, weight: float) -> Factor:
        """The likelihood of a voice raised to a weight."""
        return self._factors.get((voice.number, weight), lambda: factor(voice.likelihood, weight))

    def likelihood_table(self, facts: ClueFacts, rates: Rates, prior: PriorYears) -> Table | None:
        """The bare likelihood of each year, not kept; None when the window lies off the grid."""
        return likelihood_table(self._window_table(facts.clue, NO_YEARS), prior.table, rates)

    def spell(self, maker: str, mark: str, prior: PriorYears) -> Spell:
        """P(year | this maker and mark) over the prior of the year, for each year.

        It is the mark's window within the maker's working years, or else those years alone,
        softened, normalised over the prior; mixed with the prior itself by the mark's chance
        of being misdated.
        """
        return self._spells.get((maker, mark, prior.name), lambda: self._spell(maker, mark, prior))

    def spell_within(self, years: Window | None, prior: PriorYears) -> Spell:
        """The same for a mark of which nothing but its years is known; None for no years."""
        misread = max(trust_misread(self.base, "moderate"), self.settings.misread_least)
        return self._alike.get(
            (years, None, misread, prior.name),
            lambda: self._made_spell(years, None, misread, prior),
        )

    def variant_shares(self, maker: str, prior: PriorYears) -> Mapping[str, float]:
        """How much of a maker's survivors bears each of its mark variants; they sum to 1.

        Each is taken to have been struck as often a year as any other while it was in use, so
        that a mark of a few years stands on few pieces: the share follows the prior's mass
        within the mark's window.
        """
        return self._shares.get((maker, prior.name), lambda: self._made_shares(maker, prior))

    def _made_shares(self, maker: str, prior: PriorYears) -> Mapping[str, float]:
        entry = self.base.makers.get(maker)
        if entry is None or not entry.marks:
            return {}
        masses = {each.name: self._mass(each.used, entry.works, prior) for each in entry.marks}
        whole = sum(masses.values())
        if whole <= 0:
            return dict.fromkeys(masses, 1.0 / len(masses))
        return {name: mass / whole for name, mass in masses.items()}

    def _prior_years(self, name: str, entry: Prior | None) -> PriorYears:
        table = flat_table(self.years) if entry is None else prior_table(entry.points, self.years)
        return PriorYears(name, table, tuple(map(log, table)))

    def _voice(
        self, clue: str, observed: Observed, years_read: YearsRead, prior: PriorYears
    ) -> Voice | None:
        facts = self.facts(clue)
        rates = self.rates(facts, *observed)
        given = likelihood(self._window_table(facts.clue, years_read), prior.table, rates)
        if given is None:
            return None
        ends = self._ends(facts.clue.made or Window(), years_read[0])
        first = ends.first if ends.first is not None and ends.first > self.years[0] else None
        last = ends.last if ends.last is not None and ends.last < self.years[-1] else None
        return Voice(next(self._numbers), facts, rates, ends, first, last, given)

    def _ends(self, window: Window, bracket: tuple[int, int] | None) -> Ends:
        return resolve(window, self.years, self.settings, bracket)

    def _window_table(self, clue: Clue, years_read: YearsRead) -> Table:
        window, (bracket, weighted) = clue.made or Window(), years_read
        if not weighted:
            return window_table(self._ends(window, bracket), self.years)
        return mixed_table(
            [
                (weight, window_table(self._ends(window, (year, year)), self.years))
                for year, weight in weighted
            ]
        )

    def _spell(self, maker: str, mark: str, prior: PriorYears) -> Spell:
        entry = self.base.makers.get(maker)
        variant = next((each for each in entry.marks if each.name == mark), None) if entry else None
        trust = variant.trust.name if variant and variant.trust else "moderate"
        misread = max(trust_misread(self.base, trust), self.settings.misread_least)
        used = variant.used if variant is not None else None
        works = entry.works if entry is not None else None
        return self._alike.get(
            (used, works, misread, prior.name),
            lambda: self._made_spell(used, works, misread, prior),
        )

    def _made_spell(
        self, used: Window | None, works: Window | None, misread: float, prior: PriorYears
    ) -> Spell:
        """Many marks share their maker's years and their trust: their spells are made once."""
        window = self._mark_window(used, works)
        suits = self._mass(used, works, prior)
        if suits <= 0 or min(window) == max(window):
            return Spell(1.0, 0, ())
        by = (1.0 - misread) / suits
        return spell(misread, tuple([value * by for value in window]))

    def _mass(self, used: Window | None, works: Window | None, prior: PriorYears) -> float:
        """The sum of the prior over a mark's window."""
        return self._masses.get(
            (used, works, prior.name),
            lambda: sum(map(mul, prior.table, self._mark_window(used, works))),
        )

    def _mark_window(self, used: Window | None, works: Window | None) -> Table:
        """The window of a mark; all years when nothing of it is known."""
        working = (
            None
            if works is None
            else self._works.get(works, lambda: softened_table(self._ends(works, None), self.years))
        )
        if used is not None:
            return mark_table(self._ends(used, None), working, self.years, self._faded)
        return working or (1.0,) * len(self.years)


def _prior_for(base: KnowledgeBase, piece_type: str) -> Prior | None:
    for kind in base.broader(piece_type) or (piece_type,):
        for prior in base.priors.values():
            if any(each.name == kind for each in prior.on):
                return prior
    return next((prior for prior in base.priors.values() if not prior.on), None)
