"""Which look would settle most: the expected gain of each feature not yet seen, in bits."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from heapq import heappop, heappush
from itertools import islice, repeat, starmap
from operator import mul
from sys import byteorder
from typing import TYPE_CHECKING, Any, TypeAlias

from markrules.frozen import dataclass
from markrules.inference.curves import Curve
from markrules.inference.evidence import information
from markrules.inference.families import FamilyMember, weights
from markrules.inference.fired import Fired
from markrules.inference.looktable import (
    Groups,
    LookTable,
    at_most,
    divided,
    gain_at_once,
    information_gain,
    look_table,
    look_table_of,
    packed,
    tables_of,
    value_groups,
)
from markrules.inference.memo import Memo
from markrules.inference.posterior import Posterior
from markrules.inference.priors import PriorYears
from markrules.inference.products import Over, Squared, squared
from markrules.inference.reading import NextLook
from markrules.inference.settings import Settings
from markrules.inference.year_tables import YearTables
from markrules.inference.years import Table
from markrules.knowledge.observation import MARK
from markrules.knowledge.workings import NO_MAKERS
from markrules.language.conditions import Is
from markrules.language.tree import EFFORTS, Clue, Feature

if TYPE_CHECKING:
    from markrules.inference.marklook import MarkTable, Placed

TABLES = " tables"
"""What stands after the name of a feature where the tables of its clues are kept."""

PARTS = 8
"""Parts of the grid of years, each with bounds that are near where most of a curve lies there."""

RAISED = 0.005
"""Bits by which a look may gain more once clues of its families have spoken. Tempering a
likelihood all but always lowers its gain; over two thousand looks at dated pieces the most that
it was raised, where several clues share a value, was 0.0044."""

SAME_DIGITS = 9
"""Decimals of a gain in which a sum is the same in whatever order it is made."""

ROUNDED = 1e-9
"""Bits by which a bound is raised, so that rounding brings none below its gain."""

AT_MOST, ALONE, EXACT = range(3)
"""What is known of a gain: a bound; a nearer bound, if no clue had spoken; the gain."""

_Spoken: TypeAlias = tuple[Table, str, float]
"""What a clue says of each year, the family that it belongs to, and its information."""

_Said: TypeAlias = tuple[str, Groups, Sequence[str], int]
"""The feature of a look, its groups of values, the families of the clues they fire, its effort."""


@dataclass(frozen=True, slots=True)
class PossibleLook:
    """A feature that can be looked at on a piece type, and what its values would say.

    `families` are those of the clues that it can fire, `effort` the step of effort that it takes.
    `number` tells `groups` apart.
    """

    feature: str
    groups: Groups
    families: tuple[str, ...]
    effort: int
    number: int


class _BestFirst:
    """Looks in order of what they are worth, worked out only as far as that takes.

    Each waits with what it is worth at most. The first of those is taken out, and comes back with
    what is known nearer, until it is exact: then nothing that waits can be worth more. (Best-first
    search with an admissible bound: P. E. Hart, N. J. Nilsson and B. Raphael, A formal basis for
    the heuristic determination of minimum cost paths, 1968.)
    """

    def __init__(
        self, settings: Settings, settling: Mapping[str, float], odds: Mapping[str, float]
    ) -> None:
        self._settings, self._settling, self._odds = settings, settling, odds
        self._waiting: list[tuple[float, int, str, float, int]] = []

    def add(self, feature: str, effort: int, gain: float, known: int) -> None:
        """A look with its gain, or what it is at most; passed over where that is too little."""
        told = gain * self._odds.get(feature, 1.0)
        if told < self._settings.next_least and feature not in self._settling:
            return
        worth = told + self._settling.get(feature, 0.0) - self._settings.effort_penalty * effort
        heappush(self._waiting, (-worth, known, feature, gain, effort))

    def best(
        self, nearer: Callable[[str, int], tuple[float, int]]
    ) -> Iterator[tuple[float, float, str]]:
        """Worth, gain and feature, the best first; `nearer` tells more of a gain."""
        while self._waiting:
            worth, known, feature, gain, effort = heappop(self._waiting)
            if known == EXACT:
                yield -worth, gain, feature
            else:
                self.add(feature, effort, *nearer(feature, known))


class Looks:
    """The looks that can be proposed, with their tables, made when first needed."""

    def __init__(self, tables: YearTables) -> None:
        """Prepare the looks over a knowledge base's tables of years."""
        self._years = tables
        self._numbers: dict[Groups, int] = {}
        self._looks: Memo[str, list[PossibleLook]] = Memo(1024)
        self._look_tables: Memo[tuple[int, tuple[int, ...]], LookTable] = Memo(1024)
        self._asked: Memo[tuple[int, tuple[int, ...]], list[bool]] = Memo(1024)
        self._bound_tables: Memo[tuple[str, int], Mapping[str, Squared]] = Memo(256)
        self._mark_tables: Memo[str, MarkTable] = Memo(64)
        self._likelihoods: Memo[str, tuple[Table, ...]] = Memo(16)

    def next_looks(
        self,
        fired: Sequence[Fired],
        found: Posterior,
        prior: PriorYears,
        *,
        piece_type: str,
        skipped: Collection[str],
        count: int,
        settling: Mapping[str, float] | None = None,
        odds: Mapping[str, float] | None = None,
    ) -> tuple[NextLook, ...]:
        """The best `count` looks, the most telling first.

        The gain is the mutual information between the value that would be seen and (maker,
        year), in bits. Features in `skipped` are not proposed, nor those that gain less than
        the setting `next-least`. Each step of effort counts as `effort-penalty` bits less
        when looks are put in order; the gain shown is not lessened. `settling` tells for some
        features the bits that a look at them gives of whether something misleads; those come
        forward by so much, and are proposed even where they say nothing of the years. `odds`
        tells for some features how likely a look tells anything, given what is known: the gain
        counts for so much of it. A look that is not worth its effort is not proposed.
        """
        if count <= 0:
            return ()
        settling, odds = settling or {}, odds or {}
        held = Counter(each.voice.facts.family for each in fired if each.voice.facts.family)
        looks = {
            look.feature: look
            for look in self._looks.get(piece_type, lambda: self._speaking(piece_type))
            if look.feature not in skipped
        }
        gains = _BestFirst(self._years.settings, settling, odds)
        curve = Over(found.curve.table)
        bounds = self._bounds(piece_type, found.curve)
        for name, look in looks.items():
            if name in bounds:
                most = curve.sum_with(bounds[name]) + ROUNDED
                gains.add(name, look.effort, most, AT_MOST)
            else:
                gain = self._gain(look, held, piece_type, curve)
                gains.add(name, look.effort, gain, EXACT)
        one = found.construction is found.curve
        # Its squares are summed once: mostly the two curves are the same object.
        construction = curve if one else Over(found.construction.table)
        for feature, gain in self._others(looks, fired, construction, prior, skipped, settling):
            gains.add(feature.name, _effort(feature), gain, EXACT)

        def nearer(feature: str, known: int) -> tuple[float, int]:
            look = looks[feature]
            # What other clues have said tempers the look, and its table is made anew; the table
            # without them is kept, and bounds the gain.
            if known == AT_MOST and self._is_to_be_made(look, held):
                table = self._look_table(look, Counter(), piece_type)
                return information_gain(table, curve) + RAISED, ALONE
            return self._gain(look, held, piece_type, curve), EXACT

        return tuple(starmap(self._told, islice(gains.best(nearer), count)))

    def _told(self, worth: float, gain: float, name: str) -> NextLook:
        feature, settings = self._years.base.features[name], self._years.settings
        steps = 1 + _effort(feature)
        return NextLook(
            name,
            feature.ask,
            feature.look,
            feature.effort,
            gain,
            worth - settings.answer_cost * steps,
            worth - settings.beside_cost * steps,
        )

    def _others(
        self,
        looks: Collection[str],
        fired: Sequence[Fired],
        construction: Over,
        prior: PriorYears,
        skipped: Collection[str],
        settling: Collection[str],
    ) -> Iterable[tuple[Feature, float]]:
        """What looking for a mark gains, and looks that tell only whether something misleads."""
        features = self._years.base.features
        mark = features.get(MARK)
        if mark is not None and MARK not in skipped:
            from markrules.inference.marklook import mark_gain

            marks = self._mark_tables.get(prior.name, lambda: self._mark_table(prior))
            yield mark, mark_gain(self._years, marks, construction, fired)
        for name in settling:
            if name not in looks and name not in (MARK, *skipped) and features[name].ask:
                # It says nothing of the years; what it settles is added where looks are put in
                # order.
                yield features[name], 0.0

    def _mark_table(self, prior: PriorYears) -> MarkTable:
        from markrules.inference.marklook import mark_table

        return mark_table(self._years, prior, self._mark_windows)

    @cached_property
    def _mark_windows(self) -> tuple[Placed, ...]:
        from markrules.inference.marklook import mark_windows

        return mark_windows(self._years)

    def _bounds(self, piece_type: str, curve: Curve) -> Mapping[str, Squared]:
        """For each look at a piece of which nothing has been said, a table whose mean over the
        curve is at least its gain, and near it: see `at_most`. None for types not in the rules.
        """
        if piece_type not in self._years.base.pieces:
            return {}
        count = len(self._years.years)
        # The part that holds the median: there the bound is tight where most of the curve lies.
        part = min(bisect_left(curve.sums, 0.5) * PARTS // count, PARTS - 1)

        def make() -> dict[str, Squared]:
            kept = self._kept_bounds(piece_type, part)
            bounds = map(squared, divided(kept["bounds"], count))
            return dict(zip(kept["names"], bounds, strict=True))

        return self._bound_tables.get((piece_type, part), make)

    def _kept_bounds(self, piece_type: str, part: int) -> Mapping[str, Any]:
        """Of one part only: pieces of a type mostly lie in one or two of them."""

        def make() -> dict[str, Any]:
            reference, count = self._years.reference, len(self._years.years)
            near = range(count * part // PARTS, count * (part + 1) // PARTS)
            tables = {
                look.feature: self._look_table(look, Counter(), piece_type)
                for look in self._looks.get(piece_type, lambda: self._speaking(piece_type))
            }
            bounds = packed(at_most(table, reference, near) for table in tables.values())
            return {"names": list(tables), "bounds": bounds}

        years = self._years.years
        name = f"look-bounds-{piece_type}-{part}-{years[0]}-{years[-1]}-{byteorder}"
        return self._years.base.workings.parts(name, make, apart_from=NO_MAKERS)

    def _gain(self, look: PossibleLook, held: Counter[str], piece_type: str, curve: Over) -> float:
        """The gain of a look over a curve. What is tempered by what was said is worked out for the
        curve alone the first time: another reading may never ask for its table.
        """
        already = tuple([held[family] for family in look.families])
        asked = self._asked.get((look.number, already), list) if any(already) else [True]
        if asked:
            gain = information_gain(self._look_table(look, held, piece_type), curve)
        else:
            asked.append(True)
            gain = gain_at_once(self._speaking_of(look, held), curve.table)
        return round(gain, SAME_DIGITS)  # the order of summing is not to show

    def _is_to_be_made(self, look: PossibleLook, held: Counter[str]) -> bool:
        """Whether a look is tempered by what was said, in a way that was not met before."""
        already = tuple([held[family] for family in look.families])
        return any(already) and (look.number, already) not in self._look_tables

    def _look_table(self, look: PossibleLook, held: Counter[str], piece_type: str) -> LookTable:
        def make() -> LookTable:
            if not any(already) and piece_type in self._years.base.pieces:
                kept = self._kept_tables(piece_type)[look.feature]
                return look_table_of(divided(kept, len(self._years.years)))
            return self._worked_out(look, held)

        already = tuple([held[family] for family in look.families])
        return self._look_tables.get((look.number, already), make)

    def _kept_tables(self, piece_type: str) -> Mapping[str, Any]:
        """The tables of all looks at a piece of which nothing has been said."""

        def make() -> dict[str, bytes]:
            nothing: Counter[str] = Counter()
            found: dict[str, bytes] = {}
            for look in self._looks.get(piece_type, lambda: self._speaking(piece_type)):
                found[look.feature] = packed(tables_of(self._worked_out(look, nothing)))
            return found

        years = self._years.years
        name = f"look-tables-{piece_type}-{years[0]}-{years[-1]}-{byteorder}"
        return self._years.base.workings.parts(name, make, apart_from=NO_MAKERS)

    def _worked_out(self, look: PossibleLook, held: Counter[str]) -> LookTable:
        return look_table(self._speaking_of(look, held), len(self._years.years))

    def _speaking_of(
        self, look: PossibleLook, held: Counter[str]
    ) -> list[tuple[float, Table | None]]:
        """The outcomes of a look: their shares, and what each would say of the years."""
        feature = look.feature
        return [(share, self._likelihood(feature, clues, held)) for clues, share in look.groups]

    def _likelihood(self, feature: str, clues: Sequence[str], held: Counter[str]) -> Table | None:
        """What one value says of the years, beside what its clues' families already said.

        The clues it fires share one observation, so they are tempered as in a reading. Clues
        of the same family that have fired are taken to say as much as each of these. None
        when the value says nothing.
        """
        years = self._years
        speaking: list[tuple[Table, FamilyMember]] = []
        for clue in clues:
            spoken = self._spoken(feature, clue, alone=len(clues) == 1)
            if spoken is not None:
                table, family, said = spoken
                speaking.append((table, FamilyMember(family, (0,), said)))
        counts = weights(
            [member for _, member in speaking],
            years.overlaps,
            held,
            years.settings.heed,
            years.settings.shared_look,
        )
        total: Table | None = None
        for (table, _), weight in zip(speaking, counts, strict=True):
            power = table if weight == 1.0 else tuple(map(pow, table, repeat(weight)))
            total = tuple(map(mul, total, power)) if total is not None else power
        return total

    def _spoken(self, feature: str, clue: str, *, alone: bool) -> _Spoken | None:
        """What a clue on a feature would say; None where its window lies off the grid. How much it
        says is needed only beside others. Next looks ask it of hundreds of clues, so it is kept.
        """
        if not self._years.base.workings.lasting:
            return self._would_say(clue, alone)
        at, family, said = self._kept_spoken[feature][clue]
        if at is None:
            return None
        return self._kept_likelihoods(feature)[at], family, 0.0 if alone else said

    def _kept_likelihoods(self, feature: str) -> Sequence[Table]:
        """The tables of all clues on a feature, in order."""
        # All tables of a feature in one part: a look asks for all of its values together.

        def make() -> tuple[Table, ...]:
            kept: bytes = self._kept_spoken[f"{feature}{TABLES}"]
            return tuple(map(tuple, divided(kept, len(self._years.years))))

        return self._likelihoods.get(feature, make)

    def _would_say(self, clue: str, alone: bool) -> _Spoken | None:
        years = self._years
        facts = years.facts(clue)
        rates = years.rates(facts, years.surest, *_fate(years, facts.feature))
        table = years.likelihood_table(facts, rates)
        if table is None:
            return None
        said = 0.0 if alone else information(table, years.reference_of(facts.on))
        return table, facts.family, said

    @cached_property
    def _kept_spoken(self) -> Mapping[str, Any]:
        """What `_would_say` gives of all clues, by feature, with their tables apart."""

        def make() -> dict[str, Any]:
            found: dict[str, Any] = {}
            for feature, values in _value_clues(self._years).items():
                tables: list[Table] = []
                rows: dict[str, tuple[int | None, str, float]] = {}
                for clue in sorted({clue.name for each in values.values() for clue in each}):
                    said = self._would_say(clue, False)
                    if said is None:
                        rows[clue] = None, "", 0.0
                        continue
                    rows[clue] = len(tables), *said[1:]
                    tables.append(said[0])
                found[feature] = rows
                found[f"{feature}{TABLES}"] = packed(tables)
            return found

        years = self._years.years
        name = f"look-clues-{years[0]}-{years[-1]}-{byteorder}"
        return self._years.base.workings.parts(name, make, apart_from=NO_MAKERS)

    def _speaking(self, piece_type: str) -> list[PossibleLook]:
        """The looks that apply to a piece type and have a value that speaks of years."""
        base = self._years.base
        # Any text may stand for a type: only those of the rules are few enough to be kept.
        if piece_type and piece_type not in base.pieces:
            return list(map(self._numbered, self._grouped(piece_type)))
        kept = base.workings.parts(
            f"looks-{piece_type}",
            lambda: {"looks": self._grouped(piece_type)},
            apart_from=NO_MAKERS,
        )
        return list(map(self._numbered, kept["looks"]))

    def _numbered(self, said: _Said) -> PossibleLook:
        name, grouped, families, effort = said
        groups = tuple([(tuple(clues), share) for clues, share in grouped])
        number = self._numbers.setdefault(groups, len(self._numbers))
        return PossibleLook(name, groups, tuple(families), effort, number)

    def _grouped(self, piece_type: str) -> list[_Said]:
        clues = _value_clues(self._years)
        kinds = set(self._years.base.broader(piece_type)) | {piece_type}
        grouped = [
            (feature, value_groups(feature, clues.get(feature.name, {}), kinds))
            for feature in self._years.base.features.values()
            if _can_be_looked_at(feature, kinds)
        ]
        return [
            (feature.name, groups, self._families(groups), _effort(feature))
            for feature, groups in grouped
            if any(clues for clues, _ in groups)
        ]

    def _families(self, groups: Groups) -> list[str]:
        return sorted({self._years.facts(clue).family for clues, _ in groups for clue in clues})


def _value_clues(tables: YearTables) -> dict[str, dict[str, list[Clue]]]:
    """For each feature and value, the clues that hold as soon as that value is seen."""
    found: defaultdict[str, defaultdict[str, list[Clue]]] = defaultdict(lambda: defaultdict(list))
    for clue in tables.base.clues.values():
        condition = clue.when
        if (
            not isinstance(condition, Is)
            or (clue.made or clue.common) is None
            or tables.facts(clue.name).relative
        ):
            continue
        for value in condition.values:
            found[condition.feature.name][value.name].append(clue)
    return {feature: dict(values) for feature, values in found.items()}


def _can_be_looked_at(feature: Feature, kinds: Collection[str]) -> bool:
    if feature.describes or feature.kind not in ("choice", "many") or not feature.values:
        return False
    return not feature.on or any(each.name in kinds for each in feature.on)


def _fate(tables: YearTables, feature: str) -> tuple[float, float]:
    """How often such parts are fitted later, and used again: with all that shares their fate."""
    bound = tables.fittings.get(feature)
    entry = bound if bound is not None else tables.base.features[feature]
    return entry.refit, entry.reuse


def _effort(feature: Feature) -> int:
    return EFFORTS.index(feature.effort) if feature.effort in EFFORTS else 0
