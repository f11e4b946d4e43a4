"""Several texts on one piece: which of them is the maker's is not known beforehand."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log
from typing import TYPE_CHECKING

from markrules.knowledge.observation import MarkEvidence, MarkHypothesis

if TYPE_CHECKING:
    from markrules.marks.search import MarkSearch

MARK_DEVICES = ("mark-device",)
"""Features that can tell a maker where no letter was read."""

HALLMARKS = "hallmark-"
"""Features on marks of an assay office begin so; a device beside them is theirs, not a maker's."""

MARK_LOOKS = ("mark-form", "mark-device", "mark-method")
"""Features that describe how a mark looks: its letters, the device beside them, how it was made."""


def joint_evidence(
    search: MarkSearch, texts: Sequence[str], looks: Sequence[str], own: Sequence[str]
) -> MarkEvidence | None:
    """What all texts together say of the maker; None where no listed mark comes near.

    One of the texts, or all of them as the lines of one mark, is taken to be the maker's, each
    as likely as the next; the others are words that any maker's piece could bear. So
    P(all | maker) / P(all | unknown) is the mean over these readings of
    P(this one | maker) / P(this one | unknown). `looks` are words for how the marks look;
    `own` are the texts of which one alone could name a maker.
    """
    described = "".join(f" ({look})" for look in looks if not set(look) & set("()[]"))
    readings = [[f"{text}{described}"] for text in own]
    if not own and described:
        readings = [[described.strip()]]
    if len(texts) > 1 and own:
        readings.append([*texts[:-1], f"{texts[-1]}{described}"])
    if not readings:
        return None
    ratios: dict[tuple[str, str], float] = {}
    for reading in readings:
        evidence = search.evidence(reading)
        for each in evidence.candidates:
            ratio = exp(min(700.0, each.log_likelihood - evidence.unknown_log_likelihood))
            key = (each.maker, each.mark)
            ratios[key] = ratios.get(key, 0.0) + ratio / len(readings)
    if not ratios:
        return None
    best = max(ratios.values())
    kept = {key: ratio for key, ratio in ratios.items() if ratio > best * LEAST_SHARE}
    candidates = tuple(
        MarkHypothesis(maker, mark, log(ratio)) for (maker, mark), ratio in kept.items()
    )
    return MarkEvidence(" / ".join(texts), candidates, 0.0)


LEAST_SHARE = 1e-7
"""Marks this much less likely than the best are left out: they cannot move a percentage."""
