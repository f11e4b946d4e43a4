"""How many questions a beginner is asked until the years are known to thirty, and in fixed order.

    python tests/bench/bench_asking.py

Forty invented pieces (asking_pieces.jsonl) are answered by a script from their true features, with
a beginner's gaps: a question is answered by chance with 90, 70, 40 or 5 of 100 by its effort (a
glance, close up, a loupe, a tool), the same gaps for both ways of asking. `none` lists what the
piece certainly has not; of what its note does not tell the beginner does not know.
"""

from __future__ import annotations

import json
import random
import statistics
from pathlib import Path

from markrules.cli.common import open_reader
from markrules.inference.reading import NextLook, Reading
from markrules.knowledge.observation import Observation
from markrules.reading.reader import Reader, Request
from markrules.tasks.looking import Look, Session

WANTED = 30
MOST = 20
KNOWS = {"glance": 0.9, "close": 0.7, "loupe": 0.4, "tool": 0.05}
PIECES = Path(__file__).with_name("asking_pieces.jsonl")


class Beginner:
    """Answers from what is true of a piece, but for what a beginner cannot tell."""

    def __init__(self, reader: Reader, piece: dict[str, object]) -> None:
        understood = reader.understand(str(piece["note"]))
        self.kind = understood.piece_type
        self.true: dict[str, list[Observation]] = {}
        for each in understood.observations:
            self.true.setdefault(each.feature, []).append(each)
        self.none = set(piece["none"])  # type: ignore[call-overload]
        self.chance = random.Random(int(str(piece["id"])))
        self.told: dict[str, bool] = {}

    def answer(self, look: NextLook) -> tuple[Observation, ...] | None:
        """What the beginner says; None for `don't know`."""
        knows = KNOWS.get(look.effort, 0.9)
        if look.feature in self.none:
            return (Observation(look.feature, state="absent"),)
        if look.feature not in self.true:
            return None
        if look.feature not in self.told:
            draw = random.Random(f"{self.kind} {look.feature} {self.chance.random()}").random()
            self.told[look.feature] = draw < knows
        return tuple(self.true[look.feature]) if self.told[look.feature] else None


def width(reading: Reading) -> int:
    return reading.date.range.last - reading.date.range.first + 1


def guided(reader: Reader, beginner: Beginner) -> tuple[int, int, list[str]]:
    """Questions asked (the kind is the first), the width reached, and what was asked."""
    session = Session(reader, [Look(beginner.kind)])
    asked = ["piece"]
    while len(asked) < MOST:
        reading = session.reading()
        look = session.question(reading)
        if width(reading) <= WANTED or look is None:
            break
        asked.append(look.feature)
        said = beginner.answer(look)
        if said is None:
            session.skip(look.feature)
        else:
            session.answer(*said)
    return len(asked), width(session.reading()), asked


def in_fixed_order(reader: Reader, beginner: Beginner, order: list[NextLook]) -> tuple[int, int]:
    """The same, asking in one order for all pieces of a kind: as their gains stand at first."""
    session = Session(reader, [Look(beginner.kind)])
    asked = 1
    for look in order:
        if asked >= MOST or width(session.reading()) <= WANTED:
            break
        asked += 1
        said = beginner.answer(look)
        if said is not None:
            session.answer(*said)
    return asked, width(session.reading())


def by_gain(reader: Reader, kind: str) -> list[NextLook]:
    found = reader.read(Request(note=kind, next_looks=50)).next
    return sorted(found, key=lambda each: -each.gain_bits)


def line(what: str, asked: list[int], widths: list[int]) -> None:
    reached = [number for number, wide in zip(asked, widths, strict=True) if wide <= WANTED]
    # A piece that never gets there counts as the most questions: it must not look quick.
    counted = [n if w <= WANTED else MOST for n, w in zip(asked, widths, strict=True)]
    print(
        f"{what:<34} median {statistics.median(counted):>4.1f} questions to {WANTED} years;"
        f" reached by {len(reached)} of {len(asked)}"
        f" (median of those {statistics.median(reached) if reached else 0:.1f});"
        f" asked in all {sum(asked)}"
    )


def main() -> None:
    """Ask about every piece in both ways, and print what it took."""
    reader = open_reader(())
    pieces = [json.loads(each) for each in PIECES.read_text(encoding="utf-8").splitlines()]
    rows = []
    for piece in pieces:
        number, wide, asked = guided(reader, Beginner(reader, piece))
        rows.append((number, wide))
        kept = Beginner(reader, piece)
        fixed = in_fixed_order(reader, kept, by_gain(reader, kept.kind))
        print(f"{piece['id']:>3} {number:>3} asked, {wide:>4} years; fixed {fixed[0]:>3}, "
              f"{fixed[1]:>4} years   {', '.join(asked)}"[:150])  # fmt: skip
        piece["fixed"] = fixed
    line("guided", *map(list, zip(*rows, strict=True)))
    print(f"guided, asked until it stops by itself: median {statistics.median(r[0] for r in rows)}")
    line("in fixed order", *map(list, zip(*(piece["fixed"] for piece in pieces), strict=True)))


if __name__ == "__main__":
    main()
