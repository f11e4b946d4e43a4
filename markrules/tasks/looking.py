"""A guided look: what was seen so far, what is asked next, and the way back."""

from __future__ import annotations

from dataclasses import field

from markrules.frozen import dataclass
from markrules.inference.reading import NextLook, Reading
from markrules.knowledge.observation import Observation
from markrules.reading.reader import Reader, Request


@dataclass(frozen=True, slots=True)
class Look:
    """The state of a guided look: what was seen so far and what is not to be asked again."""

    note: str
    seen: tuple[Observation, ...] = ()
    passed: tuple[str, ...] = ()


@dataclass
class Session:
    """A guided look with its past, so that a step can be taken back."""

    reader: Reader
    past: list[Look] = field(default_factory=list)

    def reading(self) -> Reading:
        """The reading of what was seen so far."""
        look = self.past[-1]
        passed = len(look.passed)
        return self.reader.read(Request(look.note, look.seen, next_looks=5 + passed))

    def question(self, reading: Reading) -> NextLook | None:
        """The look most worth it, of those not passed over; None where none is worth its effort."""
        passed = self.past[-1].passed
        return next(
            (each for each in reading.next if each.feature not in passed and each.worth > 0), None
        )

    def answer(self, *observations: Observation) -> None:
        """Keep what was seen, as one step."""
        look = self.past[-1]
        self.past.append(Look(look.note, (*look.seen, *observations), look.passed))

    def skip(self, feature: str) -> None:
        """Do not ask for this feature again."""
        look = self.past[-1]
        self.past.append(Look(look.note, look.seen, (*look.passed, feature)))

    def back(self) -> bool:
        """Take the last step back; False at the start."""
        if len(self.past) == 1:
            return False
        self.past.pop()
        return True
