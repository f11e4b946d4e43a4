"""How the work of something grows with its input, in processor time.

Speed itself is measured in tests/bench, never here: a machine may be slow for a moment. What is
tested is that twice the input takes about twice the time and not four times. Other work on the
machine can only lengthen a measured time, so the comparison is made again when it fails, and one
that holds is enough; what truly grows as the square fails every time.
"""

from __future__ import annotations

import time
from collections.abc import Callable

SLACK = 0.02
"""Seconds of processor time below which a clock tells nothing."""

TRIES = 6
"""How often a comparison is made before it counts as failed."""


def seconds(act: Callable[[], object], times: int = 2) -> float:
    """The processor time of an act: the shorter of two, since the first warms what is kept.

    Of the longer input one is enough: a time that is too long is measured again.
    """
    best = float("inf")
    for _ in range(times):
        before = time.process_time()
        act()
        best = min(best, time.process_time() - before)
    return best


def within(longer: Callable[[], float], shorter: Callable[[], float], times: float = 3.2) -> bool:
    """Whether the longer time is at most some times the shorter, both measured side by side."""
    return any(longer() < times * shorter() + SLACK for _ in range(TRIES))


def grows_as_its_length(act: Callable[[str], object], text: str, times: float = 3.2) -> bool:
    """Whether the whole of a text takes about twice the time of its half: 4 would be the square."""
    half = text[: len(text) // 2]
    return within(lambda: seconds(lambda: act(text), 1), lambda: seconds(lambda: act(half)), times)
