"""How many samples a property is tried with: all of them where `MARKRULES_SAMPLES=full`."""

from __future__ import annotations

import os
import random
from collections.abc import Iterable
from typing import TypeVar

Item = TypeVar("Item")

FULL = os.environ.get("MARKRULES_SAMPLES") == "full"
SHARE = 6
"""Without it, one in so many: enough to notice a fault on the day it is made."""
LEAST = 12
SEED = 20261129


def samples(full: int, *, least: int = LEAST) -> int:
    """The number to try, where a full run tries so many."""
    return full if FULL else min(full, max(least, full // SHARE))


def some_of(items: Iterable[Item], *, least: int = LEAST) -> list[Item]:
    """So many of these, in their order and drawn with one seed; all of them in a full run.

    The first and the last are always among them: what is at an end goes wrong most often.
    """
    every = list(items)
    count = samples(len(every), least=min(least, len(every)))
    if count >= len(every):
        return every
    inner = random.Random(SEED).sample(range(1, len(every) - 1), max(count - 2, 0))
    return [every[at] for at in sorted({0, *inner, len(every) - 1})]
