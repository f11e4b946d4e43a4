"""The clues that speak in one reading, each with its weight, by the part they are read off."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from math import inf
from types import MappingProxyType

from markrules.frozen import dataclass
from markrules.inference.clues import TYPE, ClueFacts
from markrules.inference.evidence import Factor, combined_misread
from markrules.inference.families import Crowding, FamilyMember, Sharpness, weights
from markrules.inference.fates import SOUND, Fate, fate_of
from markrules.inference.year_tables import (
    HARD,
    NO_YEARS,
    Observed,
    PieceKind,
    Voice,
    YearsRead,
    YearTables,
)
from markrules.knowledge.observation import Observation
from markrules.knowledge.rule_matching import HeldRules
from markrules.language.windows import Window

Positions = tuple[int, ...]

NO_FATES: Mapping[str, Fate] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Fired:
    """A clue that holds for the piece.

    `used` are positions of the observations it rests on, `weight` the exponent that tempering
    leaves it, and `instead_of` the clues that a type silences.
    """

    voice: Voice
    used: Positions
    weight: float
    instead_of: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SharedFate:
    """Clues that share one fate, and their factor for each kind of piece, a sound one first.

    `name` is that of the fittings entry that binds them, empty for a clue by itself.
    """

    name: str
    fired: tuple[Fired, ...]
    factors: tuple[Factor, ...]


@dataclass(frozen=True, slots=True)
class Speaking:
    """All that speaks: the parts, the types that hold, and clues whose window leaves no year."""

    parts: tuple[SharedFate, ...]
    silent: tuple[ClueFacts, ...]
    types: tuple[str, ...]

    @property
    def fired(self) -> list[Fired]:
        """The clues of all parts, in order."""
        return [each for part in self.parts for each in part.fired]


def fire(
    tables: YearTables,
    seen: Sequence[Observation],
    matched: HeldRules,
    kinds: Sequence[PieceKind],
    without: Collection[str] = (),
    befallen: Mapping[str, Fate] = NO_FATES,
) -> Speaking:
    """The clues and types that speak, and those that hold but whose window lies off the grid.

    A clue whose window counts from a year read off the piece speaks once for each such year.
    Clues and types named in `without` are left out before families are counted. A type speaks
    instead of the clues that rest on nothing but what it rests on, unless one on a part of that
    says more than it does: a wide type takes nothing away from a part that is telling by itself.
    Both are then tempered as clues on one thing seen. A type of several times knows that its
    parts mislead as to which, and lets none of them speak. No type takes away a hard limit that it
    does not know of: nothing of 15 carat is older than the law. `befallen` tells what misleading
    situations make of the features that they blame.
    """
    types = _telling([each for each in matched.types if each[0] not in without])
    silenced: defaultdict[str, list[str]] = defaultdict(list)
    speaking: list[tuple[Voice, Positions]] = []
    silent: list[ClueFacts] = []
    for name, used in (*[(f"{TYPE} {name}", at) for name, at in types], *matched.clues):
        facts = tables.facts(name)
        clue = facts.clue
        if clue.name in without or not (clue.made or clue.common or facts.points):
            continue
        # A type silences no type, and no clue that counts from a year on the piece: what was read
        # there no type knows.
        by = "" if facts.key != clue.name or facts.relative else _silencer(types, used)
        if by and (_whole(types, used) or _speaks_for(tables, by, name)):
            silenced[by].append(name)
            continue
        ways = _years_read(used, seen) if facts.relative else ((used, NO_YEARS),)
        for positions, years_read in ways:
            voice = tables.voice(name, _observed(tables, positions, seen, befallen), years_read)
            if voice is None:
                silent.append(facts)
            else:
                speaking.append((voice, positions))
    counts = weights(
        [FamilyMember(voice.facts.family, used, voice.information) for voice, used in speaking],
        tables.overlaps,
        heed=tables.settings.heed,
        shared=tables.settings.shared_look,
        crowding=Crowding(tables.settings.usual_clues, tables.settings.crowding),
        sharpness=Sharpness(tables.settings.clue_noise, tables.settings.clue_joint),
    )
    fired = [
        Fired(voice, used, weight, tuple(silenced.get(voice.facts.key, ())))
        for (voice, used), weight in zip(speaking, counts, strict=True)
    ]
    return Speaking(
        tuple(_parts(tables, fired, seen, kinds, befallen)),
        tuple(silent),
        tuple(name for name, _ in types),
    )


def _telling(types: Sequence[tuple[str, Positions]]) -> list[tuple[str, Positions]]:
    """The types that ask for more than any other that holds, the one that asks for most first."""
    kept = [
        (name, used)
        for name, used in types
        if not any(set(used) < set(other) for _, other in types)
    ]
    # The first that covers a clue silences it: so the type that asks for most has the say.
    return sorted(kept, key=lambda each: -len(each[1]))


def _silencer(types: Sequence[tuple[str, Positions]], used: Positions) -> str:
    """The type that speaks instead of a clue on these observations; empty where none does."""
    own = set(used)
    found = (name for name, seen in types if own and own <= set(seen))
    name = next(found, "")
    return f"{TYPE} {name}" if name else ""


def _whole(types: Sequence[tuple[str, Positions]], used: Positions) -> bool:
    """Whether a clue rests on all that a type rests on: then it is no part of it."""
    return any(set(used) == set(seen) for _, seen in types)


def _speaks_for(tables: YearTables, kind: str, part: str) -> bool:
    """Whether a type leaves nothing to say to a clue on a part of it."""
    if _limits_more(tables, part, kind):
        return False
    common = tables.facts(kind).clue.common
    several_times = common is not None and len(common.waves) > 1
    return several_times or tables.says(part) <= tables.says(kind)


def _limits_more(tables: YearTables, part: str, kind: str) -> bool:
    """Whether a clue sets a hard limit, as one that may do so, where the type sets none so near."""
    facts = tables.facts(part)
    if facts.misread >= tables.settings.limit_misread:
        return False
    own, of_type = _limits(facts), _limits(tables.facts(kind))
    return own[0] > of_type[0] or own[1] < of_type[1]


def _limits(facts: ClueFacts) -> tuple[float, float]:
    """The hard limits that an entry states as years; infinite where it states none."""
    made = facts.clue.made or Window()
    first, last = made.first, made.last
    return (
        first.number if first is not None and not first.now and not first.relative else -inf,
        last.number if last is not None and not last.now and not last.relative else inf,
    )


def _parts(
    tables: YearTables,
    fired: Iterable[Fired],
    seen: Sequence[Observation],
    kinds: Sequence[PieceKind],
    befallen: Mapping[str, Fate],
) -> Iterator[SharedFate]:
    """The clues by part: those on features of one fittings entry together, others alone."""
    groups: defaultdict[str, list[Fired]] = defaultdict(list)
    alone: list[Fired] = []
    for each in fired:
        bound = {_fittings(tables, feature) for feature in _features(each, seen)}
        name = bound.pop() if len(bound) == 1 else ""
        # A type is the whole piece, which shares no fate with one of its parts.
        if name and each.voice.facts.key == each.voice.facts.clue.name:
            groups[name].append(each)
        else:
            alone.append(each)
    for name, members in groups.items():
        entry = tables.base.fittings[name]
        of_all = fate_of(befallen, {one for each in members for one in _features(each, seen)})
        fate = max(entry.refit, of_all.refit), max(entry.reuse, of_all.reuse)
        yield part_of(tables, name, members, fate, seen, kinds, befallen)
    for each in alone:
        rates = each.voice.rates
        yield part_of(tables, "", [each], (rates.refit, rates.reuse), seen, kinds, befallen)


def part_of(
    tables: YearTables,
    name: str,
    members: Sequence[Fired],
    fate: tuple[float, float],
    seen: Sequence[Observation],
    kinds: Sequence[PieceKind],
    befallen: Mapping[str, Fate] = NO_FATES,
) -> SharedFate:
    """The part with these clues, bound to one fate where it has a name: refit, then reuse."""
    looks = [(each, _features(each, seen)) for each in members]
    factors = [
        tables.factor(
            [
                (each.voice, each.weight, _misreads(kind, each, features, befallen))
                for each, features in looks
            ],
            *fate,
            bound=bool(name),
        )
        for kind in kinds
    ]
    return SharedFate(name, tuple(members), tuple(factors))


def _misreads(
    kind: PieceKind, fired: Fired, features: Collection[str], befallen: Mapping[str, Fate]
) -> float:
    """The further chance that a clue misleads: by what the piece is, or by what befell the part.

    No fate silences a clue of hard trust: a state is no younger for the mark of another's part.
    """
    trust = fired.voice.facts.clue.trust.name
    fate = fate_of(befallen, features).misread if befallen and trust != HARD else 0.0
    years = fired.voice.facts.relative
    return combined_misread(kind.misreads(features, trust, years_read=years), fate)


def _features(fired: Fired, seen: Sequence[Observation]) -> set[str]:
    return {seen[at].feature for at in fired.used} or {fired.voice.facts.feature}


def _fittings(tables: YearTables, feature: str) -> str:
    entry = tables.fittings.get(feature)
    return entry.name if entry is not None else ""


def _years_read(
    used: tuple[int, ...], seen: Sequence[Observation]
) -> Iterator[tuple[tuple[int, ...], YearsRead]]:
    """The years that a clue's window counts from, each with the observations it rests on."""
    dated = [at for at in used if seen[at].years or seen[at].weights]
    undated = tuple(at for at in used if at not in dated)
    first_with: dict[YearsRead, int] = {}
    for at in dated:
        first_with.setdefault((_bracket(seen[at]), seen[at].weights), at)
    for years_read, at in first_with.items():
        yield (*undated, at), years_read


