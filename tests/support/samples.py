"""How many samples a property is tried with: all of them where `MARKRULES_SAMPLES=full`."""

from __future__ import annotations

import os

FULL = os.environ.get("MARKRULES_SAMPLES") == "full"
SHARE = 6
"""Without it, one in so many: enough to notice a fault on the day it is made."""
LEAST = 12


def samples(full: int) -> int:
    """The number to try, where a full run tries so many."""
    return full if FULL else min(full, max(LEAST, full // SHARE))
