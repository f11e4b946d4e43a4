"""What a maker's mark says of the years: when it was in use, within its maker's working years."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from itertools import count, islice
from operator import mul

from markrules.frozen import dataclass
from markrules.inference.clues import trust_misread
from markrules.inference.curves import Spell
from markrules.inference.memo import Memo
from markrules.inference.priors import PriorYears
from markrules.inference.settings import Settings
from markrules.inference.spreads import humps, humps_table
from markrules.inference.years import Ends, Table, fading, mark_table, resolve, softened_table
from markrules.knowledge.base import KnowledgeBase
from markrules.language.entries.marks import Maker
from markrules.language.windows import Spread, Window

# When a maker worked, and how its surviving pieces lie over the years.
_Working = tuple[Window | None, Spread | None]
_NO_MAKER: _Working = (None, None)


@dataclass(frozen=True, slots=True)
class MarkWindow:
    """The window of a mark, from its first year above 0 to its last: `start` is the position of the
    first. `is_level` tells that it leaves all years alike. `number` tells it from other windows.
    """

    number: int
    start: int
    values: Table
    is_level: bool


def _mass_over(window: MarkWindow, prior: PriorYears) -> float:
    """The sum of the prior over a window."""
    mass: float = sum(map(mul, islice(prior.table, window.start, None), window.values))
    return mass


def _spell_of(window: MarkWindow, mass: float, misread: float) -> Spell:
    """A window normalised by its mass, mixed with the prior by the chance of being misdated."""
    # A mark of no year of this prior, or of all alike, says nothing of when.
    if mass <= 0 or window.is_level:
        return Spell(1.0, 0, ())
    return Spell(misread, window.start, window.values, (1.0 - misread) / mass)


class MarkYears:
    """The marks of a knowledge base over a grid of years; what was worked out is kept."""

    def __init__(
        self, base: KnowledgeBase, settings: Settings, years: range, reference: Table
    ) -> None:
        """The marks of `base` over `years`; `reference` is the curve of all surviving pieces,
        which those of the makers are held against.
        """
        self.base, self.settings, self.years = base, settings, years
        self._reference = reference
        self._faded = fading(years, settings.mark_life)
        self._unfaded = (1.0,) * len(years)
        self._numbers = count()
        self._known: Memo[tuple[str, str], tuple[MarkWindow, float]] = Memo(1 << 14)
        self._works: Memo[_Working, Table] = Memo(1 << 12)
        self._windows: Memo[tuple[Window | None, _Working], MarkWindow] = Memo(1 << 12)
        self._masses: Memo[tuple[int, str], float] = Memo(1 << 15)
        self._shares: Memo[tuple[str, str], Mapping[str, float]] = Memo(1 << 12)
        self._together: Memo[str, Mapping[str, MarkWindow]] = Memo(1 << 12)
        self._spells: Memo[tuple[str, str, str], Spell] = Memo(1 << 14)

    def spell(self, maker: str, mark: str, prior: PriorYears) -> Spell:
        """P(year | this maker and mark) over the prior of the year, for each year.

        It is the mark's window within the maker's working years, or else those years alone,
        softened, each year by how many of the maker's pieces are of it where that is known;
        normalised over the prior, and mixed with the prior itself by the mark's chance of being
        misdated.
        """
        return self._spells.get((maker, mark, prior.name), lambda: self._spell(maker, mark, prior))

    def spell_within(self, years: Window | None, prior: PriorYears) -> Spell:
        """The same for a mark of which nothing but its years is known; None for no years."""
        misread = max(trust_misread(self.base, "moderate"), self.settings.misread_least)
        window = self._mark_window(years, _NO_MAKER)
        return _spell_of(window, self._mass(window, prior), misread)

    def window(self, maker: str, mark: str) -> MarkWindow:
        """The window of a mark, within its maker's working years."""
        return self._of(maker, mark)[0]

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
        masses = {
            each.name: self._mass(self.window(maker, each.name), prior) for each in entry.marks
        }
        whole = sum(masses.values())
        # None was used within the grid of years: then none is likelier than another.
        if whole <= 0:
            return dict.fromkeys(masses, 1.0 / len(masses))
        return {name: mass / whole for name, mass in masses.items()}

    def _spell(self, maker: str, mark: str, prior: PriorYears) -> Spell:
        window, misread = self._of(maker, mark)
        return _spell_of(window, self._mass(window, prior), misread)

    def _of(self, maker: str, mark: str) -> tuple[MarkWindow, float]:
        """The window of a mark, and the chance that it is misdated."""
        return self._known.get((maker, mark), lambda: self._made(maker, mark))

    def _made(self, maker: str, mark: str) -> tuple[MarkWindow, float]:
        entry = self.base.makers.get(maker)
        variant = next((each for each in entry.marks if each.name == mark), None) if entry else None
        trust = variant.trust.name if variant and variant.trust else "moderate"
        window = self._alternating(maker).get(mark) or self._mark_window(
            variant.used if variant is not None else None, _working(entry)
        )
        return window, max(trust_misread(self.base, trust), self.settings.misread_least)

    def _alternating(self, maker: str) -> Mapping[str, MarkWindow]:
        """The windows of those variants of a maker that have the letters of another.

        Entries of the same letters tell of one practice in parts, or twice: in no year do they
        together stand on more than the fullest of them. Else two whose years meet, each with
        soft ends, would say that most was made in the year of their meeting.
        """
        return self._together.get(maker, lambda: self._made_alternating(maker))

    def _made_alternating(self, maker: str) -> Mapping[str, MarkWindow]:
        entry = self.base.makers.get(maker)
        letters = Counter(each.text for each in entry.marks) if entry else Counter[str]()
        found: dict[str, MarkWindow] = {}
        for text, entries in letters.items():
            if entries < 2 or not text or entry is None:
                continue
            some = [each for each in entry.marks if each.text == text]
            tables = [self._used(each.used, _working(entry)) for each in some]
            fullest, whole = (
                map(max, zip(*tables, strict=True)),
                map(sum, zip(*tables, strict=True)),
            )
            by = [most / all_ if all_ else 0.0 for most, all_ in zip(fullest, whole, strict=True)]
            for each, table in zip(some, tables, strict=True):
                found[each.name] = self._cut(tuple(map(mul, table, by)))
        return found

    def _mass(self, window: MarkWindow, prior: PriorYears) -> float:
        """The sum of the prior over a window."""
        return self._masses.get((window.number, prior.name), lambda: _mass_over(window, prior))

    def _mark_window(self, used: Window | None, working: _Working) -> MarkWindow:
        """The window of a mark; all years when nothing of it is known."""
        return self._windows.get((used, working), lambda: self._cut(self._used(used, working)))

    def _cut(self, table: Table) -> MarkWindow:
        """The window of a whole table."""
        # Most marks were used for a tenth of the grid: the sums run over these years alone.
        some = [at for at, value in enumerate(table) if value] or [0]
        first, last = some[0], some[-1]
        # Told once here, since a level window needs no sum over the years in any reading.
        level = min(table) == max(table)
        return MarkWindow(next(self._numbers), first, table[first : last + 1], level)

    def _used(self, used: Window | None, working: _Working) -> Table:
        if working == _NO_MAKER:
            at_work = None
        else:
            at_work = self._works.get(working, lambda: self._at_work(*working))
        if used is not None:
            # Where the maker's pieces are told by year, that tells how its marks fade as well.
            faded = self._faded if working[1] is None else self._unfaded
            return mark_table(self._ends(used), at_work, self.years, faded)
        return at_work or (1.0,) * len(self.years)

    def _at_work(self, works: Window | None, pieces: Spread | None) -> Table:
        """The softened working years, times how much likelier than of any piece each year is of
        one of the maker's, from 0 to 1.
        """
        ends = self._ends(works or Window())
        allowed = softened_table(ends, self.years)
        if pieces is None:
            return allowed
        waves = humps(pieces, self.years[-1])
        curve = humps_table(waves, self.years, seam=self.settings.wave_seam)
        if curve is None:
            return allowed
        said = pieces.background
        stray = min(said if said is not None else self.settings.background, 1.0)
        lift = [
            may * ((1.0 - stray) * share / whole + stray) ** self.settings.maker_pieces
            for may, share, whole in zip(allowed, curve, self._reference, strict=True)
        ]
        peak = max(lift)
        return tuple([each / peak for each in lift]) if peak > 0 else allowed

    def _ends(self, window: Window) -> Ends:
        return resolve(window, self.years, self.settings, None)


def _working(entry: Maker | None) -> _Working:
    return _NO_MAKER if entry is None else (entry.works, entry.pieces)
