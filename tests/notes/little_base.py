"""The vocabulary of the rules in `little`, and what is understood of a note over it, as lines."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path

from markrules.knowledge.loading import load
from markrules.knowledge.observation import Accounted, Observation
from markrules.notes.saying import MarkText
from markrules.notes.understanding import Understanding, Vocabulary, understand

FATES = {"understood": "+", "guessed": "~", "neutral": "-", "not-understood": "?"}
STATES = {"seen": "", "absent": "no ", "ruled-out": "not ", "replaced": "later "}


@cache
def little_vocabulary() -> Vocabulary:
    """The words of the little rules, gathered once."""
    base, problems = load([Path(__file__).parent / "little"], cache_folder=None)
    assert not [each for each in problems if each.severity == "error"]
    return Vocabulary(base)


def told(note: str) -> list[str]:
    """All that is understood of the note, over the little rules: see `lines`."""
    return list(lines(understand(little_vocabulary(), note)))


def lines(told: Understanding) -> Iterator[str]:
    """What was understood, a line each.

    `piece`; `= observation "words" [assumed]`; `mark`; `! what was assumed of the whole`; last, on
    one line, what became of each word: + understood, ~ guessed, - neutral, ? not understood, and
    `(little)` for what is not worth telling.
    """
    if told.piece_type:
        yield f"piece {told.piece_type}"
    yield from (_observation(each) for each in told.observations)
    yield from (_mark(each) for each in told.marks)
    shown = {f"{each.words}: {each.assumed}" for each in told.observations}
    yield from (f"! {each}" for each in told.assumed if each not in shown)
    yield " ".join(_accounted(each) for each in told.account)
    yield f"{told.words_understood} of {told.words_total}"


def _observation(each: Observation) -> str:
    parts = [f"= {STATES[each.state]}{each.feature}"]
    parts += [f"={each.value}"] if each.value else []
    parts += [f" {each.number:g}"] if each.number is not None else []
    parts += [f" {each.years[0]}-{each.years[1]}"] if each.years else []
    parts += [f" ~{each.certainty}"] if each.certainty != "sure" else []
    parts += [" heard"] if each.heard else []
    parts += [f' "{each.words}"'] if each.words else []
    parts += [f" [{each.assumed}]"] if each.assumed else []
    return "".join(parts)


def _mark(each: MarkText) -> str:
    parts = [f'mark "{each.text}"']
    parts += [f"words {', '.join(each.words)}"] if each.words else []
    parts += [f"symbols {', '.join(each.symbols)}"] if each.symbols else []
    parts += [f"at {each.place}"] if each.place else []
    parts += [f"~{each.certainty}"] if each.certainty != "sure" else []
    parts += ["label"] if each.label else []
    parts += ["heard"] if each.heard else []
    return " / ".join(parts)


def _accounted(each: Accounted) -> str:
    meaning = f"={each.meaning}" if each.meaning else ""
    little = "(little)" if each.little else ""
    return f"{FATES[each.fate]}{{{each.words}{meaning}}}{little}"
