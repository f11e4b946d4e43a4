"""Where the rules place a mark of metal content in time."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from markrules.knowledge.base import KnowledgeBase
from markrules.language.conditions import Condition, Is, Says
from markrules.language.tree import Clue
from markrules.language.windows import Window
from markrules.marks.stamped import fold
from markrules.named_tuple import NamedTuple


class MetalYears(NamedTuple):
    """Hard limits and the bulk; None where the rules leave an end open."""

    not_before: int | None
    mostly_first: int | None
    mostly_last: int | None
    not_after: int | None


def years_of_mark(base: KnowledgeBase, mark: str) -> MetalYears | None:
    """The years that the clues on a metal mark, or on the metal it means, speak for.

    None where no clue dates it. Of several clues the one with the most limits is taken.
    """
    return _years(base).get(mark)


@lru_cache(maxsize=8)
def _years(base: KnowledgeBase) -> dict[str, MetalYears]:
    """All that are dated, as kept: every clue would have to be looked at."""

    kept = base.workings.parts("metal-years", lambda: {"years": _worked_out(base)})
    return {mark: MetalYears(*ends) for mark, ends in kept["years"].items()}


def _worked_out(base: KnowledgeBase) -> dict[str, MetalYears]:
    found: dict[str, MetalYears] = {}
    for mark in base.metal_marks:
        told = [_as_years(clue) for clue in _clues_of(base, mark)]
        if told:
            found[mark] = max(told, key=lambda years: sum(end is not None for end in years))
    return found


def _clues_of(base: KnowledgeBase, mark: str) -> tuple[Clue, ...]:
    """The clues on the mark or its words; where there is none, those on the metal it means."""
    spelled = {fold(read) for read in base.metal_marks[mark].reads}
    direct = (*_clues_on(base, "metal-mark", mark), *_clues_that_say(base, spelled))
    meant = _meanings(base, mark)
    return direct or tuple(clue for each in meant for clue in _clues_on(base, *each))


def _clues_that_say(base: KnowledgeBase, spelled: set[str]) -> Iterator[Clue]:
    for clue in base.clues.values():
        when = clue.when
        if clue.made is None or not isinstance(when, Says) or when.feature.name != "mark":
            continue
        if spelled & {fold(text) for text in when.texts}:
            yield clue


def _clues_on(base: KnowledgeBase, feature: str, value: str) -> Iterator[Clue]:
    for clue in base.clues.values():
        if clue.made is not None and _is(clue.when, feature, value):
            yield clue


def _meanings(base: KnowledgeBase, mark: str) -> Iterator[tuple[str, str]]:
    for finding in base.findings.values():
        if finding.means is not None and _is(finding.when, "metal-mark", mark):
            yield finding.means[0].name, finding.means[1].name


def _is(condition: Condition, feature: str, value: str) -> bool:
    return (
        isinstance(condition, Is)
        and condition.feature.name == feature
        and value in {each.name for each in condition.values}
    )


def _as_years(clue: Clue) -> MetalYears:
    window = clue.made or Window()
    ends = (window.first, window.mostly_first, window.mostly_last, window.last)
    return MetalYears(
        *(year.number if year and not year.relative and not year.now else None for year in ends)
    )
