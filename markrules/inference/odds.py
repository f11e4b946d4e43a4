"""How likely a question is answered with something, given what is known of the piece."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.conditions import Compiler, Facts, Test


@dataclass(frozen=True, eq=False)
class Odds:
    """The `asking` entries of a base, their conditions compiled once."""

    entries: tuple[tuple[tuple[str, ...], float, float, Test | None], ...]

    def given(self, facts: Facts, found: Collection[str]) -> Mapping[str, float]:
        """For the features that entries speak of: P(shows anything) times P(can be answered).

        Of several entries that hold for a feature, the least of each counts. A feature that no
        entry speaks of is not among them: it counts as certain to tell.
        """
        shares: dict[str, float] = {}
        answered: dict[str, float] = {}
        for features, share, told, test in self.entries:
            if test is not None and test(facts, found) is not True:
                continue
            for feature in features:
                shares[feature] = min(share, shares.get(feature, 1.0))
                answered[feature] = min(told, answered.get(feature, 1.0))
        return {feature: share * answered[feature] for feature, share in shares.items()}


def odds_of(base: KnowledgeBase) -> Odds:
    """The odds of a base."""
    compiler = Compiler(base)
    return Odds(
        tuple(
            (
                tuple(each.name for each in entry.of),
                entry.share,
                entry.answered,
                compiler.test(entry.when) if entry.when is not None else None,
            )
            for entry in base.asking.values()
        )
    )
