"""Which misleading situations hold for a piece: by what was seen, and by what was only told."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import Any

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.conditions import Compiler
from markrules.knowledge.facts import Facts, Positions
from markrules.knowledge.support import Supporter
from markrules.knowledge.triggers import KeptIndex, Trigger, indexed, present, touched
from markrules.knowledge.truth import Test
from markrules.language.conditions import Condition, OfTypeUntil, atoms
from markrules.named_tuple import NamedTuple


def misled_index(base: KnowledgeBase) -> dict[str, Any]:
    """Where each situation is woken: by what was seen, or by what was told where that is all."""
    entries = list(base.misleading.values())
    seen = [(each.name, each.when) for each in entries if each.when is not None]
    told = [
        (each.name, each.told) for each in entries if each.when is None and each.told is not None
    ]
    years = {
        atom.year for _, when in seen for atom, _ in atoms(when) if isinstance(atom, OfTypeUntil)
    }
    return {
        "misled": {
            "seen": [name for name, _ in seen],
            "told": [name for name, _ in told],
            "years": sorted(years),
        },
        **indexed("misled-seen", [when for _, when in seen]),
        **indexed("misled-told", [when for _, when in told]),
    }


def over_by(base: KnowledgeBase, name: str) -> int | None:
    """The year by which the first wave of a named type was over; None where its years are open."""
    spread = base.types[name].common
    late = spread.waves[0].late if spread is not None else None
    return late.number if late is not None and not (late.relative or late.now) else None


class _Situation(NamedTuple):
    """A situation that was once woken: the piece types it is for, and its tests."""

    on: frozenset[str]
    when: Condition | None
    seen: Test | None
    unless: Test | None
    told: Test | None


class MisledMatcher:
    """Matches facts against the misleading situations of a base; build it once."""

    def __init__(self, base: KnowledgeBase, compiler: Compiler, kept: Mapping[str, Any]) -> None:
        """`kept` is what `misled_index` gives, from this start or an earlier one."""
        self._base, self._compiler = base, compiler
        names = kept["misled"]
        self._seen: Sequence[str] = names["seen"]
        self._told: Sequence[str] = names["told"]
        self._seen_index = KeptIndex(kept, "misled-seen")
        self._told_index = KeptIndex(kept, "misled-told")
        self._ready: dict[str, _Situation] = {}
        self._years = [OfTypeUntil(year) for year in names["years"]]

    def match(
        self,
        facts: Facts,
        found: Mapping[str, Positions],
        told: Facts,
        types: Sequence[tuple[str, Positions]],
        known: Collection[Trigger],
    ) -> Iterator[tuple[str, Positions]]:
        """The situations that hold, with the positions of what was seen that they rest on.

        `found` are the findings that hold, and `known` all that they and the facts wake; named
        types, which all else does not see, count too.
        """
        of_types = self._of_types(types)
        found = {**found, **of_types}
        known = {*known, *[("", name) for name in of_types]}
        supporter = Supporter(self._compiler, facts, found)
        told = told.beside(facts)
        candidates = [self._seen[at] for at in touched(self._seen_index, known)]
        if told.observations:
            candidates += [self._told[at] for at in touched(self._told_index, present(told))]
        for name in candidates:
            each = self._ready.get(name) or self._situation(name)
            if each.on and not facts.is_on(each.on):
                continue
            if each.unless is not None and each.unless(facts, found) is True:
                continue
            if each.seen is not None and each.seen(facts, found) is not True:
                continue
            if each.told is None or each.told(told, {}) is True:
                yield name, () if each.when is None else supporter.of_true(each.when)

    def _of_types(self, types: Sequence[tuple[str, Positions]]) -> dict[str, Positions]:
        """The named types under the names by which conditions ask for them, and what each rests on.

        Of several that were over by a year that is asked for, the first stands for them.
        """
        found = {f"type {name}": used for name, used in types}
        for name, used in types:
            over = over_by(self._base, name)
            for each in self._years:
                if over is not None and over <= each.year:
                    found.setdefault(each.found_as, used)
        return found

    def known(
        self, held: Iterable[str], facts: Facts, found: Mapping[str, Positions], told: Facts
    ) -> frozenset[str]:
        """Those of the situations that hold of which whoever told of the piece knows.

        So it is where `known` holds of what was told, or of what the note says was seen.
        """
        entries = [self._base.misleading[name] for name in held]
        asked = [(each.name, each.known) for each in entries if each.known is not None]
        told = told.beside(facts) if asked else told
        tests = ((name, self._compiler.test(known)) for name, known in asked)
        return frozenset(
            name for name, test in tests if any(test(each, found) is True for each in (told, facts))
        )

    def _situation(self, name: str) -> _Situation:
        entry = self._base.misleading[name]

        def test(condition: Condition | None) -> Test | None:
            return self._compiler.test(condition) if condition is not None else None

        made = _Situation(
            frozenset(each.name for each in entry.on),
            entry.when,
            test(entry.when),
            test(entry.unless),
            test(entry.told),
        )
        self._ready[name] = made
        return made
