"""A chance in figures, the same in every sentence that tells one."""

from __future__ import annotations


def percent(probability: float) -> str:
    """A probability in figures a person can weigh: never 0% or 100%."""
    if probability < 0.005:
        return "under 1%"
    if probability > 0.995:
        return "over 99%"
    return f"{probability:.0%}"
