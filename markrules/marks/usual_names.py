"""How often people bear a name: what a model of letters does not know of common ones."""

from __future__ import annotations

import os.path
from collections.abc import Iterator, Mapping
from functools import lru_cache
from string import ascii_uppercase

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


@lru_cache(maxsize=256)
def names_near(letters: str) -> Mapping[str, float]:
    """The listed names, with their shares, of which these folded letters are a slip of the pen: one
    letter exchanged, left out or put in, or two that stand side by side in the other order.
    """
    listed = _shares()
    return {name: listed[name] for name in _one_slip_away(letters) if name in listed}


def _one_slip_away(letters: str) -> Iterator[str]:
    for at in range(len(letters) + 1):
        before, rest = letters[:at], letters[at:]
        yield from (before + each + rest for each in ascii_uppercase)
        if rest:
            yield from (before + each + rest[1:] for each in ascii_uppercase if each != rest[0])
            yield before + rest[1:]
        if len(rest) > 1 and rest[0] != rest[1]:
            yield before + rest[1] + rest[0] + rest[2:]


@lru_cache(maxsize=1)
def _shares() -> dict[str, float]:
    words = _listed().split()
    return {name: int(number) / PARTS for name, number in zip(words[::2], words[1::2], strict=True)}


@lru_cache(maxsize=1)
def _listed() -> str:
    """The list: a line for each name, with its number; a line break before the first of them."""
    with open(
        os.path.join(os.path.dirname(__file__), "usual_names.txt"), encoding="ascii", newline=""
    ) as file:
        return "\n" + file.read()