def _observed(
    tables: YearTables,
    used: tuple[int, ...],
    seen: Sequence[Observation],
    befallen: Mapping[str, Fate],
) -> Observed:
    """The chance that the observer is wrong, and the rates of the parts that were seen.

    Where a situation that misleads blames a part, its chance is what befell it, at the least.

    The least sure observation decides how far the look can be trusted, and the part most
    often replaced how often a replacement is met; of one thing noted twice, the surer counts.
    """
    if len(used) == 1:  # nearly every clue: nothing to compare
        each = seen[used[0]]
        feature = tables.base.features.get(each.feature)
        wrong = tables.certainty(each.certainty)
        refit, reuse = (feature.refit, feature.reuse) if feature is not None else (0.0, 0.0)
        fate = befallen.get(each.feature, SOUND)
        return wrong, max(refit, fate.refit), max(reuse, fate.reuse)
    surest: dict[tuple[str, str, str], float] = {}
    refit = reuse = 0.0
    for at in used:
        each = seen[at]
        what = (each.feature, each.value, each.state)
        surest[what] = min(surest.get(what, 1.0), tables.certainty(each.certainty))
        feature = tables.base.features.get(each.feature)
        if feature is not None:
            refit, reuse = max(refit, feature.refit), max(reuse, feature.reuse)
        fate = befallen.get(each.feature, SOUND)
        refit, reuse = max(refit, fate.refit), max(reuse, fate.reuse)
    return max(surest.values(), default=0.0), refit, reuse


def _bracket(observation: Observation) -> tuple[int, int]:
    """The years that an observation gives, first and last."""
    if observation.weights:
        years = [year for year, _ in observation.weights]
        return min(years), max(years)
    first, last = observation.years or (0, 0)
    return min(first, last), max(first, last)
