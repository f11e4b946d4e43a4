"""Other values of the engine's global settings, to be tried against dated pieces."""

from __future__ import annotations

from dataclasses import replace

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Prior

MOST_MISREAD = 0.9
"""No trial makes a level of trust worse than this."""


@dataclass(frozen=True, slots=True)
class Trial:
    """Factors on the settings that the rules hold; all 1 leaves them as they are.

    `trust` multiplies the chance of being wrong of every level of trust, `fade` the lengths of
    soft slopes, `overlap` how far clues of a family repeat each other, and `refit` how often
    parts were replaced or used again, `heed` how much every clue counts. `prior` is an exponent on
    the weights of the prior: below 1 flatter, 0 flat, above 1 steeper.
    """

    trust: float = 1.0
    fade: float = 1.0
    overlap: float = 1.0
    refit: float = 1.0
    prior: float = 1.0
    heed: float = 1.0


AXES: dict[str, tuple[float, ...]] = {
    "trust": (0.35, 0.6, 1.0, 1.6, 2.5),
    "fade": (0.4, 1.0, 2.0, 3.5),
    "overlap": (0.4, 0.7, 1.0, 1.5),
    "refit": (0.4, 1.0, 2.0),
    "prior": (0.0, 0.5, 1.0, 1.5),
    "heed": (0.75, 0.9, 1.0, 1.1, 1.25),
}
"""The values that are tried on each axis."""

HEED = "heed"
FADES = ("fade-share", "fade-least", "fade-most")


def neighbours(trial: Trial, axis: str) -> list[Trial]:
    """The trials that differ from this one on one axis, itself among them."""
    return [replace(trial, **{axis: value}) for value in AXES[axis]]


def tried(base: KnowledgeBase, trial: Trial) -> KnowledgeBase:
    """The knowledge with the trial's factors on its settings."""
    if trial == Trial():
        return base
    return replace(
        base,
        trusts={
            name: replace(each, misread=min(each.misread * trial.trust, MOST_MISREAD))
            for name, each in base.trusts.items()
        },
        settings={
            name: replace(each, value=each.value * _factor(name, trial))
            for name, each in base.settings.items()
        },
        families={
            name: replace(each, overlap=min(each.overlap * trial.overlap, 1.0))
            for name, each in base.families.items()
        },
        features={
            name: replace(
                each, refit=_share(each.refit, trial.refit), reuse=_share(each.reuse, trial.refit)
            )
            for name, each in base.features.items()
        },
        priors={name: _bent(each, trial.prior) for name, each in base.priors.items()},
    )


def _factor(setting: str, trial: Trial) -> float:
    if setting == HEED:
        return trial.heed
    return trial.fade if setting in FADES else 1.0


def _share(share: float, factor: float) -> float:
    return min(share * factor, 0.45)


def _bent(prior: Prior, exponent: float) -> Prior:
    points = tuple((year, weight**exponent if weight > 0 else 0.0) for year, weight in prior.points)
    return replace(prior, points=points)
