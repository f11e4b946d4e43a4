"""Where the words of a mark part, as far as that bears on whether a reading is of it.

People keep words apart that stand apart, and now and then close them up or part a word in two. An
`&` parts words by itself, however it is spaced or spelt, and so do the dots of initials: spaces
beside them tell nothing. A hyphen may be read as a space, or as nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import log

from markrules.frozen import dataclass
from markrules.knowledge.base import Chance
from markrules.late import late
from markrules.marks.letters import folded
from markrules.marks.reading_syntax import Cell

AND_PARTS = 2
"""Where `&` stands, `AND` or `ET` may be written, which part from the words on both sides."""

_BREAK = late(r"\W+")


@dataclass(frozen=True, slots=True)
class Divisions:
    """In how many places words part: for `sure`, and at most."""

    sure: int
    most: int


@dataclass(frozen=True, slots=True)
class DivisionRates:
    """Chances, each the setting `words-NAME`, with hyphens, of the rules.

    `closed_up`: two words that stand apart on a mark are written down as one; `parted`: of the
    letters of a word read as two, the place where it is parted is this one.
    """

    closed_up: Chance
    parted: Chance

    def log_likelihood(self, read: Divisions, struck: Divisions, has_gap: bool) -> float:
        """The natural log of P(the words part where they were read to | where those of a mark do).

        Behind a gap further words may be gone.
        """
        parted = max(0, read.sure - struck.most)
        closed_up = 0 if has_gap else max(0, struck.sure - read.most)
        kept = min(read.sure, struck.sure)
        return (
            parted * log(self.parted)
            + closed_up * log(self.closed_up)
            + kept * log(1 - self.closed_up)
        )


def divisions_of(words: Iterable[str]) -> Divisions:
    """Where words as they are written on a mark part.

    >>> divisions_of(["JUDY-LEE"]), divisions_of(["R.", "H.", "PEARSON", "&", "CO."])
    (Divisions(sure=0, most=1), Divisions(sure=0, most=4))
    """
    sure = most = 0
    before = ""
    for word in words:
        for place, part in enumerate(word.split("&")):
            if place:
                before = ""
                most += AND_PARTS
            letters = folded(part)
            if not letters:
                continue
            most += sum(1 for run in _BREAK.split(part) if run) - 1
            if before:
                most += 1
                sure += len(before) > 1 and len(letters) > 1
            before = letters
    return Divisions(sure, most)


def divisions_read(words: Sequence[Sequence[Cell]]) -> Divisions:
    """The same of what was read; a run unread may hold any number of letters."""
    sure = most = 0
    before = 0
    for word in words:
        for place, length in enumerate(_lengths(word)):
            if place:
                before = 0
                most += AND_PARTS
            if not length:
                continue
            if before:
                most += 1
                sure += before > 1 and length > 1
            before = length
    return Divisions(sure, most)


def _lengths(word: Sequence[Cell]) -> list[int]:
    """How many letters stand before, between and behind each `&`; a gap counts as two."""
    lengths = [0]
    for cell in word:
        if cell.letters == (("&", 1.0),):
            lengths.append(0)
        else:
            lengths[-1] += 2 if cell.kind == "gap" else 1
    return lengths
