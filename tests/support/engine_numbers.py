"""Numbers of the engine for bases that tests make: fixed here, so that rules may be tuned apart."""

from __future__ import annotations

from collections.abc import Mapping

from markrules.inference.settings import Settings, settings_of
from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Setting

NUMBERS = {
    "fade-share": 0.35,
    "fade-least": 8,
    "fade-most": 40,
    "second-mode": 0.15,
    "first-year": 1750,
    "unknown-maker": 30.0,
    "maker-weight": 1.0,
    "maker-least": 0.01,
    "unknown-misread": 0.15,
    "points-most": 20.0,
    "misread-least": 0.001,
    "limit-misread": 0.10,
    "marked-share": 0.30,
    "mark-life": 0.0,
    "next-least": 0.01,
    "effort-penalty": 0.01,
    "answer-cost": 0.025,
    "beside-cost": 0.005,
    "background": 0.05,
    "wave-seam": 0.0,
    "heed": 1.0,
    "shared-look": 1.0,
    "shares-weight": 0.5,
    "own-refit": 0.0,
    "mostly-tail": 0.0,
    "origin-doubt": 0.0,
    "origin-heard": 0.0,
    "exception-least": 0.15,
    "set-share": 0.7,
    "same-run": 3,
    "as-likely": 0.95,
    "origin-matters": 15,
    "trough": 0.1,
    "trough-least": 5,
    "against-share": 0.8,
    "maker-fit-least": 0.05,
    "situation-sure": 0.75,
    "at-odds": 0.35,
    "told-near": 10,
    "mark-turned-about": 0.0005,
    "mark-turned-in-full": 0.00001,
    "mark-order-of-monogram": 0.08,
    "mark-order-unsaid": 0.01,
    "mark-order-of-block": 0.003,
    "mark-word-of-many": 0.02,
    "mark-not-listed": 0.05,
    "mark-own-lists": 500,
    "mark-number-beside": 0.3,
    "mark-code-alone": 0.05,
    "mark-name-as-mark": 0.1,
    "mark-first-words": 0.015,
    "mark-last-words": 0.04,
    "note-words": 25,
    "note-share": 0.2,
    "full-doubt": 0.001,
    "part-misread": 0.04,
    "part-end-lost": 0.04,
    "part-letter-lost": 0.001,
    "full-misread": 0.000204,
    "full-slip": 0.000996,
    "full-letter-lost": 0.0003,
    "full-end-lost": 0.0005,
    "resembles": 0.00004,
    "initials-share": 0.3,
    "farthest-number": 1.1,
    "usual-halving": 15,
    "letter-twin-slip": 0.25,
    "letter-case-slip": 0.3,
    "typed-case-slip": 0.3,
    "letter-style-slip": 0.2,
    "letter-shield-slip": 0.3,
    "stone-size-near": 0.1,
    "hearsay-right": 0.25,
    "name-before-piece": 0.88,
    "name-on-label": 0.6,
}


def engine_settings() -> Settings:
    """The same numbers as the engine holds them."""
    return settings_of(KnowledgeBase("numbers", settings=setting_entries()))


def setting_entries(own: Mapping[str, float] | None = None) -> dict[str, Setting]:
    """The same numbers as entries of a base; `own` in place of some, or beside them."""
    return {name: Setting(name, value) for name, value in {**NUMBERS, **(own or {})}.items()}
