"""A guided look: what was seen so far, what is asked next, and the way back."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import field
from heapq import nlargest

from markrules.frozen import dataclass
from markrules.inference.reading import NextLook, Reading
from markrules.inference.settings import settings_of
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.reading.reader import Reader, Request

ALL_LOOKS = 200
"""More looks than any piece has: a guided look chooses among all of them."""

MOST_TOGETHER = 6
"""Things asked for on one screen: more are tiring, and of the rest most can wait."""


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked on one screen: one look, or several at once under words of their own.

    `worth` is what its answers are expected to settle, in bits, less their effort.
    """

    ask: str
    look: str
    looks: tuple[NextLook, ...]
    worth: float


def question_of(
    base: KnowledgeBase, reading: Reading, passed: Collection[str] = (), *, single: bool = False
) -> Question | None:
    """The question most worth its effort, of what was not passed over; None where none is.

    Of several looks asked together each counts for what it is worth beside the others, and the
    screen costs what one answer costs. `single` asks for one thing only.
    """
    looks = {each.feature: each for each in reading.next if each.feature not in passed}
    found = [Question(each.ask, each.look, (each,), each.worth) for each in looks.values()]
    if not single:
        found.extend(_together(base, looks))
    best = max(found, key=lambda each: each.worth, default=None)
    return best if best is not None and best.worth > 0 else None


def _together(base: KnowledgeBase, looks: dict[str, NextLook]) -> Iterator[Question]:
    cost = settings_of(base).answer_cost
    for entry in base.together.values():
        held = [looks[each.name] for each in entry.of if each.name in looks]
        worth = [each for each in held if each.beside > 0]
        best = nlargest(MOST_TOGETHER, worth, key=lambda each: each.beside)
        if len(best) > 1:
            asked = tuple(each for each in worth if each in best)
            whole = sum(each.beside for each in asked) - cost
            yield Question(entry.ask, entry.look or asked[0].look, asked, whole)


def why_enough(reading: Reading, passed: Sequence[str] = ()) -> str:
    """Why nothing more is asked, in a sentence or two."""
    left = [each for each in reading.next if each.feature not in passed]
    unknown = "Of what you did not pass over as not known, no" if passed else "No"
    if not left:
        return f"{unknown} look is left that would narrow the years."
    best = max(left, key=lambda each: each.worth)
    return (
        f"{unknown} look left is expected to narrow the years by as much as it costs in effort."
        f" The best of them would be: {best.ask}"
    )


@dataclass(frozen=True, slots=True)
class Look:
    """The state of a guided look: what was seen so far and what is not to be asked again."""

    note: str
    seen: tuple[Observation, ...] = ()
    passed: tuple[str, ...] = ()

    def request(self, next_looks: int = ALL_LOOKS) -> Request:
        """What reads the piece as it was seen so far."""
        return Request(self.note, self.seen, next_looks=next_looks)


@dataclass
class Session:
    """A guided look with its past, so that a step can be taken back."""

    reader: Reader
    past: list[Look] = field(default_factory=list)

    @property
    def passed(self) -> tuple[str, ...]:
        """The features not to be asked for again."""
        return self.past[-1].passed

    def reading(self) -> Reading:
        """The reading of what was seen so far."""
        return self.reader.read(self.past[-1].request())

    def question(self, reading: Reading) -> Question | None:
        """The question most worth it, of those not passed over; None where none is."""
        return question_of(self.reader.base, reading, self.passed)

    def answer(self, *observations: Observation, unknown: Sequence[str] = ()) -> None:
        """Keep what was seen, as one step, and that the features `unknown` could not be told."""
        look = self.past[-1]
        passed = tuple(dict.fromkeys((*look.passed, *unknown)))
        self.past.append(Look(look.note, (*look.seen, *observations), passed))

    def skip(self, *features: str) -> None:
        """Do not ask for these features again."""
        self.answer(unknown=features)

    def back(self) -> bool:
        """Take the last step back; False at the start."""
        if len(self.past) == 1:
            return False
        self.past.pop()
        return True
