"""The likeliest way in which a mark became what was read, letter beside letter."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf, log

from markrules.frozen import dataclass
from markrules.marks.letters import folded
from markrules.marks.wear import Compiled, WearRates

SAME, ALIKE, UNREAD, GAP, LOST, ADDED, JOINED, PARTED, SWAPPED = "|:?.-+><x"
"""Signs of agreement: the same letter, a look-alike, a letter unread, inside a run unread, lost
unnoticed, read and not on the mark, two letters read as one, one letter read as two, two letters
written in the other order."""


@dataclass(frozen=True, slots=True)
class AlignedColumn:
    """One column of an alignment: what was read, what is on the mark, and how they agree."""

    read: str
    struck: str
    sign: str


@dataclass(frozen=True, slots=True)
class Alignment:
    """The columns in order, and the natural log of the chance of this way.

    `read`, `agreement` and `struck` are lines that stand one below the other.
    """

    steps: tuple[AlignedColumn, ...]
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


@dataclass(frozen=True, slots=True)
class _Table:
    """For each number of letters used: the best chance of each number of places filled, and the
    best of those ways in which the last letter went missing.
    """

    best: list[list[float]]
    missing: list[list[float]]


def align(reading: Compiled, mark: str) -> Alignment:
    """The likeliest way from the mark (folded letters) to the reading."""
    rates = reading.model.rates
    table = _filled(reading, mark)
    last = len(mark)
    # The end of a mark is lost in one piece, so that all letters behind the last one used cost one
    # run, whatever stands in them.
    ends = [
        column[-1]
        * (_run(rates.tail_lost, rates, last - used) if used < last else 1 - rates.tail_lost)
        for used, column in enumerate(table.best)
    ]
    used = max(range(last + 1), key=ends.__getitem__)
    steps = [AlignedColumn("", letter, LOST) for letter in reversed(mark[used:])]
    steps += _back(reading, mark, table, used)
    chance = ends[used]
    shown = [each for step in _gaps_shown(steps[::-1]) for each in _letter_by_letter(step)]
    return Alignment(tuple(shown), log(chance) if chance > 0 else -inf)


def _run(first: float, rates: WearRates, length: int) -> float:
    """The chance that a run of so many letters is lost at an end."""
    return first * (1 - rates.run_on) * rates.run_on ** (length - 1)


def _filled(reading: Compiled, mark: str) -> _Table:
    """The recursion of `likelihood`, with the best way in place of the sum of all."""
    rates = reading.model.rates
    first = [1 - rates.head_lost]
    for inserted in reading.inserted:
        first.append(first[-1] * inserted)
    table = _Table([first], [[0.0] * len(first)])
    for used in range(1, len(mark) + 1):
        old, old_missing = table.best[-1], table.missing[-1]
        now = _run(rates.head_lost, rates, used)
        best, missing = [now], [0.0]
        columns = zip(
            reading.row(mark[used - 1]),
            reading.inserted,
            reading.opened,
            reading.kept_on,
            old,
            old[1:],
            old_missing[1:],
            strict=False,
        )
        for chance, inserted, opened, kept_on, before, was, was_missing in columns:
            gone = max(was * opened, was_missing * (opened + kept_on))
            now = max(before * chance, gone, now * inserted)
            best.append(now)
            missing.append(gone)
        for filled, chance, _ in _merged(reading, mark, table, used):
            best[filled] = max(best[filled], chance)
        table.best.append(best)
        table.missing.append(missing)
    return table


def _merged(
    reading: Compiled, mark: str, table: _Table, used: int
) -> Iterator[tuple[int, float, tuple[int, int]]]:
    """Ways that end with letters merged or swapped: places filled, chance, and (letters, places)
    taken.
    """
    for at, share in reading.parted.get(mark[used - 1], ()):
        yield at + 1, table.best[used - 1][at - 1] * share, (1, 2)
    if used > 1:
        for at, share in reading.joined.get(mark[used - 2 : used], ()):
            yield at + 1, table.best[used - 2][at] * share, (2, 1)
        for at, share in reading.swapped.get(mark[used - 2 : used], ()):
            yield at + 1, table.best[used - 2][at - 1] * share, (2, 2)


def _back(reading: Compiled, mark: str, table: _Table, used: int) -> list[AlignedColumn]:
    """The steps of the best way, last first."""
    steps: list[AlignedColumn] = []
    filled = len(reading.cells)
    missing = False
    while filled:
        letters, places = _last_step(reading, mark, table, used, filled, missing)
        # Whether a letter went missing in a run is kept beside the best way, since going on with a
        # run is cheaper than beginning one: the best way to here need not be that of the next step.
        missing = not places and _missing_before(reading, table, used - 1, filled)
        struck = mark[used - letters : used]
        steps.append(_step(reading, filled, places, struck))
        used, filled = used - letters, filled - places
    return steps + [AlignedColumn("", letter, LOST) for letter in reversed(mark[:used])]


def _missing_before(reading: Compiled, table: _Table, used: int, filled: int) -> bool:
    """Whether a missing letter is best taken to follow another missing one."""
    opened, kept_on = reading.opened[filled - 1], reading.kept_on[filled - 1]
    again = table.missing[used][filled] * (opened + kept_on)
    return again >= table.best[used][filled] * opened


def _last_step(
    reading: Compiled, mark: str, table: _Table, used: int, filled: int, missing: bool
) -> tuple[int, int]:
    """How many letters and places the last step of the best way took."""
    if missing:
        return 1, 0
    ways = [(table.best[used][filled - 1] * reading.inserted[filled - 1], (0, 1))]
    if used:
        row = reading.row(mark[used - 1])
        ways.append((table.best[used - 1][filled - 1] * row[filled - 1], (1, 1)))
        ways.append((table.missing[used][filled], (1, 0)))
        ways += [
            (chance, taken)
            for at, chance, taken in _merged(reading, mark, table, used)
            if at == filled
        ]
    return max(ways)[1]


def _step(reading: Compiled, filled: int, places: int, struck: str) -> AlignedColumn:
    """The column for a step that ended with so many places filled."""
    cell = reading.cells[filled - 1]
    if not places:
        gap = cell.kind == "gap"
        return AlignedColumn("…" if gap else "", struck, GAP if gap else LOST)
    shown = "".join(each.shown for each in reading.cells[filled - places : filled])
    if places == 2:
        return AlignedColumn(shown, struck, SWAPPED if len(struck) == 2 else PARTED)
    if len(struck) == 2:
        return AlignedColumn(shown, struck, JOINED)
    if not struck:
        return AlignedColumn(shown, "", GAP if cell.kind == "gap" else ADDED)
    if cell.kind == "unread":
        return AlignedColumn(shown, struck, UNREAD)
    return AlignedColumn(shown, struck, SAME if struck in folded(shown) else ALIKE)


def _gaps_shown(steps: list[AlignedColumn]) -> list[AlignedColumn]:
    """A run unread that stands for letters needs no column of its own."""
    kept = []
    for place, step in enumerate(steps):
        follows = steps[place + 1] if place + 1 < len(steps) else None
        empty = step.sign == GAP and not step.struck
        if not (empty and follows is not None and follows.sign == GAP):
            kept.append(step)
    return kept


def _letter_by_letter(step: AlignedColumn) -> list[AlignedColumn]:
    """A letter read as a pair that holds it, or a pair read as one of its letters, as what anybody
    sees there: one letter is added, or lost.
    """
    pair, single = (step.read, step.struck) if step.sign == PARTED else (step.struck, step.read)
    if step.sign not in (PARTED, JOINED) or not len(pair) == len(folded(pair)) == 2:
        return [step]
    if folded(single) not in folded(pair):
        return [step]
    added = step.sign == PARTED
    columns = [
        AlignedColumn(one, "", ADDED) if added else AlignedColumn("", one, LOST) for one in pair
    ]
    same = folded(pair).index(folded(single))
    columns[same] = AlignedColumn(
        pair[same] if added else single, single if added else pair[same], SAME
    )
    return columns
