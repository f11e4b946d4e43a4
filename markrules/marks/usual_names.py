"""How often people bear a name: what a model of letters does not know of common ones."""

from __future__ import annotations

import os.path
from functools import lru_cache

PARTS = 100_000_000
"""Of so many words that are names, the numbers of the list tell how many are each."""


def usual_name(letters: str) -> float:
    """The share that a name in folded letters has among all names; 0 where it is not listed."""
    text = _listed()
    place = text.find(f"\n{letters} ") if letters.isalpha() else -1
    if place < 0:
        return 0.0
    start = place + len(letters) + 2
    return int(text[start : text.index("\n", start)]) / PARTS


@lru_cache(maxsize=1)
def _listed() -> str:
    """The list: a line for each name, with its number; a line break before the first of them."""
    with open(
        os.path.join(os.path.dirname(__file__), "usual_names.txt"), encoding="ascii", newline=""
    ) as file:
        return "\n" + file.read()
