"""How likely a reading is under a mark that is in no list: letters follow letters as in marks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import log

from markrules.marks.letters import ALPHABET
from markrules.marks.reading_syntax import Cell
from markrules.marks.wear import UNREAD_CHANCE, WearRates

START = "^"
"""Stands before the first letter of a mark."""

ORDER = 4
"""Letters looked back at: enough to know the words that many marks share, such as BROS or CO."""


LEARNS_LITTLE = 1.0
"""Natural logs added for a mark in no list: marks not yet listed are told by more than the model
learns from those that are. Set so that in simulation the probability shown for "none of these"
is right about as often as it says."""


@dataclass(frozen=True, eq=False)
class LetterModel:
    """Which letters follow which, learnt from marks.

    `follows` counts the letters after each run of up to ORDER letters; `ends` is the chance
    that a mark ends after a letter. Longer and shorter runs are mixed by how much each has seen
    (Witten and Bell, "The zero-frequency problem", IEEE Transactions on Information Theory 37,
    1991, method C).
    """

    follows: Mapping[str, Mapping[str, int]]
    ends: float

    def chance(self, letter: str, before: str) -> float:
        """P(letter | the letters before it, of which the last ORDER count)."""
        chance = 1 / (len(ALPHABET) + 1)
        for length in range(min(len(before), ORDER) + 1):
            seen = self.follows.get(before[len(before) - length :])
            if not seen:
                break
            # Every letter may stand after no letter in particular, seen or not.
            total, kinds = sum(seen.values()), len(seen) if length else len(ALPHABET) + 1
            chance = (seen.get(letter, 0) + kinds * chance) / (total + kinds)
        return chance


def letter_model(marks: Iterable[str]) -> LetterModel:
    """The model of the marks given, in folded letters."""
    follows: dict[str, dict[str, int]] = {"": {}}
    letters = number = 0
    for text in marks:
        number += 1
        letters += len(text)
        begun = START + text
        for end, letter in enumerate(text, 1):
            for start in range(max(0, end - ORDER), end + 1):
                seen = follows.setdefault(begun[start:end], {})
                seen[letter] = seen.get(letter, 0) + 1
    return LetterModel(follows, (number + 1) / (letters + number + 9))


def unknown_log_likelihood(model: LetterModel, rates: WearRates, cells: Sequence[Cell]) -> float:
    """The natural log of P(reading | a mark not in the list).

    The same process as in `wear`, with the mark's letters and its length drawn from the letter
    model and summed out. Misread letters are taken into account as they come: such a letter may
    be any, and the one after it follows no rule.
    """
    whole = log(1 - rates.missing - rates.spurious)
    goes_on = 1 - model.ends
    run = (1 - rates.run_on) * goes_on / (1 - goes_on * rates.run_on)
    total = log(1 - rates.head_lost + rates.head_lost * run)
    total += log(model.ends) + log(1 - rates.tail_lost + rates.tail_lost * run)
    total += LEARNS_LITTLE
    before = START
    for cell in cells:
        if cell.kind == "gap":
            total -= log(1 - goes_on * rates.run_on)
            before = ""
        else:
            total += whole + log(goes_on) + _place(model, rates.misread, cell, before)
            before = before + cell.letters[0][0] if len(cell.letters) == 1 else ""
    return total


def _place(model: LetterModel, misread: float, cell: Cell, before: str) -> float:
    if cell.kind == "unread":
        return log(UNREAD_CHANCE)
    weight = sum(share for _, share in cell.letters)
    follows = sum(share * model.chance(letter, before) for letter, share in cell.letters)
    alone = sum(share * model.chance(letter, "") for letter, share in cell.letters)
    chance = (1 - 2 * misread) * follows + misread * (alone + weight / len(ALPHABET))
    return log(chance + (1 - weight) / len(ALPHABET))
