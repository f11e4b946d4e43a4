"""One object that reads pieces: it holds the knowledge and what is built from it, once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

from markrules.inference.engine import Model, read
from markrules.inference.reading import Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import MarkEvidence, Observation
from markrules.marks.decoding import KEPT, Stamped, decoder
from markrules.marks.hallmarks import hallmark_observations
from markrules.marks.metal import MetalReading
from markrules.marks.reading_syntax import MarkSyntaxError
from markrules.notes.understanding import Understanding, Vocabulary, understand
from markrules.reading.marking import HALLMARKS, MARK_DEVICES, MARK_LOOKS, joint_evidence

if TYPE_CHECKING:
    from markrules.marks.search import MarkSearch


WORTH_A_NOTE = 0.2
"""A maker at least this likely is told with what its mark must have lost or been misread for."""

ELSEWHERE = ("decide-", "care-note-", "object-id-")
"""Findings whose name begins so are told with a decision or on a sheet, not with a reading."""


@dataclass(frozen=True, slots=True)
class Request:
    """What to read and how.

    `note` is in plain words; `observations` are added to what it says, and one on a feature
    that the note speaks of too takes the note's place. `marks` are texts on the piece. `mass`
    is the share of probability that the range holds, between 0 and 1. `without` leaves out
    features or clues by name.
    """

    note: str = ""
    observations: tuple[Observation, ...] = ()
    marks: tuple[str, ...] = ()
    mass: float = 0.8
    flat_prior: bool = False
    without: tuple[str, ...] = ()
    next_looks: int = 5


@dataclass(frozen=True, eq=False)
class Reader:
    """Reads pieces against one knowledge base.

    `last_year` ends the grid of years; it is given, so that a reading depends on nothing
    but its arguments. What is costly to build is built when first needed, and kept.
    """

    base: KnowledgeBase
    last_year: int

    @cached_property
    def model(self) -> Model:
        """The engine's tables."""
        return Model(self.base, self.last_year)

    @cached_property
    def vocabulary(self) -> Vocabulary:
        """The words of the rules, for notes."""
        return Vocabulary(self.base)

    @cached_property
    def decode(self) -> Callable[[str], Stamped]:
        """Decodes a text on the piece: numbers of registers and marks of metal."""
        return decoder(self.base)

    @cached_property
    def marks(self) -> MarkSearch:
        """The search over all marks of the rules."""
        from markrules.marks.search import build_small

        return build_small(self.base)

    def understand(self, note: str) -> Understanding:
        """What a note says, as observations."""
        return understand(self.vocabulary, note)

    def read(self, request: Request) -> Reading:
        """The reading of one piece. Bad text never raises; what is not understood is listed."""
        understood = self.understand(request.note)
        named = [each for each in request.observations if _names_type(each)]
        others = tuple(each for each in request.observations if each not in named)
        marked = tuple(Observation("mark", text, words=text) for text in request.marks)
        given = {each.feature for each in others}
        seen = (
            *(each for each in understood.observations if each.feature not in given),
            *others,
            *marked,
        )
        seen = self._with_numbers(seen)
        reading = read(
            self.model,
            seen,
            marks=self.mark_evidence(seen),
            piece_type=_piece_type(named, others, understood.piece_type),
            mass=request.mass,
            flat_prior=request.flat_prior,
            without=request.without,
            not_understood=understood.not_understood,
            next_looks=request.next_looks,
        )
        return replace(reading, notes=(*reading.notes, *self._only_if(reading)))

    def _only_if(self, reading: Reading) -> tuple[str, ...]:
        """What must have happened to a text for it to be the first maker's, when not as struck."""
        first = next((each for each in reading.makers if each.maker), None)
        if first is None or first.probability < WORTH_A_NOTE:
            return ()
        texts = [each.value for each in reading.observations if _counts(each) and each.value]
        told = [(text, self._assumed(text, first.maker)) for text in texts]
        found = [(text, assumed) for text, assumed in told if assumed is not None]
        if not found or not all(assumed for _, assumed in found):
            return ()
        text, least = min(found, key=lambda each: len(each[1]))
        return (f'"{text}" is {first.title} only if: {"; ".join(least)}',)

    @cached_property
    def _assumed(self) -> Callable[[str, str], tuple[str, ...] | None]:
        """What is assumed to read a text as a maker's mark, None where it is not; remembered."""

        @lru_cache(maxsize=KEPT)
        def assumed(text: str, maker: str) -> tuple[str, ...] | None:
            if not self.decode(text).may_name_a_maker:
                return None
            try:
                found = self.marks.search(text).results
            except MarkSyntaxError:
                return None
            return next((each.assumed for each in found if each.maker == maker), None)

        return assumed

    def metals(self, seen: Sequence[Observation]) -> tuple[MetalReading, ...]:
        """The marks of metal content in the texts on the piece, decoded."""
        return tuple(
            metal
            for each in seen
            if each.feature == "mark" and each.state == "seen" and not each.heard
            for metal in self.decode(each.value).metals
        )

    def findings_said(self, reading: Reading) -> tuple[str, ...]:
        """What the findings of a reading say, in words; those for decisions and sheets left out."""
        found = (self.base.findings[name] for name in reading.findings)
        return tuple(
            dict.fromkeys(
                each.say for each in found if each.say and not each.name.startswith(ELSEWHERE)
            )
        )

    def _with_numbers(self, seen: tuple[Observation, ...]) -> tuple[Observation, ...]:
        """What was seen, and what the numbers, hallmarks and metal marks in it say."""
        more = [
            self._no_surer(found, each)
            for each in seen
            if each.feature == "mark" and each.state == "seen" and each.value
            for found in self.decode(each.value).observations
        ]
        numbered = (*seen, *more)
        return (*numbered, *hallmark_observations(numbered, self.base))

    def _no_surer(self, found: Observation, text: Observation) -> Observation:
        """What was found in a text, heard as the text was, and no surer than the text."""
        doubt = {name: entry.misread for name, entry in self.base.certainties.items()}
        least_sure = max(found.certainty, text.certainty, key=lambda name: doubt.get(name, 0.0))
        return replace(found, certainty=least_sure, heard=text.heard)

    def mark_evidence(self, seen: tuple[Observation, ...]) -> MarkEvidence | None:
        """What the texts on the piece, and the words for how they look, say of its maker."""
        counted = [each for each in seen if each.state == "seen" and not each.heard]
        texts = [each.value for each in counted if each.feature == "mark" and each.value]
        own = [text for text in texts if self.decode(text).may_name_a_maker]
        telling = MARK_LOOKS if own else MARK_DEVICES
        looks = [each.words for each in counted if each.words and each.feature in telling]
        if not own and any(each.feature.startswith(HALLMARKS) for each in counted):
            return None
        if not texts and not looks:
            return None
        return joint_evidence(
            self.marks,
            texts,
            tuple(dict.fromkeys(looks)),
            own=own,
        )


def _names_type(observation: Observation) -> bool:
    """Whether somebody saw of what type the piece is."""
    seen = observation.state == "seen" and not observation.heard
    return observation.feature == "piece" and seen and bool(observation.value)


def _piece_type(named: Sequence[Observation], others: Sequence[Observation], in_note: str) -> str:
    """The type named last, else that of the note, unless it was ruled out."""
    if named:
        return named[-1].value
    out = {each.value for each in others if each.feature == "piece" and each.state == "ruled-out"}
    return "" if in_note in out else in_note


def _counts(observation: Observation) -> bool:
    """Whether it is text seen on the piece."""
    return observation.feature == "mark" and observation.state == "seen" and not observation.heard
