"""What the rules hold of a piece: which of them hold, once what does not count is left out.

The one way from observations to findings, for a reading and for a piece as it would be.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from markrules.frozen import dataclass
from markrules.inference.clues import PIECE
from markrules.inference.misleading import vetoed
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.facts import Facts
from markrules.knowledge.observation import Observation
from markrules.knowledge.rule_matching import HeldRules, Matcher
from markrules.language.entries.features import WORN


@dataclass(frozen=True, slots=True)
class Held:
    """What counts of what was seen, and what holds by it.

    `without` are the features and clues left out: those asked for, and those that a misleading
    situation rules out.
    """

    piece_type: str
    counted: tuple[Observation, ...]
    matched: HeldRules
    without: frozenset[str]


def hold(
    matcher: Matcher,
    base: KnowledgeBase,
    observations: Sequence[Observation],
    *,
    piece_type: str = "",
    without: Collection[str] = (),
) -> Held:
    """What holds of a piece. Hearsay does not count, save where a situation that misleads asks."""
    left_out = frozenset(without)
    counted = [
        replace(each, heard=False)
        for each in observations
        if each.feature not in left_out and (not each.heard or counts_when_told(base, each.feature))
    ]
    piece_type = piece_type or _piece_seen(counted)
    told = _told(observations, base)
    matched = matcher.match(Facts(counted, base, piece_type), told)
    misleading = matched.misleading
    vetoes = vetoed(base, misleading, matched.facts.values.get(PIECE, frozenset()))
    # A second time over what is left. What misleads stays as it was found: it may rest on the very
    # things that it rules out.
    if vetoes:
        left_out |= vetoes
        counted = [each for each in counted if each.feature not in left_out]
        matched = replace(
            matcher.match(Facts(counted, base, piece_type), told),
            misleading=misleading,
            known=matched.known,
        )
    return Held(piece_type, tuple(counted), matched, left_out)


def counts_when_told(base: KnowledgeBase, feature: str) -> bool:
    """Whether a feature counts though it was only told: the years in which somebody had the piece,
    which nobody can see, and of which who tells them was mostly there.
    """
    named = base.features.get(feature)
    return named is not None and named.dates == WORN


def _told(observations: Sequence[Observation], base: KnowledgeBase) -> Facts:
    """What was told and not seen, as if it had been seen: only what misleads asks for it."""
    return Facts([replace(each, heard=False) for each in observations if each.heard], base)


def _piece_seen(observations: Sequence[Observation]) -> str:
    """The piece type that was observed, where none was given."""
    kinds = (each.value for each in observations if each.feature == PIECE and each.state == "seen")
    return next(kinds, "")
