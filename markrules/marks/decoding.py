"""What a text on a piece says besides a maker: numbers of registers and marks of metal."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from typing import Any

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.language.conditions import And
from markrules.marks.letters import folded
from markrules.marks.metal import MetalReading, find_metal_marks, metal_observations
from markrules.marks.numbers import NumberReading, find_numbers, observations_from_numbers
from markrules.marks.stamped import StampedToken, tokens
from markrules.marks.vocabulary import said_texts, texts_asked_for

KEPT = 4096
"""Texts whose decoding is kept: in a box the same words stand on many pieces."""

_LONGEST_PHRASE = 5
_MOST_INITIALS = 3


@dataclass(frozen=True, slots=True)
class Stamped:
    """A text decoded: its marks of metal, all that it says as observations, and whether any
    letter or figure is left that could be a maker's. `signs` tells whether a letter is left beside
    the words of lands, laws and the like that the rules ask marks for, too: such words sign
    nothing, and figures of no listed brand number a design, a mould or a worker.
    """

    metals: tuple[MetalReading, ...]
    observations: tuple[Observation, ...]
    may_name_a_maker: bool
    signs: bool = True


def decoder(base: KnowledgeBase) -> Callable[[str], Stamped]:
    """A function that decodes a text and remembers what it said."""

    told = base.workings.parts("decoding", lambda: _worked_out(base))
    vetoes: Mapping[str, Sequence[str]] = told["never"]
    others, asked = frozenset(told["others"]), frozenset(told["asked"])
    beside, through = frozenset(told["beside"]), frozenset(told["through"])
    names = frozenset(told["names"])

    @lru_cache(maxsize=KEPT)
    def decode(text: str) -> Stamped:
        numbers = [
            each
            for each in find_numbers(text, base)
            if each.register not in vetoes.get(folded(text[each.start : each.end]), ())
        ]
        metals = tuple(
            each
            for each in find_metal_marks(text, base)
            if "metal-mark" not in vetoes.get(folded(text[each.start : each.end]), ())
        )
        left = [character.isalnum() for character in text]
        # A name that a register reads together with a season still names its maker.
        named = [each for each in numbers if _word_of(each) in names]
        places = [(each.start, each.end) for each in numbers if each not in named]
        places += [(each.start, each.end) for each in metals]
        places += _places_of(others | beside if metals else others, text)
        places += [(start, len(text)) for start, _ in _places_of(through, text)]
        for start, end in places:
            left[start:end] = [False] * (end - start)
        may_name = any(left)
        for start, end in _places_of(asked, text):
            left[start:end] = [False] * (end - start)
        return Stamped(
            metals,
            (*observations_from_numbers(base, numbers), *metal_observations(base, metals)),
            may_name,
            any(one and char.isalpha() for one, char in zip(left, text, strict=True)),
        )

    return decode


def _worked_out(base: KnowledgeBase) -> dict[str, Any]:
    """What is looked up for every text: vetoes, and the words that name no maker."""
    vetoes = {text: sorted(names) for text, names in _vetoes(base).items()}
    return {
        "never": vetoes,
        "others": sorted(_of_role(base, "not-a-maker")),
        "through": sorted(_of_role(base, "not-a-maker", through=True)),
        "beside": sorted(_of_role(base, "qualifier")),
        "asked": sorted(_asked_for(base)),
        "names": sorted(_leading_names(base)),
    }


def _word_of(number: NumberReading) -> str:
    """The first word of what a register read."""
    return next((each.text for each in tokens(number.words) if each.kind == "word"), "")


def _leading_names(base: KnowledgeBase) -> frozenset[str]:
    """The makers' names that spellings of registers begin with; initials are no name: RD 564321
    is a number, whoever signs RD."""
    listed = {folded(mark.text) for maker in base.makers.values() for mark in maker.marks}
    listed = {text for text in listed if len(text) > _MOST_INITIALS}
    first = (tokens(reads)[:1] for register in base.registers.values() for reads in register.reads)
    return frozenset(each.text for (each,) in filter(None, first) if folded(each.text) in listed)


def _asked_for(base: KnowledgeBase) -> frozenset[str]:
    """The phrases, as stamped, that the rules ask marks for, save names and marks of makers."""
    names = {
        folded(text)
        for maker in base.makers.values()
        for text in (maker.title, *maker.also, *(mark.text for mark in maker.marks))
    }
    beside = _only_beside(base)
    return frozenset(
        _phrase(words)
        for text in texts_asked_for(base)
        if folded(text) not in names
        and text not in beside
        and len(words := tokens(text)) <= _LONGEST_PHRASE
        and sum(len(part.text) for part in words) > 1
    )


def _phrase(words: Sequence[StampedToken]) -> str:
    return " ".join([part.text for part in words])


def _only_beside(base: KnowledgeBase) -> frozenset[str]:
    """Initials that the rules ask for only together with something else that was seen, such as
    those of an assay master beside the mark of the office: alone they may be anybody's.
    """
    beside: set[str] = set()
    alone: set[str] = set()
    for entries in (base.clues, base.findings, base.signs, base.cautions, base.faults):
        for entry in entries.values():
            if entry.when is None:
                continue
            (beside if isinstance(entry.when, And) else alone).update(said_texts(entry.when))
    return frozenset(
        text for text in beside - alone if text.isalpha() and len(text) <= _MOST_INITIALS
    )


def _vetoes(base: KnowledgeBase) -> dict[str, set[str]]:
    """For the folded text of a mark: the features that it never speaks of."""
    found: dict[str, set[str]] = {}
    for maker in base.makers.values():
        for mark in maker.marks:
            if mark.never:
                names = {each.name for each in mark.never}
                found.setdefault(folded(mark.text), set()).update(names)
    return found


THROUGH = "..."
"""What ends words of a rule that take along what follows them: `souvenir of ...`."""


def _of_role(base: KnowledgeBase, role: str, through: bool = False) -> frozenset[str]:
    """The phrases of a role, as stamped: those that never name a maker, or qualify a metal. With
    `through` those that take along what follows them, else the others.
    """
    return frozenset(
        _phrase(tokens(text)) for text in base.words_of(role) if text.endswith(THROUGH) == through
    )


def _places_of(phrases: frozenset[str], text: str) -> list[tuple[int, int]]:
    """Where such phrases stand in a text, the longest first; figures after one belong to it."""
    read, found, at = tokens(text), [], 0
    while at < len(read):
        for length in range(min(_LONGEST_PHRASE, len(read) - at), 0, -1):
            if _phrase(read[at : at + length]) in phrases:
                end = at + length
                while end < len(read) and read[end].kind != "word":
                    end += 1
                found.append((read[at].start, read[end - 1].end))
                at = end - 1
                break
        at += 1
    return found
