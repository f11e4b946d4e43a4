"""How the time of something grows with its input, in processor time: other load does not count."""

from __future__ import annotations

import time
from collections.abc import Callable

SLACK = 0.02
"""Seconds of processor time below which a clock tells nothing."""


def seconds(act: Callable[[], object]) -> float:
    """The processor time of an act: the shorter of two, since the first warms what is kept."""
    best = float("inf")
    for _ in range(2):
        before = time.process_time()
        act()
        best = min(best, time.process_time() - before)
    return best


def grows_as_its_length(act: Callable[[str], object], text: str, times: float = 3.2) -> bool:
    """Whether the whole of a text takes about twice the time of its half: 4 would be the square."""
    half = text[: len(text) // 2]
    return seconds(lambda: act(text)) < times * seconds(lambda: act(half)) + SLACK
