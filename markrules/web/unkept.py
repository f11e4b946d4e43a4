"""Answers to the next looks of a piece that is not kept yet: they stand in the address.

So the way back is that of the browser, the page can be loaded again, and no answer is lost.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from urllib.parse import urlencode

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.reading.observing import WordProblem, observe
from markrules.tasks.looking import Look
from markrules.telling.words import plain
from markrules.web.desk import Posted, Refused, Visit
from markrules.web.seeing import answer_words, asked_in_form, observed_in_form

MOST_ANSWERS = 40
FIELD = "answer"
NOBODY_KNEW = "dont-know"
"""Stands in an address before the feature that nobody knew, where else a certainty stands."""
STILL_THE_NOTE = 0.5
"""A note that holds this share of another's words is that note, changed: answers go with it."""


@dataclass(frozen=True, slots=True)
class UnkeptAnswer:
    """One answer: as the address has it, and what was seen; `passed` is what nobody knew."""

    text: str
    seen: tuple[Observation, ...] = ()
    passed: str = ""

    @property
    def words(self) -> str:
        """The answer as a person reads it."""
        if self.passed:
            return f"{plain(self.passed)}: not known"
        return ", ".join(map(answer_words, self.seen))

    @property
    def certainty(self) -> str:
        """How sure it is, where that is less than sure; else empty."""
        sure = {each.certainty for each in self.seen} - {"sure"}
        return ", ".join(sorted(sure))


def answers_of(base: KnowledgeBase, given: Sequence[tuple[str, str]]) -> tuple[UnkeptAnswer, ...]:
    """The answers among the fields of an address or a form, in the order they were given.

    Raises Refused for one that no page has written.
    """
    texts = [value.strip() for name, value in given if name == FIELD]
    if len(texts) > MOST_ANSWERS:
        raise Refused(400, f"{len(texts)} answers here; {MOST_ANSWERS} at most")
    return tuple(_answer(base, each) for each in dict.fromkeys(texts))


def _answer(base: KnowledgeBase, text: str) -> UnkeptAnswer:
    how, _, said = text.partition(" ")
    if how == NOBODY_KNEW and said in base.features:
        return UnkeptAnswer(text, passed=said)
    if how not in base.certainties:
        raise Refused(400, f'"{text[:80]}" is no answer')
    try:
        return UnkeptAnswer(text, (observe(base, said, how),))
    except WordProblem as problem:
        raise Refused(400, str(problem), "value") from None


def newly_answered(visit: Visit) -> UnkeptAnswer | None:
    """The answer that the address brings beside those given before; None where it brings none.

    Raises Refused where it is no answer.
    """
    form = fields_of(visit.every)
    if "feature" not in form.fields:
        return None
    asked = replace(visit, form=form)
    if form.fields.get("dont-know") == "yes":
        (feature,) = asked_in_form(asked)[:1]
        return _answer(visit.base, f"{NOBODY_KNEW} {feature}")
    try:
        seen = observed_in_form(asked)
    except WordProblem as problem:
        raise Refused(400, str(problem), "value") from None
    return UnkeptAnswer(f"{seen.certainty} {seen.words}", (seen,))


def fields_of(every: tuple[tuple[str, str], ...]) -> Posted:
    """The fields of an address as those of a form; of a name the first that says something."""
    fields: dict[str, str] = {}
    for name, value in every:
        fields[name] = fields.get(name) or value
    return Posted(fields, every=every)


def look_with(note: str, answers: Sequence[UnkeptAnswer]) -> Look:
    """What the note and the answers say together."""
    seen = tuple(seen for each in answers for seen in each.seen)
    return Look(note, seen, tuple(each.passed for each in answers if each.passed))


def address_with(note: str, answers: Sequence[UnkeptAnswer]) -> str:
    """The address of the page with these answers."""
    return "/note?" + urlencode([("note", note), *((FIELD, each.text) for each in answers)])


def still_of(note: str, before: str) -> bool:
    """Whether a note is that of before with some words changed, so that answers hold for it."""
    old, new = (set(text.casefold().split()) for text in (before, note))
    return len(old & new) >= STILL_THE_NOTE * len(old)
