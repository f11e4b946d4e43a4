"""How much each clue counts when several would be wrong together."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence


def tempered(count: int, overlap: float) -> float:
    """The exponent that each of `count` clues of one family keeps: 1 / (1 + overlap (count − 1)).

    This is the effective sample size of correlated answers divided by their number, Kish's
    design effect (L. Kish, Survey Sampling, 1965, section 5.4: deff = 1 + ρ (b − 1)). With
    overlap 0 clues count in full; with overlap 1 the family together counts as one clue.
    """
    return 1.0 / (1.0 + overlap * (count - 1))


def weights(
    members: Sequence[tuple[str, Sequence[int]]], overlaps: Mapping[str, float]
) -> list[float]:
    """The exponent of each clue, given its family's name and the observations that fired it.

    Two rules, of which the stronger holds. A clue in a named family of k matched clues keeps
    1 / (1 + overlap (k − 1)). And no observation may count twice: where n clues were fired by
    one observation and not all of them stand in one named family, each keeps at most 1 / n.
    (Where all stand in one family, its writer has said how far they repeat each other.)
    The empty family name means that the clue stands alone.
    """
    sizes = Counter([family for family, _ in members if family])
    crowds = _crowds(members)
    result = []
    for family, used in members:
        weight = tempered(sizes[family], overlaps.get(family, 1.0)) if family else 1.0
        if crowds:
            weight = min([weight, *(1.0 / crowds.get(each, 1) for each in used)])
        result.append(weight)
    return result


def _crowds(members: Iterable[tuple[str, Sequence[int]]]) -> dict[int, int]:
    """For each observation whose clues are not all of one named family, how many they are."""
    fired: defaultdict[int, list[str]] = defaultdict(list)
    count = 0
    for family, used in members:
        count += len(used)
        for each in used:
            fired[each].append(family)
    if len(fired) == count:
        return {}
    return {
        each: len(families)
        for each, families in fired.items()
        if len(families) > 1 and (len(set(families)) > 1 or not families[0])
    }
