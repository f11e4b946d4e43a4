"""Other values of the engine's global settings, to be tried against dated pieces."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from math import inf
from typing import Any

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Chance

MOST_MISREAD = 0.9
"""No trial makes a level of trust worse than this."""


@dataclass(frozen=True, slots=True)
class Trial:
    """Factors on the settings that the rules hold; all 1 leaves them as they are.

    `trust` multiplies the chance of being wrong of every level of trust, `fade` the lengths of
    soft slopes, `overlap` how far clues of a family repeat each other, and `refit` how often
    parts were replaced or used again, `heed` how much every clue counts. `origin`, `crowding`,
    `usual`, `noise`, `joint`, `shared`, `shares`, `background` and `tail` multiply the settings
    `origin-doubt`, `crowding`, `usual-clues`, `clue-noise`, `clue-joint`, `shared-look`,
    `shares-weight`, `background` and `mostly-tail`; `odd` the shares of pieces that are an
    exception as a whole, and `misled` the chances of what misleads.
    """

    trust: float = 1.0
    fade: float = 1.0
    overlap: float = 1.0
    refit: float = 1.0
    origin: float = 1.0
    heed: float = 1.0
    crowding: float = 1.0
    usual: float = 1.0
    noise: float = 1.0
    joint: float = 1.0
    shared: float = 1.0
    shares: float = 1.0
    background: float = 1.0
    tail: float = 1.0
    odd: float = 1.0
    misled: float = 1.0


AXES: dict[str, tuple[float, ...]] = {
    "trust": (0.35, 0.6, 1.0, 1.6, 2.5),
    "fade": (0.4, 1.0, 2.0, 3.5),
    "overlap": (0.4, 0.7, 1.0, 1.5),
    "refit": (0.4, 1.0, 2.0),
    "origin": (0.0, 0.5, 1.0, 1.5, 2.0),
    "heed": (0.75, 0.9, 1.0, 1.1, 1.25),
    "crowding": (0.0, 0.5, 1.0, 1.5, 2.0),
    "usual": (0.67, 1.0, 1.33, 2.0),
    "noise": (0.0, 0.5, 1.0, 2.0),
    "joint": (0.0, 0.5, 1.0, 1.5),
    "shared": (0.5, 1.0, 1.5, 2.0),
    "shares": (0.0, 0.5, 1.0, 1.5, 2.0),
    "background": (0.5, 1.0, 1.6, 2.5),
    "tail": (0.5, 1.0, 1.5, 2.0),
    "odd": (0.5, 1.0, 2.0, 3.0),
    "misled": (0.5, 1.0, 1.5, 2.5),
}
"""The values that are tried on each axis."""

BY_SETTING = {
    "fade-share": "fade",
    "fade-least": "fade",
    "fade-most": "fade",
    "heed": "heed",
    "origin-doubt": "origin",
    "crowding": "crowding",
    "usual-clues": "usual",
    "clue-noise": "noise",
    "clue-joint": "joint",
    "shared-look": "shared",
    "shares-weight": "shares",
    "background": "background",
    "mostly-tail": "tail",
}
"""The axis that moves each setting."""

MOST = {"origin-doubt": 1.0, "shared-look": 1.0, "shares-weight": 1.0}
"""What is a share of a whole is never more than all of it."""


def neighbours(trial: Trial, axis: str) -> list[Trial]:
    """The trials that differ from this one on one axis, itself among them."""
    return [replace(trial, **{axis: value}) for value in AXES[axis]]


def tried(base: KnowledgeBase, trial: Trial) -> KnowledgeBase:
    """The knowledge with the trial's factors on its settings."""
    if trial == Trial():
        return base
    made: dict[str, Any] = {
        "settings": {
            name: replace(each, value=_moved(name, each.value, trial))
            for name, each in base.settings.items()
        }
    }
    for axis, (field, moved) in _BY_ENTRY.items():
        by = getattr(trial, axis)
        if by != 1.0:  # at 1 entries stay as they are, whatever the bounds of trials
            entries = getattr(base, field)
            made[field] = {name: replace(each, **moved(each, by)) for name, each in entries.items()}
    return replace(base, **made)


_BY_ENTRY: Mapping[str, tuple[str, Callable[[Any, float], dict[str, Any]]]] = {
    "trust": ("trusts", lambda each, by: {"misread": min(each.misread * by, MOST_MISREAD)}),
    "overlap": ("families", lambda each, by: {"overlap": min(each.overlap * by, 1.0)}),
    "refit": (
        "features",
        lambda each, by: {"refit": _share(each.refit, by), "reuse": _share(each.reuse, by)},
    ),
    "odd": ("exceptions", lambda each, by: {"share": _share(each.share, by)}),
    "misled": ("misleading", lambda each, by: {"chances": _more_often(each.chances, by)}),
}
"""The axes that move entries: of which kind, and what of each."""


def _more_often(chances: tuple[Chance, ...], factor: float) -> tuple[Chance, ...]:
    return tuple([replace(each, share=min(each.share * factor, MOST_MISREAD)) for each in chances])


def _moved(setting: str, value: float, trial: Trial) -> float:
    axis = BY_SETTING.get(setting)
    by = getattr(trial, axis) if axis else 1.0
    return min(value * by, MOST.get(setting, inf)) if by != 1.0 else value


def _share(share: float, factor: float) -> float:
    return min(share * factor, 0.45)
