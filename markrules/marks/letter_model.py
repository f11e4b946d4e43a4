"""How likely a reading is under a mark that is in no list: letters follow letters as in marks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import log

from markrules.marks.letters import ALPHABET
from markrules.marks.reading_syntax import Cell
from markrules.marks.wear import UNREAD_CHANCE, WearRates

_PAIR_WEIGHT = 8.0
"""Letters seen before a pair count is trusted as much as the letter's own share."""


@dataclass(frozen=True, eq=False)
class LetterModel:
    """Shares of letters, of letters after a letter, and the chance that a mark ends."""

    shares: Mapping[str, float]
    after: Mapping[str, Mapping[str, float]]
    ends: float

    def chance(self, letter: str, before: str) -> float:
        """P(letter | the letter before it; empty at the start)."""
        own = self.shares.get(letter, 1 / 500)
        return self.after.get(before, {}).get(letter, own * self._left(before))

    def _left(self, before: str) -> float:
        return 1.0 if before not in self.after else self.after[before][""]


def letter_model(marks: Iterable[str]) -> LetterModel:
    """The model of the marks given (folded letters), smoothed so that no letter is impossible."""
    texts = [mark for mark in marks if mark]
    counts = dict.fromkeys(ALPHABET, 1)
    pairs: dict[str, dict[str, int]] = {}
    for text in texts:
        before = ""
        for letter in text:
            counts[letter] = counts.get(letter, 0) + 1
            row = pairs.setdefault(before, {})
            row[letter] = row.get(letter, 0) + 1
            before = letter
    total = sum(counts.values())
    shares = {letter: count / total for letter, count in counts.items()}
    after = {before: _smoothed(row, shares) for before, row in pairs.items()}
    letters = sum(map(len, texts))
    return LetterModel(shares, after, (len(texts) + 1) / (letters + len(texts) + 9))


def _smoothed(row: Mapping[str, int], shares: Mapping[str, float]) -> dict[str, float]:
    """Shares after one letter; under the empty key, the weight left for letters not seen."""
    total = sum(row.values()) + _PAIR_WEIGHT
    smooth = {a: (count + _PAIR_WEIGHT * shares[a]) / total for a, count in row.items()}
    return {**smooth, "": _PAIR_WEIGHT / total}


def unknown_log_likelihood(model: LetterModel, rates: WearRates, cells: Sequence[Cell]) -> float:
    """The natural log of P(reading | a mark not in the list).

    The same process as in `wear`, with the mark's letters and its length drawn from the letter
    model and summed out. What reads a letter as another is left out of the sum: it moves
    letters about and hardly changes how likely a run of letters is.
    """
    whole = log(1 - rates.missing - rates.spurious)
    goes_on = 1 - model.ends
    run = (1 - rates.run_on) * goes_on / (1 - goes_on * rates.run_on)
    total = log(1 - rates.head_lost + rates.head_lost * run)
    total += log(model.ends) + log(1 - rates.tail_lost + rates.tail_lost * run)
    before = ""
    for cell in cells:
        if cell.kind == "gap":
            total -= log(1 - goes_on * rates.run_on)
            before = ""
        else:
            total += whole + log(goes_on) + _place(model, cell, before)
            before = cell.letters[0][0] if len(cell.letters) == 1 else ""
    return total


def _place(model: LetterModel, cell: Cell, before: str) -> float:
    if cell.kind == "unread":
        return log(UNREAD_CHANCE)
    weight = sum(share for _, share in cell.letters)
    chance = sum(share * model.chance(letter, before) for letter, share in cell.letters)
    return log(chance + (1 - weight) / len(ALPHABET))
