"""How many questions a beginner is asked until the years are known to thirty, and in fixed order.

    python tests/bench/bench_asking.py

Forty invented pieces (asking_pieces.jsonl: `made` is the year, `note` and `more` what is true of
it, `none` what it certainly has not) are answered by a script from their true features, with a
beginner's gaps: a feature is known by chance with 90, 70, 40 or 5 of 100 by its effort (a glance,
close up, a loupe, a tool), the same gaps for every way of asking; that there is none of a thing
is always known. Each piece has an answer to every question that could be asked of it, as a real
one has, written from what the piece is said to be before any of it was read; a style is only ever
guessed. A second beginner can put a name to the style of none. A screen that asks for several
things counts as one question; the things are counted too. Fourteen more pieces, from 51 on, are
kept apart: nothing was set by them. (How many things a screen holds, and what one more is worth,
was tried on the forty.)

The last lines tell what no way of asking can better: the range with every true feature told, with
all that this beginner knows, and the fewest features that reach thirty, picked with hindsight.
"""

from __future__ import annotations

import json
import random
import statistics
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from markrules.cli.common import open_reader
from markrules.inference.reading import NextLook, Reading
from markrules.knowledge.observation import Observation
from markrules.reading.observing import observe
from markrules.reading.reader import Reader, Request
from markrules.tasks.looking import ALL_LOOKS, Look, Session

WANTED = 30
KEPT_APART = 51
MOST = 20
KNOWS = {"glance": 0.9, "close": 0.7, "loupe": 0.4, "tool": 0.05}
PIECES = Path(__file__).with_name("asking_pieces.jsonl")


class Beginner:
    """Answers from what is true of a piece, but for what a beginner cannot tell."""

    def __init__(self, reader: Reader, piece: dict[str, Any], never: Sequence[str] = ()) -> None:
        self.never = never
        understood = reader.understand(piece["note"])
        self.reader, self.number, self.made = reader, piece["id"], piece["made"]
        self.kind = understood.piece_type
        self.true: dict[str, tuple[Observation, ...]] = {}
        for each in (observe(reader.base, each) for each in piece["more"]):
            self.true[each.feature] = (*self.true.get(each.feature, ()), each)
        more, none = set(self.true), set(piece["none"])
        for each in understood.observations:
            if each.feature not in more | none:
                self.true[each.feature] = (*self.true.get(each.feature, ()), each)
        kinds = set(reader.base.broader(self.kind))
        for name in none - set(self.true):
            on = {each.name for each in reader.base.features[name].on}
            if not on or on & kinds:
                self.true[name] = (Observation(name, state="absent"),)

    def answer(self, feature: str) -> tuple[Observation, ...]:
        """What the beginner says of a feature; nothing for `don't know`."""
        true = self.true.get(feature, ())
        effort = self.reader.base.features[feature].effort
        known = random.Random(f"{self.number} {feature}").random() < KNOWS.get(effort, 0.9)
        known = known and feature not in self.never
        return true if known or (true and true[0].state == "absent") else ()

    def width(self, told: Iterable[Observation]) -> int:
        """The years of the range when all this was told."""
        return width(self.reader.read(Request(self.kind, tuple(told), next_looks=0)))


@dataclass(frozen=True)
class Asked:
    """What came of asking about one piece: the kind is the first question."""

    questions: int
    things: int
    width: int
    names: tuple[str, ...] = ()


def width(reading: Reading) -> int:
    return reading.date.range.last - reading.date.range.first + 1


def guided(beginner: Beginner, wanted: int) -> Asked:
    session = Session(beginner.reader, [Look(beginner.kind)])
    names = ["piece"]
    things = 1
    while True:
        reading = session.reading()
        question = session.question(reading)
        if width(reading) <= wanted or question is None or len(names) >= MOST:
            return Asked(len(names), things, width(reading), tuple(names))
        features = [each.feature for each in question.looks]
        names.append("+".join(features))
        things += len(features)
        told = {each: beginner.answer(each) for each in features}
        session.answer(
            *(each for every in told.values() for each in every),
            unknown=[name for name, said in told.items() if not said],
        )


