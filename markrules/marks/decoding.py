"""What a text on a piece says besides a maker: numbers of registers and marks of metal."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.marks.metal import MetalReading, find_metal_marks, metal_observations
from markrules.marks.numbers import find_numbers, observations_from_numbers

KEPT = 4096
"""Texts whose decoding is kept: in a box the same words stand on many pieces."""


@dataclass(frozen=True, slots=True)
class Stamped:
    """A text decoded: its marks of metal, all that it says as observations, and whether any
    letter is left that could be a maker's.
    """

    metals: tuple[MetalReading, ...]
    observations: tuple[Observation, ...]
    may_name_a_maker: bool


def decoder(base: KnowledgeBase) -> Callable[[str], Stamped]:
    """A function that decodes a text and remembers what it said."""

    @lru_cache(maxsize=KEPT)
    def decode(text: str) -> Stamped:
        numbers, metals = find_numbers(text, base), find_metal_marks(text, base)
        left = [character.isalnum() for character in text]
        places = [(each.start, each.end) for each in numbers]
        places += [(each.start, each.end) for each in metals]
        for start, end in places:
            left[start:end] = [False] * (end - start)
        return Stamped(
            metals,
            (*observations_from_numbers(numbers), *metal_observations(metals)),
            any(left),
        )

    return decode
