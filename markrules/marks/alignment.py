"""The likeliest way in which a mark became what was read, letter beside letter."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, log

from markrules.marks.letters import folded
from markrules.marks.wear import Compiled

SAME, ALIKE, UNREAD, GAP, LOST, ADDED, JOINED, PARTED = "|:?.-+><"
"""Signs of agreement: the same letter, a look-alike, a letter unread, inside a run unread, lost
unnoticed, read and not on the mark, two letters read as one, one letter read as two."""


@dataclass(frozen=True, slots=True)
class Step:
    """One column of an alignment: what was read, what is on the mark, and how they agree."""

    read: str
    struck: str
    sign: str


@dataclass(frozen=True, slots=True)
class Alignment:
    """The columns in order, and the natural log of the chance of this way.

    `read`, `agreement` and `struck` are lines that stand one below the other.
    """

    steps: tuple[Step, ...]
    log_chance: float

    @property
    def read(self) -> str:
        """What was read; a run unread shows as `…`, a letter not read as a blank."""
        return self._line(0)

    @property
    def agreement(self) -> str:
        """A sign for each column."""
        return self._line(1)

    @property
    def struck(self) -> str:
        """The letters of the mark."""
        return self._line(2)

    def _line(self, which: int) -> str:
        columns = ((step.read, step.sign, step.struck) for step in self.steps)
        cells = ((column[which], max(map(len, column))) for column in columns)
        return " ".join(text.ljust(width) for text, width in cells).rstrip()

    def __str__(self) -> str:
        """The three lines, one below the other."""
        return f"{self.read}\n{self.agreement}\n{self.struck}"


_State = tuple[int, int, bool]


def align(reading: Compiled, mark: str) -> Alignment:
    """The likeliest way from the mark (folded letters) to the reading."""
    best, came = _paths(reading, mark)
    rates = reading.model.rates
    places, letters = len(reading.cells), len(mark)
    ends = {
        end: _best_of(best, places, end)
        * (
            (1 - rates.tail_lost)
            if end == letters
            else _run(rates.tail_lost, rates.run_on, letters - end)
        )
        for end in range(letters + 1)
    }
    end = max(ends, key=lambda each: ends[each])
    steps = [Step("", letter, LOST) for letter in reversed(mark[end:])]
    state = max((places, end, False), (places, end, True), key=lambda s: best.get(s, 0.0))
    while state in came:
        state, step = came[state]
        steps += reversed(step)
    steps += [Step("", letter, LOST) for letter in reversed(mark[: state[1]])]
    chance = ends[end]
    return Alignment(tuple(_gaps_shown(steps[::-1])), log(chance) if chance > 0 else -inf)


def _best_of(best: dict[_State, float], places: int, end: int) -> float:
    return max(best.get((places, end, False), 0.0), best.get((places, end, True), 0.0))


def _run(first: float, run_on: float, length: int) -> float:
    return first * (1 - run_on) * run_on ** (length - 1)


def _paths(
    reading: Compiled, mark: str
) -> tuple[dict[_State, float], dict[_State, tuple[_State, tuple[Step, ...]]]]:
    """The best chance of each state (places filled, letters used, last letter missing)."""
    rates = reading.model.rates
    best: dict[_State, float] = {(0, 0, False): 1 - rates.head_lost}
    came: dict[_State, tuple[_State, tuple[Step, ...]]] = {}
    for used in range(1, len(mark) + 1):
        best[0, used, False] = _run(rates.head_lost, rates.run_on, used)
    for used in range(len(mark) + 1):
        for filled in range(len(reading.cells) + 1):
            _extend(reading, mark, (filled, used), best, came)
    return best, came


def _extend(
    reading: Compiled,
    mark: str,
    at: tuple[int, int],
    best: dict[_State, float],
    came: dict[_State, tuple[_State, tuple[Step, ...]]],
) -> None:
    """Offer every state that follows from (places filled, letters used)."""
    filled, used = at

    def offer(origin: _State, target: _State, chance: float, *steps: Step) -> None:
        total = best.get(origin, 0.0) * chance
        if total > best.get(target, 0.0):
            best[target] = total
            came[target] = (origin, steps)

    here = max((filled, used, False), (filled, used, True), key=lambda s: best.get(s, 0.0))
    if best.get(here, 0.0) <= 0:
        return
    cells, letters = reading.cells[filled : filled + 2], mark[used : used + 2]
    if cells:
        sign = GAP if cells[0].kind == "gap" else ADDED
        added = Step(cells[0].shown, "", sign)
        offer(here, (filled + 1, used, False), reading.inserted[filled], added)
    if letters and filled:
        gap = reading.cells[filled - 1].kind == "gap"
        gone = Step("…" if gap else "", letters[0], GAP if gap else LOST)
        for missing, chances in ((False, reading.opened), (True, reading.kept_on)):
            origin = (filled, used, missing)
            offer(origin, (filled, used + 1, True), chances[filled - 1], gone)
    if cells and letters:
        chance = reading.row(letters[0])[filled]
        offer(
            here,
            (filled + 1, used + 1, False),
            chance,
            _read_as(cells[0].shown, letters[0], cells[0].kind),
        )
    if len(letters) == 2 and cells:
        for place, chance in reading.joined.get(letters, ()):
            if place == filled:
                offer(
                    here,
                    (filled + 1, used + 2, False),
                    chance,
                    Step(cells[0].shown, letters, JOINED),
                )
    if letters and len(cells) == 2:
        shown = cells[0].shown + cells[1].shown
        for place, chance in reading.parted.get(letters[0], ()):
            if place == filled + 1:
                offer(here, (filled + 2, used + 1, False), chance, Step(shown, letters[0], PARTED))


def _read_as(shown: str, struck: str, kind: str) -> Step:
    if kind == "unread":
        return Step(shown, struck, UNREAD)
    return Step(shown, struck, SAME if struck in folded(shown) else ALIKE)


def _gaps_shown(steps: list[Step]) -> list[Step]:
    """A run unread that stands for letters needs no column of its own."""
    kept = []
    for place, step in enumerate(steps):
        follows = steps[place + 1] if place + 1 < len(steps) else None
        empty = step.sign == GAP and not step.struck
        if not (empty and follows is not None and follows.sign == GAP):
            kept.append(step)
    return kept
