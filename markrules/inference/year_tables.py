"""A knowledge base made ready for reading: tables of years, built when first needed and kept."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import accumulate, count
from math import log
from operator import mul
from sys import byteorder

from markrules.frozen import dataclass
from markrules.inference.clues import TYPE, ClueFacts, certainty_misread, clue_facts
from markrules.inference.curve_sources import CurveSources
from markrules.inference.evidence import (
    ClueOfPart,
    Factor,
    Rates,
    bounded_rates,
    combined_misread,
    emission,
    factor,
    information,
    likelihood_table,
)
from markrules.inference.looktable import packed, unpacked
from markrules.inference.mark_years import MarkYears
from markrules.inference.memo import Memo
from markrules.inference.priors import ANY_TYPE, FLAT, PriorYears, default_origin, prior_for
from markrules.inference.settings import settings_of
from markrules.inference.spreads import NO_BRACKET, TAIL, Hump, humps, humps_table
from markrules.inference.years import (
    Ends,
    Table,
    flat_table,
    floored,
    mixed_table,
    mixture,
    prior_table,
    resolve,
    window_table,
)
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import PLAIN
from markrules.knowledge.workings import NO_MAKERS
from markrules.language.tree import Clue, Misleading, PieceException, Prior, Type
from markrules.language.windows import Spread, Window

YearsRead = tuple[tuple[int, int] | None, tuple[tuple[int, float], ...]]
"""A bracket of years, and the years in it with their likelihoods where they lie apart."""

NO_YEARS: YearsRead = (None, ())
Observed = tuple[float, float, float]
VoiceKey = tuple[str, Observed, YearsRead]

IMITATING = frozenset(
    {
        "copy",
        "reissue",
        "cast-from-original",
        "revival",
        "technique-lives-on",
        "false-mark",
        "old-part",
    }
)
"""Kinds of situation in which a later piece shows more of older years than what gives it away."""

MISLED = "misleading "
"""What stands before the name of a situation where it names what a piece may be as a whole."""

FactorKey = tuple[tuple[tuple[int, float, float], ...], float, float, bool]

HARD = "hard"
"""The level of trust that the language knows by name: what could not be otherwise."""

LEAST_BULK = 6
"""A bulk of fewer years, such as `mostly 1950`, is taken as so many: no fashion is shorter."""

KEPT_VOICES = 2048
KEPT_FACTORS = 3072
"""How many tables are kept. Years read off pieces and tempering make ever new ones in a batch."""


@dataclass(frozen=True, slots=True)
class PieceKind:
    """A sound piece (with the empty name), or an exception: what a whole piece may be.

    `log_share` is ln of the share of such pieces and `prior` ln of the prior of their years.
    On them the clues on the features in `of`, or all where it is empty, mislead with the
    further chance `misread`, and all others with the chance `elsewhere`; clues of hard trust do
    not: a text that names a state or a law is no older than it on whatever it stands.
    """

    name: str
    log_share: float
    misread: float
    of: frozenset[str]
    prior: Table
    elsewhere: float = 0.0

    def misreads(self, features: Collection[str], trust: str, *, years_read: bool = False) -> float:
        """The further chance that a clue of this trust on these features misleads.

        One that counts from a year on the piece (`years_read`) is not imitated with the rest.
        """
        if trust == HARD:
            return 0.0
        if not self.of or not self.of.isdisjoint(features):
            return self.misread
        return 0.0 if years_read else self.elsewhere


@dataclass(frozen=True, slots=True, eq=False)
class Voice:
    """A clue as it speaks in a reading: its rates there and the years that it suits.

    `suits` is its emission, with mean 1 over the reference curve. `shown` is how it is drawn,
    its peak at 1, and `high` the positions between which it is at home: the middle 80% of its
    curve, or where its window is above one half. `home` is 1 where the clue is at least as
    common as on any piece, and less elsewhere. `first` and `last` are the hard limits of its
    window that lie inside the grid of years. `information` is what it says by itself, in nats.
    `number` tells it from other voices.
    """

    number: int
    facts: ClueFacts
    rates: Rates
    ends: Ends
    first: int | None
    last: int | None
    suits: Table
    shown: Table
    high: tuple[int, int]
    home: Table
    information: float


def _has_curve(facts: ClueFacts) -> bool:
    """Whether its emission is made from a curve, rather than from a window, which is soon done."""
    made = facts.clue.made
    return facts.clue.common is not None or (
        made is not None and made.mostly_first is not None and made.mostly_last is not None
    )


class YearTables:
    """A knowledge base, a grid of years, and the tables that readings share.

    `years` runs from the setting `first-year` to `last_year`. `reference` is the curve of all
    surviving pieces, wherever they come from, that written curves are held against: the prior
    without origin and without piece types; `reference_of` is the same for some types. Raises
    ValueError when the grid would be empty.
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
        self.reference = self._prior_table(prior_for(base, ANY_TYPE, ""))
        self.origin = default_origin(base)
        self.fittings = {
            feature.name: entry for entry in base.fittings.values() for feature in entry.of
        }
        self._priors: Memo[tuple[str, str, bool], PriorYears] = Memo(1024)
        self._entries: Memo[str, Table] = Memo(1024)
        self._references: Memo[tuple[str, ...], Table] = Memo(256)
        self._kinds: Memo[str, tuple[PieceKind, ...]] = Memo(256)
        # One for each clue of the rules, so none is ever dropped; the others grow with what is
        # read.
        self._facts: Memo[str, ClueFacts] = Memo(1 << 20)
        self._certainties: Memo[str, float] = Memo(256)
        self._suits: Memo[tuple[str, YearsRead], Table | None] = Memo(KEPT_VOICES)
        self._voices: Memo[VoiceKey, Voice | None] = Memo(KEPT_VOICES)
        self._factors: Memo[FactorKey, Factor] = Memo(KEPT_FACTORS)
        self._numbers = count()
        self.marks = MarkYears(base, self.settings, self.years, self.reference)

    def prior(self, piece_type: str, origin: str = "", heard: bool = False) -> PriorYears:
        """The prior for a piece type from an origin.

        It is the origin's for the type, else for a broader one, else the origin's general
        prior, else the same without origin. Where no origin is said, the default one is taken
        with the doubt of the setting `origin-doubt`, which is shared by all other origins; where
        it was only `heard` of in a note, that of `origin-heard`.
        Raises KeyError for an origin that is not in the rules.
        """
        if origin and origin != FLAT and origin not in self.base.origins:
            raise KeyError(origin)
        return self._priors.get(
            (origin, piece_type, heard), lambda: self._prior(piece_type, origin, heard)
        )

    def reference_of(self, piece_types: tuple[str, ...]) -> Table:
        """The curve of all surviving pieces of these types, wherever they come from.

        It is what a curve of pieces of such types is held against: the priors of each type from
        each origin, by the share of all pieces that comes from there, the types alike. Where no
        type is named, or no origin tells its share, it is `reference`.
        """
        return self._references.get(piece_types, lambda: self._reference_of(piece_types))

    def _reference_of(self, piece_types: tuple[str, ...]) -> Table:
        shares = [(each.name, each.share) for each in self.base.origins.values() if each.share]
        if not piece_types or not shares:
            return self.reference
        found = mixture(
            [
                (share, self._of(prior_for(self.base, kind, origin)))
                for kind in piece_types
                for origin, share in shares
            ]
        )
        whole = sum(found)
        return tuple([value / whole for value in found])

    def kinds(self, prior: PriorYears) -> tuple[PieceKind, ...]:
        """What a piece may be as a whole, a sound piece first."""
        return self._kinds.get(prior.name, lambda: tuple(self._piece_kinds(prior)))

    def facts(self, clue: str) -> ClueFacts:
        """The facts of a clue of the knowledge base, or of a type (`type` stands before it)."""
        return self._facts.get(clue, lambda: clue_facts(self.base, _entry(self.base, clue)))

    def certainty(self, name: str) -> float:
        """The chance that an observer this sure is wrong."""
        return self._certainties.get(name, lambda: certainty_misread(self.base, name))

    def rates(self, facts: ClueFacts, observer: float, refit: float, reuse: float) -> Rates:
        """The rates of a clue whose observer is wrong with the chance `observer`.

        `refit` and `reuse` are those of the part seen; the clue's own stand before them, and a
        type, which is a whole piece, is never refitted.
        """
        clue = facts.clue
        if isinstance(clue, Type):
            # What a type is known by is the piece as a whole: no part of it is a later one.
            refit = reuse = 0.0
        else:
            refit = refit if clue.refit is None else clue.refit
            reuse = reuse if clue.reuse is None else clue.reuse
        misread = combined_misread(facts.misread, observer)
        return bounded_rates(misread, refit, reuse, self.settings.misread_least)

    def voice(self, clue: str, observed: Observed, years_read: YearsRead) -> Voice | None:
        """The clue as it speaks of what was observed; None when its window lies off the grid.

        `observed` holds the chance that the observer is wrong, and the shares of such parts
        that are refitted and used again. `years_read` is what a register or a year feature
        gave, for windows that count from it.
        """
        return self._voices.get(
            (clue, observed, years_read), lambda: self._voice(clue, observed, years_read)
        )

    def says(self, clue: str) -> float:
        """What a clue or type says by itself, in nats, where what it asks for was plainly seen.

        It is 0 for one whose window lies off the grid.
        """
        voice = self.voice(clue, (self.surest, 0.0, 0.0), NO_YEARS)
        return voice.information if voice is not None else 0.0

    def factor(
        self,
        voices: Sequence[tuple[Voice, float, float]],
        refit: float,
        reuse: float,
        *,
        bound: bool = False,
    ) -> Factor:
        """The factor of a part: its voices, each with its weight and a further misread chance.

        In a part that a fittings entry binds, each piece of it may also be fitted later alone.
        """
        apart = self.settings.own_refit if bound else 0.0
        # By number: a voice holds tables of all years, which would be hashed each time.
        key = (tuple([(voice.number, w, more) for voice, w, more in voices]), refit, reuse, bound)
        return self._factors.get(
            key,
            lambda: factor(
                [
                    ClueOfPart(
                        voice.suits,
                        combined_misread(voice.rates.misread, more),
                        w,
                        apart * voice.rates.refit,
                    )
                    for voice, w, more in voices
                ],
                refit,
                reuse,
            ),
        )

    def likelihood_table(self, facts: ClueFacts, rates: Rates) -> Table | None:
        """The bare likelihood of each year; None when the window lies off the grid."""
        suits = self.suits(facts, NO_YEARS)
        return likelihood_table(suits, rates) if suits is not None else None

    def suits(self, facts: ClueFacts, years_read: YearsRead) -> Table | None:
        """The emission of a clue: how readily pieces of each year show it, against any piece."""
        key = (facts.key, years_read)
        return self._suits.get(key, lambda: self._made_suits(facts, years_read))

    def _made_suits(self, facts: ClueFacts, years_read: YearsRead) -> Table | None:
        if years_read == NO_YEARS and _has_curve(facts) and self.base.workings.lasting:
            kept = self._kept_curves().get(facts.key)
            # Three tables lie one behind the other; the first is the emission.
            return tuple(unpacked(kept)[: len(self.years)]) if kept else None
        return self._emission(facts, years_read)

    def _emission(self, facts: ClueFacts, years_read: YearsRead) -> Table | None:
        """The emission of the clue's window or curve, with the shares of what it asks for."""
        reference = self.reference_of(facts.on)
        made = emission(self._window_table(facts, years_read), reference)
        if made is None or not self.base.shares or facts.relative:
            return made
        from markrules.inference.competing import pooled, shares_table

        tables, features = self.base.shares.values(), self.base.features
        shares = shares_table(facts.clue, tables, features, facts.on, self.years)
        if shares is None:
            return made
        return pooled(made, shares, self.settings.shares_weight, reference)

    def _kept_curves(self) -> Mapping[str, bytes]:
        """Of every clue with a curve its emission, the table that is drawn, and the two places
        between which it is at home, as doubles; nothing of a clue off the grid.

        A curve takes a millisecond, and the next looks ask for hundreds.
        """

        # Doubles are kept as this machine lays them: one with the other order makes its own.
        name = f"curves-{self.years[0]}-{self.years[-1]}-{byteorder}"

        def make() -> dict[str, bytes]:
            clues: list[Clue | Type] = [*self.base.clues.values(), *self.base.types.values()]
            every = (clue_facts(self.base, clue) for clue in clues)
            curves = {facts.key: facts for facts in every if _has_curve(facts)}
            made_of = CurveSources(self.base, self.settings)
            return self.base.workings.made_again(
                name,
                {key: made_of.digest(facts) for key, facts in curves.items()},
                lambda key: self._packed_curve(curves[key]),
            )

        return self.base.workings.parts(name, make, apart_from=NO_MAKERS)

    def _packed_curve(self, facts: ClueFacts) -> bytes:
        table = self._emission(facts, NO_YEARS)
        return packed((table, *self._made_shown(facts, NO_YEARS))) if table is not None else b""

    def _prior_table(self, entry: Prior | None) -> Table:
        if entry is None:
            return flat_table(self.years)
        if entry.common is None:
            return prior_table(entry.points, self.years)
        # A prior made for one reading (a situation's years) bears a name that may be another's.
        if self.base.workings.lasting and self.base.priors.get(entry.name) is entry:
            return tuple(unpacked(self._curves_of_kind("priors", self.base.priors)[entry.name]))
        return self._prior_curve(entry.common)

    def _prior_curve(self, spread: Spread) -> Table:
        table = self._spread_table(spread, NO_BRACKET, None, None)
        if table is None:
            return flat_table(self.years)
        # No year is left at 0: a clue could never bring it back.
        stray = self._background(spread) / len(self.years)
        return floored([(1.0 - self._background(spread)) * p + stray for p in table])

    def _exception_curve(self, name: str, spread: Spread) -> Table:
        if not self.base.workings.lasting:
            return self._prior_curve(spread)
        return tuple(unpacked(self._curves_of_kind("exceptions", self.base.exceptions)[name]))

    def _curves_of_kind(
        self, kind: str, entries: Mapping[str, Prior] | Mapping[str, PieceException]
    ) -> Mapping[str, bytes]:
        """The tables of all entries of a kind that have a curve: every reading needs some."""

        def make() -> dict[str, bytes]:
            return {
                each.name: packed([self._prior_curve(each.common)])
                for each in entries.values()
                if each.common is not None
            }

        name = f"{kind}-{self.years[0]}-{self.years[-1]}-{byteorder}"
        return self.base.workings.parts(name, make, apart_from=NO_MAKERS)

    def _prior(self, piece_type: str, origin: str, heard: bool) -> PriorYears:
        if origin == FLAT:
            table, names = flat_table(self.years), [FLAT]
        else:
            own = origin or self.origin
            # Who says where a piece comes from is believed; where it is only heard, the others stay
            # open.
            sure = bool(origin) and not heard
            others = [] if sure else [each for each in self.base.origins if each != own]
            doubted = self.settings.origin_heard if origin else self.settings.origin_doubt
            doubt = doubted / len(others) if others else 0.0
            found = [prior_for(self.base, piece_type, each) for each in (own, *others)]
            names = [entry.name if entry is not None else "" for entry in found]
            shares = [1.0 - doubt * len(others)] + [doubt] * len(others)
            table = mixture(
                [(share, self._of(entry)) for share, entry in zip(shares, found, strict=True)]
            )
        return PriorYears("/".join(names), table, tuple(map(log, table)), origin or self.origin)

    def _of(self, entry: Prior | None) -> Table:
        name = entry.name if entry is not None else ""
        return self._entries.get(name, lambda: self._prior_table(entry))

    def misled_kind(self, entry: Misleading, of: frozenset[str], odds: float) -> PieceKind | None:
        """What a piece is where a situation holds, by the years of such pieces, if it has any.

        Clues on the features in `of` say nothing of such a piece: its years already tell what
        they could. `odds` are those against all that it may be otherwise.
        """
        if entry.common is None:
            return None
        years = self._entries.get(
            f"misleading {entry.name}",
            lambda: self._prior_table(Prior(entry.name, common=entry.common)),
        )
        elsewhere = self.settings.imitated if entry.kind in IMITATING else 0.0
        return PieceKind(
            f"{MISLED}{entry.name}", log(odds), 1.0, of, tuple(map(log, years)), elsewhere
        )

    def _piece_kinds(self, prior: PriorYears) -> Iterator[PieceKind]:
        exceptions = self.base.exceptions.values()
        # Rules of a person's own may add exceptions until nothing is left for a sound piece.
        sound = max(1.0 - sum(each.share for each in exceptions), self.settings.misread_least)
        yield PieceKind("", log(sound), 0.0, frozenset(), prior.log)
        for each in exceptions:
            years = prior.log
            if each.common is not None:
                years = tuple(map(log, self._exception_curve(each.name, each.common)))
            of = frozenset(feature.name for feature in each.of)
            share = max(each.share, self.settings.misread_least)
            yield PieceKind(each.name, log(share), each.misread, of, years)

    def _voice(self, clue: str, observed: Observed, years_read: YearsRead) -> Voice | None:
        facts = self.facts(clue)
        rates = self.rates(facts, *observed)
        suits = self.suits(facts, years_read)
        if suits is None:
            return None
        ends = self._ends(facts.clue.made or Window(), years_read[0])
        first = ends.first if ends.first is not None and ends.first > self.years[0] else None
        last = ends.last if ends.last is not None and ends.last < self.years[-1] else None
        shown, high = self._shown(facts, years_read)
        return Voice(
            next(self._numbers),
            facts,
            rates,
            ends,
            first,
            last,
            suits,
            shown,
            high,
            tuple([min(value, 1.0) for value in suits]),
            information(likelihood_table(suits, rates), self.reference_of(facts.on)),
        )

    def _ends(self, window: Window, bracket: tuple[int, int] | None) -> Ends:
        return resolve(window, self.years, self.settings, bracket)

    def _window_table(self, facts: ClueFacts, years_read: YearsRead) -> Table:
        """How readily each year shows the clue, up to a constant."""
        bracket, weighted = years_read
        if not weighted:
            return self._one_table(facts, bracket)
        tables = [(w, self._one_table(facts, (year, year))) for year, w in weighted]
        return mixed_table(tables)

    def _one_table(self, facts: ClueFacts, bracket: tuple[int, int] | None) -> Table:
        clue = facts.clue
        ends = self._ends(clue.made or Window(), bracket)
        curve = self._curve(clue, ends, bracket)
        if curve is None:
            return window_table(ends, self.years)
        stray = self._background(clue.common) if clue.common is not None else 0.0
        allowed = window_table(Ends(ends.first, None, None, ends.last, ends.gaps, 0), self.years)
        return tuple(
            [
                may * ((1.0 - stray) * p / whole + stray)
                for may, p, whole in zip(allowed, curve, self.reference_of(facts.on), strict=True)
            ]
        )

    def _curve(
        self, clue: Clue | Type, ends: Ends, bracket: tuple[int, int] | None
    ) -> Table | None:
        """P(year | seen): the written curve, or one made of the bulk that a source gives.

        None where the clue gives neither: where its window is open on a side, or counts from
        a year that was read, it says which years are possible and no more.
        """
        if clue.common is not None:
            return self._spread_table(clue.common, bracket or NO_BRACKET, ends.first, ends.last)
        first, last = ends.mostly_first, ends.mostly_last
        tail = self.settings.mostly_tail
        if bracket is not None or first is None or last is None or last >= self.years[-1]:
            return None
        # Quantiles at a half or beyond make no hump: the setting then turns such curves off.
        if not 0.0 < tail < 0.5:
            return None
        short = max(0.0, (LEAST_BULK - (last - first)) / 2)
        hump = Hump(first - short, (first + last) / 2, last + short, tail=tail)
        return humps_table([hump], self.years, ends.first, ends.last)

    def _spread_table(
        self, spread: Spread, bracket: tuple[int, int], first: int | None, last: int | None
    ) -> Table | None:
        waves = humps(spread, self.years[-1], bracket)
        return humps_table(waves, self.years, first, last, self.settings.wave_seam)

    def _background(self, spread: Spread) -> float:
        stray = spread.background
        return min(stray if stray is not None else self.settings.background, 1.0)

    def _shown(self, facts: ClueFacts, years_read: YearsRead) -> tuple[Table, tuple[int, int]]:
        """The table that is drawn for a clue, its peak at 1, and where the clue is at home."""
        if years_read == NO_YEARS and _has_curve(facts) and self.base.workings.lasting:
            # Behind the tables stand the two places between which the clue is at home.
            kept, count = unpacked(self._kept_curves()[facts.key]), len(self.years)
            return tuple(kept[count : 2 * count]), (int(kept[-2]), int(kept[-1]))
        return self._made_shown(facts, years_read)

    def _made_shown(self, facts: ClueFacts, years_read: YearsRead) -> tuple[Table, tuple[int, int]]:
        curve = None
        if not years_read[1]:
            ends = self._ends(facts.clue.made or Window(), years_read[0])
            curve = self._curve(facts.clue, ends, years_read[0])
        if curve is not None:
            if ends.gaps:
                allowed = window_table(Ends(None, None, None, None, ends.gaps, 0), self.years)
                curve = tuple(map(mul, curve, allowed))
            whole = sum(curve)
            sums = [each / whole for each in accumulate(curve)]
            return _peaked(curve), (bisect_left(sums, TAIL), bisect_left(sums, 1.0 - TAIL))
        table = _peaked(self._window_table(facts, years_read))
        high = [at for at, value in enumerate(table) if value > 0.5]
        return table, (high[0], high[-1])


def _peaked(table: Table) -> Table:
    peak = max(table)
    return tuple([value / peak for value in table])


def _entry(base: KnowledgeBase, name: str) -> Clue | Type:
    kind, _, rest = name.partition(" ")
    return base.types[rest] if kind == TYPE and rest else base.clues[name]
