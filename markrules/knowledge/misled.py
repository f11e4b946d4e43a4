"""Which misleading situations hold for a piece: by what was seen, and by what was only told."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.conditions import Compiler
from markrules.knowledge.facts import Facts, Positions
from markrules.knowledge.support import Supporter
from markrules.knowledge.triggers import KeptIndex, indexed, present, touched
from markrules.language.conditions import Condition
from markrules.language.tree import Misleading


def misled_index(base: KnowledgeBase) -> dict[str, Any]:
    """Where each situation is woken: by what was seen, or by what was told where that is all."""
    entries = list(base.misleading.values())
    seen = [(each.name, each.when) for each in entries if each.when is not None]
    told = [
        (each.name, each.told) for each in entries if each.when is None and each.told is not None
    ]
    return {
        "misled": {"seen": [name for name, _ in seen], "told": [name for name, _ in told]},
        **indexed("misled-seen", [when for _, when in seen]),
        **indexed("misled-told", [when for _, when in told]),
    }


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

    def match(
        self,
        facts: Facts,
        found: Mapping[str, Positions],
        told: Facts,
        types: Sequence[tuple[str, Positions]],
    ) -> Iterator[tuple[str, Positions]]:
        """The situations that hold, with the positions of what was seen that they rest on.

        `found` are the findings that hold; named types, which all else does not see, count too.
        """
        found = {**found, **{f"type {name}": used for name, used in types}}
        known = present(facts)
        known.update(("", name) for name in found)
        supporter = Supporter(self._compiler, facts, found)
        told = told.beside(facts)
        candidates = [self._seen[at] for at in touched(self._seen_index, known)]
        if told.observations:
            candidates += [self._told[at] for at in touched(self._told_index, present(told))]
        for name in candidates:
            each = self._base.misleading[name]
            if not _is_on(each, facts):
                continue
            if each.unless is not None and self._holds(each.unless, facts, found):
                continue
            if self._holds(each.when, facts, found) and self._holds(each.told, told, {}):
                yield each.name, () if each.when is None else supporter.used(each.when)

    def _holds(
        self, condition: Condition | None, facts: Facts, found: Mapping[str, Positions]
    ) -> bool:
        return condition is None or self._compiler.test(condition)(facts, found) is True


def _is_on(entry: Misleading, facts: Facts) -> bool:
    return not entry.on or facts.is_on(frozenset(each.name for each in entry.on))