def in_fixed_order(beginner: Beginner, wanted: int, order: Sequence[NextLook]) -> Asked:
    """One thing after another, in one order for all pieces of a kind: as their gains stand at
    first.
    """
    told: list[Observation] = []
    asked = 1
    for look in order:
        if asked >= MOST or beginner.width(told) <= wanted:
            break
        asked += 1
        told += beginner.answer(look.feature)
    return Asked(asked, asked, beginner.width(told))


def by_gain(reader: Reader, kind: str) -> list[NextLook]:
    found = reader.read(Request(note=kind, next_looks=ALL_LOOKS)).next
    return sorted(found, key=lambda each: -each.gain_bits)


def with_hindsight(beginner: Beginner) -> int:
    """The fewest features that reach the width wanted, each time the one that helps most."""
    told: list[Observation] = []
    left = dict(beginner.true)
    for number in range(1, MOST):
        if beginner.width(told) <= WANTED:
            return number
        if not left:
            break
        best = min(sorted(left), key=lambda name: beginner.width([*told, *left[name]]))
        told += left.pop(best)
    return MOST


def line(what: str, found: Sequence[Asked], wanted: Sequence[int]) -> None:
    pairs = list(zip(found, wanted, strict=True))
    reached = [each.questions for each, years in pairs if each.width <= years]
    # A piece that never gets there counts as the most questions: it must not look quick.
    counted = [each.questions if each.width <= years else MOST for each, years in pairs]
    print(
        f"  {what:<34} median {statistics.median(counted):>4.1f};"
        f" reached by {len(reached)} of {len(found)}"
        f" (median of those {statistics.median(reached) if reached else 0:.1f},"
        f" {sum(each <= 6 for each in reached)} in 6 or fewer);"
        f" stops after {statistics.median(each.questions for each in found):.1f} questions,"
        f" {statistics.median(each.things for each in found):.1f} things,"
        f" at {statistics.median(each.width for each in found):.1f} years"
    )


def main() -> None:
    """Ask about every piece in both ways, and print what it took."""
    reader = open_reader(())
    pieces = [json.loads(each) for each in PIECES.read_text(encoding="utf-8").splitlines()]
    rows = []
    for piece in pieces:
        beginner = Beginner(reader, piece)
        every = beginner.width(each for said in beginner.true.values() for each in said)
        known = beginner.width(each for name in beginner.true for each in beginner.answer(name))
        asked = guided(beginner, WANTED)
        no_style = guided(Beginner(reader, piece, never=("style",)), WANTED)
        order = by_gain(reader, beginner.kind)
        fixed = in_fixed_order(beginner, WANTED, order)
        rows.append((piece["id"], asked, fixed, known, every, with_hindsight(beginner), no_style))
        print(
            f"{piece['id']:>3} {asked.questions:>3} asked, {asked.width:>4} years;"
            f" fixed {fixed.questions:>3}, {fixed.width:>4}; all known {known:>4}, all {every:>4}"
            f"   {', '.join(asked.names)}"
        )
    of: dict[str, Callable[[int], bool]] = {
        "the forty": lambda number: number < KEPT_APART,
        "those kept apart": lambda number: number >= KEPT_APART,
    }
    for name, chosen in of.items():
        some = [row for row in rows if chosen(row[0])]
        print(f"\n{name}: questions to {WANTED} years")
        line("guided", [row[1] for row in some], [WANTED] * len(some))
        line("guided, who names no style", [row[6] for row in some], [WANTED] * len(some))
        line("in fixed order", [row[2] for row in some], [WANTED] * len(some))
        print("  questions to 30 years, or to what all that this beginner knows would give")
        line("guided", [row[1] for row in some], [max(WANTED, row[3]) for row in some])
        line("in fixed order", [row[2] for row in some], [max(WANTED, row[3]) for row in some])
        for what, at in (("all that a beginner knows", 3), ("every true feature", 4)):
            widths = [row[at] for row in some]
            print(
                f"  {what} told: {sum(each <= WANTED for each in widths)} of {len(some)} come to"
                f" {WANTED} years, median {statistics.median(widths):.1f}"
            )
        fewest = [row[5] for row in some]
        print(
            f"  with hindsight: {sum(each < MOST for each in fewest)} of {len(some)} come to"
            f" {WANTED}, the median piece after {statistics.median(fewest):.1f} features"
        )


if __name__ == "__main__":
    main()
