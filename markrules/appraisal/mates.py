"""Pieces that may belong together: the other half of a pair, or parts of one set."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from markrules.appraisal.findings import speaks
from markrules.frozen import dataclass
from markrules.inference.reading import Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.language.builtin import STATED_CONDITION
from markrules.language.slots import REMARK

WHOLE_PAIR = "whole-pair"
"""The finding that both of what comes in twos are there: no half of another pair."""
LEAST_SEEN = 2
"""Things seen of both: alike in one thing alone are too many."""
_NOT_COMPARED = ("piece", "fault", "mark", "label", "tested", REMARK, STATED_CONDITION)


@dataclass(frozen=True, slots=True)
class Mate:
    """Two pieces that may belong together, by their keys: how alike, and what they share.

    `pair` is True for two of the same kind, False for parts of a set.
    """

    one: int
    other: int
    alike: float
    shared: tuple[str, ...]
    pair: bool


def mates_in(
    base: KnowledgeBase, readings: Mapping[int, Reading], wanting: Sequence[int]
) -> tuple[Mate, ...]:
    """For each piece in `wanting`, those of the box that may be its mate, most alike first."""
    least = base.setting("alike-enough")
    looks = {key: _looks(reading.observations) for key, reading in readings.items()}
    found = []
    for one in wanting:
        for other, reading in readings.items():
            if other == one or (other in wanting and other < one):
                continue
            mate = _mate(base, one, other, readings[one], reading, looks)
            if mate is not None and mate.alike >= least:
                found.append(mate)
    return tuple(sorted(found, key=lambda mate: (-mate.alike, mate.one, mate.other)))


def wants_mate(base: KnowledgeBase, reading: Reading) -> bool:
    """Whether the rules speak for finding the other half of this piece first."""
    return any(
        (each.effect, each.choice) == ("toward", "pair") for each in speaks(base, reading.findings)
    )


def _mate(
    base: KnowledgeBase,
    one: int,
    other: int,
    first: Reading,
    second: Reading,
    looks: Mapping[int, Mapping[str, frozenset[str]]],
) -> Mate | None:
    if not _dates_meet(first, second) or not _makers_agree(base, first, second):
        return None
    both = looks[one].keys() & looks[other].keys()
    if len(both) < LEAST_SEEN:
        return None
    shared = tuple(sorted(name for name in both if looks[one][name] & looks[other][name]))
    same_kind = first.piece_type == second.piece_type
    if same_kind and WHOLE_PAIR in {*first.findings, *second.findings}:
        return None
    return Mate(one, other, len(shared) / len(both), shared, same_kind)


def _looks(observations: Sequence[Observation]) -> dict[str, frozenset[str]]:
    looks: dict[str, frozenset[str]] = {}
    for each in observations:
        compared = each.feature not in _NOT_COMPARED and each.value and each.number is None
        if compared and each.state == "seen" and not each.heard:
            looks[each.feature] = looks.get(each.feature, frozenset()) | {each.value}
    return looks


def _dates_meet(first: Reading, second: Reading) -> bool:
    one, other = first.date.span, second.date.span
    return one.first <= other.last and other.first <= one.last


def _makers_agree(base: KnowledgeBase, first: Reading, second: Reading) -> bool:
    named = [_named(base, first), _named(base, second)]
    return not all(named) or named[0] == named[1]


def _named(base: KnowledgeBase, reading: Reading) -> str:
    least = base.setting("maker-named")
    return next(
        (each.maker for each in reading.makers if each.maker and each.probability >= least), ""
    )
