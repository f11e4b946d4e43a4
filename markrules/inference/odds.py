"""How likely a question is answered with something, given what is known of the piece."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.conditions import Compiler, Facts, Test

SHARE, ANSWERED = range(2)


@dataclass(frozen=True, eq=False)
class Odds:
    """The `asking` entries of a base, their conditions compiled once."""

    entries: tuple[tuple[tuple[str, ...], float | None, float | None, Test | None], ...]

    def given(self, facts: Facts, found: Collection[str]) -> Mapping[str, float]:
        """For the features that entries speak of: P(shows anything) times P(can be answered).

        What is said of pieces of which a condition holds goes before what is said of all pieces.
        Of several entries of the same kind that hold for a feature, the least of each counts. A
        feature that no entry speaks of is not among them: it counts as certain to tell.
        """
        in_general: dict[tuple[str, int], float] = {}
        given: dict[tuple[str, int], float] = {}
        for features, share, told, test in self.entries:
            if test is not None and test(facts, found) is not True:
                continue
            kept = in_general if test is None else given
            for feature in features:
                for which, figure in ((SHARE, share), (ANSWERED, told)):
                    if figure is not None:
                        kept[feature, which] = min(figure, kept.get((feature, which), 1.0))
        odds: dict[str, float] = {}
        for (feature, _), figure in {**in_general, **given}.items():
            odds[feature] = odds.get(feature, 1.0) * figure
        return odds


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
